/* The notes in words, for who does not see them: said once, before the first count-in, bar by bar,
 * and in which key they sound and are written, or that this is not known. A long passage is cut at
 * a bar line. Runs on the main thread. */
#include "climb_priv.h"

#include <stdio.h>
#include <string.h>
#include "session/tuning.h"
#include "text/notation.h"
#include "text/routine.h"

enum {
    NOTES_LINES = 8,
    LINE_BYTES = 2 * PASSO_WORDS_BYTES - 48,
    NAME_BYTES = 24,                    /* of a note without its octave */
    LENGTH_BYTES = PASSO_NAME_MAX + 16, /* "triplet" before it */
    NOTE_BYTES = 200,
    BAR_BYTES = 1024
};

/* Whether anything has a pitch. */
static bool is_tuned(const struct climb *climb)
{
    const struct passo_intonation *intonation = &climb->setup->setup->intonation;
    return climb->varied || intonation->starts || intonation->drone != PASSO_DRONE_NONE;
}

/* Once for all climbs on this stream. */
static void say_unknown_instrument(struct climb *climb)
{
    const char *instrument = climb->passage->instrument;
    char *minded = climb->sounding->minded;
    if (!climb->setup->setup->intonation.unknown_instrument || !is_tuned(climb) ||
        strcmp(minded, instrument) == 0)
        return;
    passo_text_clean(instrument, minded, PASSO_NAME_MAX);
    climb_say(climb, PASSO_SAY_NOTICE,
              "Mind: the instrument (%s) is not known here, so it sounds as written; "
              "transposition = N says otherwise.",
              minded);
}

/* "concert A-flat major; your B-flat major" */
static void say_keys(struct climb *climb)
{
    const struct passo_intonation *intonation = &climb->setup->setup->intonation;
    const struct passo_intonation moved = tuning_moved(intonation, climb->setup->shift);
    char concert[PASSO_NAME_MAX];
    char yours[PASSO_NAME_MAX];
    if (!intonation->keyed || intonation->transposition == 0 || !is_tuned(climb))
        return;
    climb_say(climb, PASSO_SAY_START, "Key: concert %s; your %s.",
              passo_key_write(tuning_concert(&moved), concert, sizeof concert),
              passo_key_write(moved.key, yours, sizeof yours));
}

/* A place on the line of fifths without an octave: "B-flat". */
static const char *write_name(int fifths, char *out, size_t bytes)
{
    passo_pitch_write((struct passo_pitch){(int8_t)fifths, 4}, out, bytes);
    *strrchr(out, ' ') = '\0';
    return out;
}

/* "B-flat and F" over a tonic; or the note that is named. */
static void write_drone(enum passo_drone drone, int tonic, struct passo_pitch note, char *out,
                        size_t bytes)
{
    char root[NAME_BYTES];
    char fifth[NAME_BYTES];
    if (drone == PASSO_DRONE_NOTE)
        passo_pitch_write(note, out, bytes);
    else if (drone == PASSO_DRONE_ROOT)
        write_name(tonic, out, bytes);
    else
        snprintf(out, bytes, "%s and %s", write_name(tonic, root, sizeof root),
                 write_name(tonic + 1, fifth, sizeof fifth));
}

static void say_drone(struct climb *climb, const struct passo_intonation *moved)
{
    char yours[2 * PASSO_NAME_MAX];
    char sounds[2 * PASSO_NAME_MAX];
    char concert[2 * PASSO_NAME_MAX + 16] = "";
    if (moved->drone == PASSO_DRONE_NONE)
        return;
    write_drone(moved->drone, moved->key.tonic, moved->note, yours, sizeof yours);
    write_drone(moved->drone, tuning_concert(moved).tonic,
                passo_pitch_move(moved->note, passo_interval_of(moved->transposition)), sounds,
                sizeof sounds);
    if (moved->transposition != 0)
        snprintf(concert, sizeof concert, " (concert %s)", sounds);
    climb_say(climb, PASSO_SAY_START, "Under the playing a drone: %s%s.", yours, concert);
}

/* Whether a loop that begins elsewhere than the passage has a starting note of its own. */
static bool starts_elsewhere(const struct climb *climb)
{
    const struct passo_passage *passage = climb->passage;
    const struct passo_ratio from = passo_notes_at(passage, passage->loop[0].from);
    if (!climb->varied || climb->setup->setup->intonation.start_stays || climb_is_block(climb))
        return false;
    for (size_t i = 1; i < passage->loops; i++)
        if (passo_ratio_cmp(passo_notes_at(passage, passage->loop[i].from), from) != 0)
            return true;
    return false;
}

/* What sounds beside the clicks and the notes. plan: of what is told of. */
static void say_tones(struct climb *climb, const struct passo_plan *plan)
{
    const struct passo_intonation moved =
        tuning_moved(&climb->setup->setup->intonation, climb->setup->shift);
    struct passo_pitch start;
    char name[PASSO_NAME_MAX];
    if (hearing_starts(climb) && hand_start_pitch(climb, plan, &start))
        climb_say(climb, PASSO_SAY_START, "Before each count-in the starting note, %s%s.",
                  passo_pitch_write(start, name, sizeof name),
                  starts_elsewhere(climb) ? "; of a loop its first" : "");
    say_drone(climb, &moved);
}

static struct passo_ratio place_of(const struct climb *climb, const struct passo_strip_note *note)
{
    return passo_notes_at(climb->passage, (struct passo_place){note->bar, note->at});
}

/* What is silent before a note: since the one before it, or since the entry or its bar's line. */
static struct passo_ratio rest_before(const struct climb *climb, size_t i)
{
    const struct passo_strip_note *note = &climb->strip[i];
    if (i == 0) {
        const struct passo_ratio entry = passo_ratio_sub(
            place_of(climb, note), passo_notes_at(climb->passage, climb->strip_of->from));
        return passo_ratio_cmp(entry, note->at) < 0 ? entry : note->at;
    }
    const struct passo_strip_note *before = note - 1;
    return passo_ratio_sub(place_of(climb, note),
                           passo_ratio_add(place_of(climb, before), before->length));
}

/* "eighth", "triplet eighth", "quintuplet sixteenth": so many in the time of the next lower power
 * of two, where the value is none of its own. */
static const char *write_length(struct passo_ratio length, char *out, size_t bytes)
{
    static const struct {
        int64_t notes, time;
        const char *name;
    } tuplets[] = {{3, 2, "triplet"}, {5, 4, "quintuplet"}, {7, 4, "septuplet"}};
    char name[PASSO_NAME_MAX];
    for (size_t i = 0; i < sizeof tuplets / sizeof tuplets[0]; i++) {
        if (length.den % tuplets[i].notes != 0)
            continue;
        passo_note_value_write(
            passo_ratio_mul(length, passo_ratio(tuplets[i].notes, tuplets[i].time)), name,
            sizeof name);
        if (strpbrk(name, "/+"))
            break;
        snprintf(out, bytes, "%s %s", tuplets[i].name, name);
        return out;
    }
    return passo_note_value_write(length, out, bytes);
}

/* "quarter rest, B-flat 3 eighth slurred" */
static void write_note(const struct climb *climb, size_t i, char *out, size_t bytes)
{
    const struct passo_strip_note *note = &climb->strip[i];
    const struct passo_ratio rest = rest_before(climb, i);
    char silent[LENGTH_BYTES] = "";
    char pitch[PASSO_NAME_MAX];
    char length[LENGTH_BYTES];
    if (rest.num > 0)
        write_length(rest, silent, sizeof silent);
    snprintf(out, bytes, "%s%s%s %s%s%s%s%s", silent, silent[0] ? " rest, " : "",
             passo_pitch_write(note->pitch, pitch, sizeof pitch),
             write_length(note->length, length, sizeof length),
             note->marks & PASSO_NOTE_ACCENT ? " accented" : "",
             note->marks & PASSO_NOTE_STACCATO ? " staccato" : "",
             note->marks & PASSO_NOTE_TENUTO ? " tenuto" : "",
             note->marks & PASSO_NOTE_SLUR ? " slurred" : "");
}

/* The notes of one bar from the i-th on: "bar 33: ..." or "pickup: ..."; returns the first of the
 * next bar. A bar that is longer than the room is cut. */
static size_t write_bar(const struct climb *climb, size_t i, char *out, size_t bytes)
{
    const struct passo_strip *strip = &climb->snapshot.strip;
    const int32_t bar = strip->note[i].bar;
    char note[NOTE_BYTES];
    const bool pickup = place_of(climb, &strip->note[i]).num < 0;
    size_t used =
        (size_t)(pickup ? snprintf(out, bytes, "pickup:") : snprintf(out, bytes, "bar %d:", bar));
    const char *between = " ";
    bool cut = false;
    for (; i < strip->notes && strip->note[i].bar == bar; i++) {
        write_note(climb, i, note, sizeof note);
        if (cut)
            continue;
        cut = used + strlen(note) + sizeof ", , ..." > bytes;
        used += (size_t)snprintf(out + used, bytes - used, "%s%s", between, cut ? "..." : note);
        between = ", ";
    }
    return i;
}

/* As many bars as a line has room for. */
static size_t write_line(const struct climb *climb, size_t i, char *out, size_t bytes)
{
    char bar[LINE_BYTES];
    size_t used = 0;
    out[0] = '\0';
    while (i < climb->snapshot.strip.notes) {
        const size_t next = write_bar(climb, i, bar, bytes);
        const size_t length = strlen(bar);
        if (used && used + 2 + length >= bytes)
            break;
        if (used) {
            memcpy(out + used, "; ", 2);
            used += 2;
        }
        memcpy(out + used, bar, length + 1);
        used += length;
        i = next;
    }
    return i;
}

void start_say_notes(struct climb *climb)
{
    struct passo_plan plan = {.part = PASSO_PART_CLIMB};
    const struct passo_strip *strip = &climb->snapshot.strip;
    char line[LINE_BYTES];
    say_unknown_instrument(climb);
    say_keys(climb);
    /* Of a day's block its item says what sounds. */
    if (climb_is_block(climb) && !hearing_is_block(climb))
        return;
    /* Of a climb the whole passage as it is written; of what is heard its one turn. */
    if (climb_is_block(climb))
        plan = passo_course_next(climb->course, &climb->state);
    say_tones(climb, &plan);
    if (!climb->varied)
        return;
    strip_show(climb, &plan);
    size_t i = 0;
    for (size_t lines = 0; lines < NOTES_LINES && i < strip->notes; lines++) {
        i = write_line(climb, i, line, sizeof line);
        if (lines > 0)
            line[0] = 'B'; /* a sentence begins with it; the pickup is in the first line */
        climb_say(climb, PASSO_SAY_START, "%s%s.", lines == 0 ? "Notes: " : "", line);
    }
    if (i < strip->notes)
        climb_say(climb, PASSO_SAY_START, "And so on, to bar %d.",
                  strip->note[strip->notes - 1].bar);
}
