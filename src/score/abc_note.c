/* What has a length in ABC: notes, rests and chords, and what bends their lengths. Any thread. */
#include "score/abc_priv.h"

#include <string.h>

enum {
    LENGTH_TERM_MAX = 4096,
    BROKEN_MAX = 3,
    TUPLET_MAX = 64,
    TUPLET_NOTES_MAX = 1000,
    UPPER_OCTAVE = 4, /* of C; of c one more */
};

static char here(const struct abc_reader *reader)
{
    return reader->at < reader->line.end ? *reader->at : '\0';
}

static bool is_note(char character)
{
    return (character >= 'A' && character <= 'G') || (character >= 'a' && character <= 'g');
}

/* --- lengths --- */

/* "2", "/", "//", "3/2": times the unit. */
static bool length_factor(struct abc_reader *reader, struct passo_ratio *out_factor)
{
    const char *from = reader->at;
    struct abc_span rest = {reader->at, reader->line.end};
    long num = 1;
    long den = 1;
    bool fine = true;
    if (rest.at < rest.end && *rest.at >= '0' && *rest.at <= '9')
        fine = abc_digits(&rest, LENGTH_TERM_MAX, &num) && num > 0;
    while (fine && rest.at < rest.end && *rest.at == '/') {
        long part = 2;
        rest.at++;
        if (rest.at < rest.end && *rest.at >= '0' && *rest.at <= '9')
            fine = abc_digits(&rest, LENGTH_TERM_MAX, &part) && part > 0;
        if (den <= LENGTH_TERM_MAX)
            den *= part;
    }
    reader->at = rest.at;
    if (!fine || den > LENGTH_TERM_MAX)
        return abc_fault(reader, from, PASSO_ERR_RANGE,
                         "a length is a whole number or a fraction of terms from 1 to %d, such as "
                         "2, / or 3/2",
                         LENGTH_TERM_MAX);
    *out_factor = passo_ratio(num, den);
    return true;
}

static bool too_odd(struct abc_reader *reader, const char *at)
{
    return abc_fault(reader, at, PASSO_ERR_RANGE,
                     "the lengths up to here are too long or too finely parted to add up");
}

/* The length of a thing that is played or rested, with tuplet and broken rhythm: the place moves on
 * behind it. */
static bool lasts(struct abc_reader *reader, const char *from, struct passo_ratio factor,
                  struct passo_ratio *out_length)
{
    abc_settle_unit(reader);
    struct passo_ratio length = passo_ratio_mul(factor, reader->unit);
    length = passo_ratio_mul(length, reader->next_share);
    if (reader->tuplet_left)
        length = passo_ratio_mul(length, reader->tuplet);
    reader->tuplet_left -= reader->tuplet_left > 0;
    reader->next_share = passo_ratio(1, 1);
    reader->broken = false;
    if (!score_is_exact(length) || !score_sum(reader->now, length, &reader->now))
        return too_odd(reader, from);
    reader->last_length = length;
    *out_length = length;
    return true;
}

bool abc_broken(struct abc_reader *reader)
{
    const char *from = reader->at;
    const char way = *from;
    int count = 0;
    for (; here(reader) == way; reader->at++)
        count += count <= BROKEN_MAX;
    if (reader->last == ABC_LAST_NONE || reader->broken || count > BROKEN_MAX)
        return abc_fault(reader, from, PASSO_ERR_SYNTAX,
                         "one to three %c stand between two notes of one bar", way);
    const struct passo_ratio less = passo_ratio(1, 1 << count);
    const struct passo_ratio more = passo_ratio_sub(passo_ratio(2, 1), less);
    const struct passo_ratio share = way == '>' ? more : less;
    const struct passo_ratio change =
        passo_ratio_mul(reader->last_length, passo_ratio_sub(share, passo_ratio(1, 1)));
    struct passo_score *score = reader->build.score;
    reader->next_share = way == '>' ? less : more;
    reader->broken = true;
    if (!score_is_exact(change) || !score_sum(reader->now, change, &reader->now))
        return too_odd(reader, from);
    if (reader->last == ABC_LAST_NOTE && !score_sum(score->note[score->notes - 1].length, change,
                                                    &score->note[score->notes - 1].length))
        return too_odd(reader, from);
    return true;
}

/* How many notes' time p notes take where it is not said. */
static long tuplet_time(const struct abc_reader *reader, long notes)
{
    static const int8_t times[] = {[2] = 3, [3] = 2, [4] = 3, [6] = 2, [8] = 3};
    const bool compound = reader->meter.groups && reader->meter.group[0] == 3 &&
                          reader->meter.count > 3 && reader->meter.count % 3 == 0;
    if (notes < 9 && times[notes])
        return times[notes];
    return compound ? 3 : 2;
}

/* "(3", "(5:4", "(3:2:4", "(3::4". */
bool abc_tuplet(struct abc_reader *reader)
{
    char shown[ABC_SHOWN_BYTES];
    const char *from = reader->at;
    struct abc_span rest = {from + 1, reader->line.end};
    long notes = 0;
    bool fine = abc_digits(&rest, TUPLET_MAX, &notes) && notes > 1;
    long time = fine ? tuplet_time(reader, notes) : 0;
    long covers = notes;
    for (int i = 0; fine && i < 2 && rest.at < rest.end && *rest.at == ':'; i++) {
        rest.at++;
        if (rest.at < rest.end && *rest.at >= '0' && *rest.at <= '9')
            fine = abc_digits(&rest, i ? TUPLET_NOTES_MAX : TUPLET_MAX, i ? &covers : &time);
    }
    reader->at = rest.at;
    if (!fine || time < 1 || covers < 1)
        return abc_fault(reader, from, PASSO_ERR_SYNTAX,
                         "%s is no tuplet; write (3, or (5:4:5 for five notes in the time of four",
                         abc_shown((struct abc_span){from, reader->at}, shown));
    if (reader->tuplet_left)
        return abc_fault(reader, from, PASSO_ERR_SYNTAX,
                         "a tuplet within a tuplet; write the inner lengths as fractions");
    reader->tuplet = passo_ratio(time, notes);
    reader->tuplet_left = (int)covers;
    return true;
}

/* --- rests --- */

static bool no_tie(struct abc_reader *reader, const char *at)
{
    if (reader->tied && !reader->tied_chord)
        return abc_fault(reader, at, PASSO_ERR_SYNTAX,
                         "a tie leads to the same note again, not to a rest");
    reader->tied = false;
    return true;
}

bool abc_rest(struct abc_reader *reader)
{
    const char *from = reader->at++;
    struct passo_ratio factor;
    struct passo_ratio length;
    reader->marks = 0;
    if (!no_tie(reader, from) || !length_factor(reader, &factor))
        return false;
    abc_open_bar(reader);
    reader->last = ABC_LAST_REST;
    return lasts(reader, from, factor, &length);
}

/* Whole bars of rest: the last of them ends at the bar line that follows. */
bool abc_bars_rest(struct abc_reader *reader)
{
    const char *from = reader->at++;
    struct abc_span rest = {reader->at, reader->line.end};
    long bars = 1;
    if (here(reader) >= '0' && here(reader) <= '9' &&
        (!abc_digits(&rest, PASSO_SCORE_BARS_MAX, &bars) || bars < 1))
        return abc_fault(reader, from, PASSO_ERR_RANGE, "Z rests 1 to %d bars",
                         PASSO_SCORE_BARS_MAX);
    reader->at = rest.at;
    if (!no_tie(reader, from))
        return false;
    reader->marks = 0;
    for (long i = 0; i < bars; i++) {
        if (i && !abc_close_bar(reader, false))
            return false;
        abc_open_bar(reader);
        reader->last_length = passo_meter_length(&reader->meter);
        if (!score_sum(reader->now, reader->last_length, &reader->now))
            return too_odd(reader, from);
    }
    reader->last = ABC_LAST_NONE;
    return true;
}

/* --- pitches --- */

/* A note as it is written: its letter, octave and what is before it. */
struct spelling {
    int letter;
    int octave;
    int alter; /* ABC_NO_ACCIDENTAL: none is written */
};

static int written_octave(const struct abc_reader *reader)
{
    const struct abc_clef *voice = &reader->voice[reader->taken].clef;
    return voice->moves_octave ? voice->octave : reader->clef.octave;
}

static bool read_accidental(struct abc_reader *reader, int *out_alter)
{
    static const struct {
        const char *sign;
        int alter;
    } signs[] = {{"^^", 2}, {"__", -2}, {"^", 1}, {"_", -1}, {"=", 0}};
    const char *from = reader->at;
    *out_alter = ABC_NO_ACCIDENTAL;
    for (size_t i = 0; i < sizeof signs / sizeof *signs && reader->at == from; i++) {
        const size_t count = strlen(signs[i].sign);
        if ((size_t)(reader->line.end - from) > count && !strncmp(from, signs[i].sign, count)) {
            reader->at += count;
            *out_alter = signs[i].alter;
        }
    }
    if (is_note(here(reader)))
        return true;
    return abc_fault(reader, from, PASSO_ERR_SYNTAX,
                     "^ ^^ _ __ or = stands before a note from A to g");
}

static bool read_spelling(struct abc_reader *reader, struct spelling *out)
{
    const char *from = reader->at;
    if (!read_accidental(reader, &out->alter))
        return false;
    const char letter = *reader->at++;
    const bool upper = letter < 'a';
    out->letter = (letter - (upper ? 'A' : 'a') + 5) % ABC_LETTERS;
    out->octave = UPPER_OCTAVE + !upper + written_octave(reader);
    for (; here(reader) == ',' || here(reader) == '\''; reader->at++) {
        if (out->octave >= PASSO_OCTAVE_MIN && out->octave <= PASSO_OCTAVE_MAX)
            out->octave += here(reader) == ',' ? -1 : 1;
    }
    if (out->octave < PASSO_OCTAVE_MIN || out->octave > PASSO_OCTAVE_MAX)
        return abc_fault(reader, from, PASSO_ERR_RANGE,
                         "this note is beyond the octaves from %d to %d (C is in the octave 4)",
                         PASSO_OCTAVE_MIN, PASSO_OCTAVE_MAX);
    return true;
}

/* The note that a tie comes from; NULL if none does. */
static const struct passo_note *tied_from(const struct abc_reader *reader)
{
    const struct passo_score *score = reader->build.score;
    return reader->tied && score->notes ? &score->note[score->notes - 1] : NULL;
}

/* What alters a note: its own accidental, that of the note it is tied to, one of before in its bar,
 * or the key's sign. */
static int alter_of(struct abc_reader *reader, const struct spelling *spelling)
{
    const struct passo_note *before = tied_from(reader);
    int8_t *by_octave = &reader->by_octave[spelling->octave - PASSO_OCTAVE_MIN][spelling->letter];
    int8_t *by_letter = &reader->by_letter[spelling->letter];
    if (spelling->alter != ABC_NO_ACCIDENTAL) {
        *by_octave = (int8_t)spelling->alter;
        *by_letter = (int8_t)spelling->alter;
        reader->accidentals = true;
        return spelling->alter;
    }
    if (before && before->pitch.octave == spelling->octave &&
        passo_pitch_letter(before->pitch) == spelling->letter)
        return passo_pitch_alter(before->pitch);
    if (reader->reach == ABC_REACH_PITCH && *by_letter != ABC_NO_ACCIDENTAL)
        return *by_letter;
    if (reader->reach == ABC_REACH_OCTAVE && *by_octave != ABC_NO_ACCIDENTAL)
        return *by_octave;
    return reader->signs[spelling->letter];
}

static bool read_pitch(struct abc_reader *reader, struct passo_pitch *out_pitch)
{
    struct spelling spelling;
    if (!read_spelling(reader, &spelling))
        return false;
    *out_pitch = passo_pitch_of(spelling.letter, alter_of(reader, &spelling), spelling.octave);
    return true;
}

/* --- notes --- */

/* How the part transposes is what is said where its first note stands. */
static void take_transposition(struct abc_reader *reader)
{
    struct passo_score *score = reader->build.score;
    const struct abc_clef *voice = &reader->voice[reader->taken].clef;
    const struct abc_clef *clef = voice->transposes ? voice : &reader->clef;
    if (score->notes)
        return;
    score->transposes = clef->transposes;
    score->transposition = (int16_t)(clef->transpose + clef->eighth);
}

/* One note, at `from` in the line, of a chord or not. */
static bool sound(struct abc_reader *reader, const char *from, struct passo_pitch pitch,
                  struct passo_ratio factor, bool chord)
{
    struct passo_note note = {.at = reader->now, .pitch = pitch};
    const struct passo_note *before = tied_from(reader);
    if (before && passo_pitch_midi(before->pitch) == passo_pitch_midi(pitch))
        note.pitch = before->pitch;
    else if (before && !chord && !reader->tied_chord)
        return abc_fault(reader, from, PASSO_ERR_SYNTAX,
                         "a tie leads to the same note again; a slur to another is ( )");
    abc_open_bar(reader);
    take_transposition(reader);
    if (!lasts(reader, from, factor, &note.length))
        return false;
    note.marks = (uint8_t)(reader->marks | (reader->slurs ? PASSO_NOTE_SLUR : 0));
    if (!score_add_note(&reader->build, &note, before != NULL))
        return false;
    reader->marks = 0;
    reader->last = ABC_LAST_NOTE;
    reader->tied = false;
    reader->tied_chord = chord;
    return true;
}

bool abc_note(struct abc_reader *reader)
{
    const char *from = reader->at;
    struct passo_pitch pitch;
    struct passo_ratio factor;
    return read_pitch(reader, &pitch) && length_factor(reader, &factor) &&
           sound(reader, from, pitch, factor, false);
}

/* What was read of a chord: its highest note, its first note's length. */
struct chord {
    size_t notes;
    struct passo_pitch pitch;
    struct passo_ratio factor;
    bool tied;
};

static bool chord_note(struct abc_reader *reader, struct chord *chord)
{
    struct passo_pitch pitch;
    struct passo_ratio factor;
    if (!read_pitch(reader, &pitch) || !length_factor(reader, &factor))
        return false;
    const bool tied = here(reader) == '-';
    reader->at += tied;
    if (!chord->notes)
        chord->factor = factor;
    if (!chord->notes || passo_pitch_midi(pitch) > passo_pitch_midi(chord->pitch)) {
        chord->pitch = pitch;
        chord->tied = tied;
    }
    chord->notes++;
    return true;
}

/* Decorations, slurs and words inside a chord. */
static bool chord_sign(struct abc_reader *reader)
{
    const char sign = here(reader);
    const char *from = reader->at++;
    if (sign == '.')
        reader->marks |= PASSO_NOTE_STACCATO;
    if (sign == ' ' || sign == '.' || sign == '(' || sign == ')' || sign == '~')
        return true;
    const char *close = NULL;
    if (sign == '!' || sign == '"')
        close = memchr(reader->at, sign, (size_t)(reader->line.end - reader->at));
    if (!close)
        return false;
    if (sign == '!')
        reader->marks |= abc_decoration((struct abc_span){from + 1, close});
    reader->at = close + 1;
    return true;
}

bool abc_chord(struct abc_reader *reader)
{
    const char *from = reader->at++;
    struct chord chord = {0};
    struct passo_ratio factor;
    while (here(reader) != ']') {
        const char next = here(reader);
        const bool note = is_note(next) || next == '^' || next == '_' || next == '=';
        if (note ? chord_note(reader, &chord) : chord_sign(reader))
            continue;
        return abc_fault(reader, from, PASSO_ERR_SYNTAX,
                         "a chord is notes between [ and ], such as [CEG]2");
    }
    reader->at++;
    if (!chord.notes)
        return abc_fault(reader, from, PASSO_ERR_SYNTAX, "there is no note between [ and ]");
    if (!length_factor(reader, &factor))
        return false;
    factor = passo_ratio_mul(factor, chord.factor);
    if (!sound(reader, from, chord.pitch, factor, true))
        return false;
    reader->left_out += chord.notes - 1;
    reader->tied = chord.tied;
    return true;
}
