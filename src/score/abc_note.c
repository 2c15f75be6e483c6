/* What has a length in ABC: notes, rests and chords. Any thread. */
#include "score/abc_priv.h"

#include <string.h>

#define UPPER_OCTAVE 4 /* of C; of c one more */

static bool is_note(char character)
{
    return (character >= 'A' && character <= 'G') || (character >= 'a' && character <= 'g');
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
    if (!no_tie(reader, from) || !abc_length_factor(reader, &factor))
        return false;
    abc_open_bar(reader);
    reader->last = ABC_LAST_REST;
    return abc_lasts(reader, from, factor, &length);
}

/* Whole bars of rest: the last of them ends at the bar line that follows. */
bool abc_bars_rest(struct abc_reader *reader)
{
    const char *from = reader->at++;
    struct abc_span rest = {reader->at, reader->line.end};
    long bars = 1;
    if (abc_here(reader) >= '0' && abc_here(reader) <= '9' &&
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
            return abc_too_odd(reader, from);
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
    if (is_note(abc_here(reader)))
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
    for (; abc_here(reader) == ',' || abc_here(reader) == '\''; reader->at++) {
        if (out->octave >= PASSO_OCTAVE_MIN && out->octave <= PASSO_OCTAVE_MAX)
            out->octave += abc_here(reader) == ',' ? -1 : 1;
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
    if (!abc_lasts(reader, from, factor, &note.length))
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
    return read_pitch(reader, &pitch) && abc_length_factor(reader, &factor) &&
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
    if (!read_pitch(reader, &pitch) || !abc_length_factor(reader, &factor))
        return false;
    const bool tied = abc_here(reader) == '-';
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
    const char sign = abc_here(reader);
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
    while (abc_here(reader) != ']') {
        const char next = abc_here(reader);
        const bool note = is_note(next) || next == '^' || next == '_' || next == '=';
        if (note ? chord_note(reader, &chord) : chord_sign(reader))
            continue;
        return abc_fault(reader, from, PASSO_ERR_SYNTAX,
                         "a chord is notes between [ and ], such as [CEG]2");
    }
    reader->at++;
    if (!chord.notes)
        return abc_fault(reader, from, PASSO_ERR_SYNTAX, "there is no note between [ and ]");
    if (!abc_length_factor(reader, &factor))
        return false;
    factor = passo_ratio_mul(factor, chord.factor);
    if (!sound(reader, from, chord.pitch, factor, true))
        return false;
    reader->left_out += chord.notes - 1;
    reader->tied = chord.tied;
    return true;
}
