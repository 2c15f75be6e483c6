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
    NOTE_BYTES = 160,
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

static struct passo_ratio place_of(const struct climb *climb, const struct passo_strip_note *note)
{
    return passo_notes_at(climb->passage, (struct passo_place){note->bar, note->at});
}

/* What is silent before a note: since the one before it, or since its bar's line. */
static struct passo_ratio rest_before(const struct climb *climb, size_t i)
{
    const struct passo_strip_note *note = &climb->strip[i];
    if (i == 0)
        return note->at;
    const struct passo_strip_note *before = note - 1;
    return passo_ratio_sub(place_of(climb, note),
                           passo_ratio_add(place_of(climb, before), before->length));
}

/* "quarter rest, B-flat 3 eighth slurred" */
static void write_note(const struct climb *climb, size_t i, char *out, size_t bytes)
{
    const struct passo_strip_note *note = &climb->strip[i];
    const struct passo_ratio rest = rest_before(climb, i);
    char silent[PASSO_NAME_MAX] = "";
    char pitch[PASSO_NAME_MAX];
    char length[PASSO_NAME_MAX];
    if (rest.num > 0)
        passo_note_value_write(rest, silent, sizeof silent);
    snprintf(out, bytes, "%s%s%s %s%s%s%s%s", silent, silent[0] ? " rest, " : "",
             passo_pitch_write(note->pitch, pitch, sizeof pitch),
             passo_note_value_write(note->length, length, sizeof length),
             note->marks & PASSO_NOTE_ACCENT ? " accented" : "",
             note->marks & PASSO_NOTE_STACCATO ? " staccato" : "",
             note->marks & PASSO_NOTE_TENUTO ? " tenuto" : "",
             note->marks & PASSO_NOTE_SLUR ? " slurred" : "");
}

/* The notes of one bar from the i-th on: "bar 33: ..."; returns the first of the next bar. A bar
 * that is longer than the room is cut. */
static size_t write_bar(const struct climb *climb, size_t i, char *out, size_t bytes)
{
    const struct passo_strip *strip = &climb->snapshot.strip;
    const int32_t bar = strip->note[i].bar;
    char note[NOTE_BYTES];
    size_t used = (size_t)snprintf(out, bytes, "bar %d:", bar);
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
    if (!climb->varied || (climb_is_block(climb) && !hearing_is_block(climb)))
        return;
    /* Of a climb the whole passage as it is written; of what is heard its one turn. */
    if (climb_is_block(climb))
        plan = passo_course_next(climb->course, &climb->state);
    strip_show(climb, &plan);
    size_t i = 0;
    for (size_t lines = 0; lines < NOTES_LINES && i < strip->notes; lines++) {
        i = write_line(climb, i, line, sizeof line);
        if (lines > 0)
            line[0] = 'B'; /* a sentence begins with it */
        climb_say(climb, PASSO_SAY_START, "%s%s.", lines == 0 ? "Notes: " : "", line);
    }
    if (i < strip->notes)
        climb_say(climb, PASSO_SAY_START, "And so on, to bar %d.",
                  strip->note[strip->notes - 1].bar);
}
