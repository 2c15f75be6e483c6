/* Writes notes as one line of ABC 2.1. Notes are cut at the bar lines into pieces that are tied;
 * between them are rests. An accidental is written wherever a reader might think otherwise, whether
 * he holds accidentals for all octaves or for one. Any thread. */
#include "score/abc_priv.h"

#include <stdlib.h>
#include <string.h>

enum {
    UNIT_TERM_MAX = 512,
    TUPLET_MAX = 63, /* an odd part of a length's denominator */
    LENGTH_MAX = 4096,
    SHORT_TUPLET = 3,
    UNIT_USUAL = 16
};

/* A piece of a note or of a rest, within one bar. */
struct piece {
    const struct passo_note *note; /* NULL: a rest */
    struct passo_ratio at;
    struct passo_ratio length;
    bool tied; /* to the next piece */
    bool first;
};

struct writer {
    FILE *to;
    const struct passo_passage *passage;
    struct passo_ratio unit;
    int8_t signs[ABC_LETTERS];
    /* What stands in the bar, as one reader and another take it. */
    int8_t by_letter[ABC_LETTERS];
    int8_t by_octave[ABC_OCTAVES][ABC_LETTERS];
    bool slurred;
    long tuplet_left; /* pieces of the tuplet that is open */
};

static const struct passo_ratio nothing = {0, 1};

static int64_t odd_part(int64_t den)
{
    while (den % 2 == 0)
        den /= 2;
    return den;
}

/* In how many pieces' time a tuplet of so many is played: the greatest power of two below. */
static int64_t time_of(int64_t odd)
{
    int64_t time = 1;
    while (time * 2 < odd)
        time *= 2;
    return time;
}

/* A length as it is written inside its tuplet: with a power of two below. */
static struct passo_ratio written(struct passo_ratio length)
{
    const int64_t odd = odd_part(length.den);
    return odd == 1 ? length : passo_ratio_mul(length, passo_ratio(odd, time_of(odd)));
}

/* --- pieces --- */

struct pieces {
    struct piece *piece;
    size_t count;
    size_t room;
};

static void add_piece(struct pieces *pieces, struct piece piece)
{
    if (pieces->count == pieces->room) {
        pieces->room = pieces->room ? pieces->room * 2 : 64;
        pieces->piece = passo_xrealloc(pieces->piece, pieces->room * sizeof piece);
    }
    pieces->piece[pieces->count++] = piece;
}

/* From the first note or the pickup to the passage's end or the last note's. */
static void find_ends(const struct passo_notes *notes, const struct passo_passage *passage,
                      struct passo_ratio *out_from, struct passo_ratio *out_to)
{
    const struct passo_place end = {passage->first_bar + passage->bars, nothing};
    *out_from = nothing;
    *out_to = passo_notes_at(passage, end);
    if (!notes->notes)
        return;
    const struct passo_note *last = &notes->note[notes->notes - 1];
    const struct passo_ratio close = passo_ratio_add(last->at, last->length);
    const struct passo_ratio open = notes->note[0].at;
    if (passo_ratio_cmp(close, *out_to) > 0)
        *out_to = close;
    if (passo_ratio_cmp(open, nothing) >= 0)
        return;
    *out_from = passo_ratio_sub(nothing, passage->pickup);
    if (passo_ratio_cmp(open, *out_from) < 0) {
        const struct passo_place bar = {passo_notes_place(passage, open).bar, nothing};
        *out_from = passo_notes_at(passage, bar);
    }
}

/* The notes and rests of [from, to), which is in one bar; *next is the first note that ends behind
 * `from`. */
static void cut_bar(struct pieces *pieces, const struct passo_notes *notes, size_t *next,
                    struct passo_ratio from, struct passo_ratio to)
{
    while (passo_ratio_cmp(from, to) < 0) {
        struct piece piece = {.at = from};
        struct passo_ratio until = to;
        const struct passo_note *note = *next < notes->notes ? &notes->note[*next] : NULL;
        if (note && passo_ratio_cmp(note->at, from) <= 0) {
            const struct passo_ratio end = passo_ratio_add(note->at, note->length);
            piece.note = note;
            piece.first = passo_ratio_cmp(note->at, from) == 0;
            piece.tied = passo_ratio_cmp(end, to) > 0;
            *next += !piece.tied;
            until = piece.tied ? to : end;
        } else if (note && passo_ratio_cmp(note->at, to) < 0) {
            until = note->at;
        }
        piece.length = passo_ratio_sub(until, from);
        add_piece(pieces, piece);
        from = until;
    }
}

/* --- one piece --- */

static void write_length(struct writer *writer, struct passo_ratio length)
{
    const struct passo_ratio factor = passo_ratio_div(written(length), writer->unit);
    if (factor.num != 1)
        fprintf(writer->to, "%lld", (long long)factor.num);
    if (factor.den == 2)
        fputc('/', writer->to);
    else if (factor.den != 1)
        fprintf(writer->to, "/%lld", (long long)factor.den);
}

static void write_accidental(struct writer *writer, struct passo_pitch pitch)
{
    static const char *const signs[] = {"__", "_", "=", "^", "^^"};
    const int letter = passo_pitch_letter(pitch);
    const int alter = passo_pitch_alter(pitch);
    int8_t *by_letter = &writer->by_letter[letter];
    int8_t *by_octave = &writer->by_octave[pitch.octave - PASSO_OCTAVE_MIN][letter];
    if (*by_letter == alter && *by_octave == alter)
        return;
    fputs(signs[alter + 2], writer->to);
    *by_letter = (int8_t)alter;
    *by_octave = (int8_t)alter;
}

/* A note that goes on over the bar line: what comes after it on its line of the staff is in doubt.
 */
static void go_on(struct writer *writer, struct passo_pitch pitch)
{
    const int letter = passo_pitch_letter(pitch);
    if (writer->by_letter[letter] != passo_pitch_alter(pitch))
        writer->by_letter[letter] = ABC_NO_ACCIDENTAL;
}

static void write_pitch(struct writer *writer, struct passo_pitch pitch)
{
    const char letter = "CDEFGAB"[passo_pitch_letter(pitch)];
    const bool lower = pitch.octave > 4;
    fputc(lower ? letter | 0x20 : letter, writer->to);
    for (int octave = pitch.octave; octave > 5; octave--)
        fputc('\'', writer->to);
    for (int octave = pitch.octave; octave < 4; octave++)
        fputc(',', writer->to);
}

static void write_note(struct writer *writer, const struct piece *piece)
{
    const struct passo_note *note = piece->note;
    const bool slur = note->marks & PASSO_NOTE_SLUR;
    if (piece->first) {
        if (slur && !writer->slurred)
            fputc('(', writer->to);
        if (note->marks & PASSO_NOTE_STACCATO)
            fputc('.', writer->to);
        if (note->marks & PASSO_NOTE_TENUTO)
            fputs("!tenuto!", writer->to);
        if (note->marks & PASSO_NOTE_ACCENT)
            fputs("!accent!", writer->to);
        write_accidental(writer, note->pitch);
    } else {
        go_on(writer, note->pitch);
    }
    write_pitch(writer, note->pitch);
    write_length(writer, piece->length);
    if (piece->tied)
        fputc('-', writer->to);
    else if (!slur && writer->slurred)
        fputc(')', writer->to);
    writer->slurred = piece->tied ? writer->slurred || slur : slur;
}

/* Opens a tuplet over the pieces from here that are of its kind, in their bar. */
static void open_tuplet(struct writer *writer, const struct piece *piece, size_t left)
{
    const int64_t odd = odd_part(piece->length.den);
    long run = 0;
    if (writer->tuplet_left || odd == 1)
        return;
    while ((size_t)run < left && odd_part(piece[run].length.den) == odd)
        run++;
    if (odd == SHORT_TUPLET && run >= SHORT_TUPLET) {
        run = SHORT_TUPLET;
        fputs("(3", writer->to);
    } else {
        fprintf(writer->to, "(%lld:%lld:%ld", (long long)odd, (long long)time_of(odd), run);
    }
    writer->tuplet_left = run;
}

static void write_pieces(struct writer *writer, const struct pieces *pieces,
                         struct passo_ratio line)
{
    for (size_t i = 0; i < pieces->count; i++) {
        const struct piece *piece = &pieces->piece[i];
        const struct passo_ratio beats =
            passo_ratio_div(passo_ratio_sub(piece->at, line), writer->passage->beat);
        if (i && beats.den == 1)
            fputc(' ', writer->to);
        open_tuplet(writer, piece, pieces->count - i);
        writer->tuplet_left -= writer->tuplet_left > 0;
        if (piece->note) {
            write_note(writer, piece);
        } else {
            fputc('z', writer->to);
            write_length(writer, piece->length);
        }
    }
}

/* --- the line --- */

static void begin_bar(struct writer *writer)
{
    memcpy(writer->by_letter, writer->signs, sizeof writer->signs);
    for (int i = 0; i < ABC_OCTAVES; i++)
        memcpy(writer->by_octave[i], writer->signs, sizeof writer->signs);
}

static void write_meter(struct writer *writer, const struct passo_meter *meter)
{
    struct passo_meter usual;
    const bool is_usual = passo_meter_init(&usual, meter->count, meter->unit) == PASSO_OK &&
                          passo_meter_same(&usual, meter);
    fputs("[M:", writer->to);
    if (is_usual)
        fprintf(writer->to, "%d", meter->count);
    for (int i = 0; !is_usual && i < meter->groups; i++)
        fprintf(writer->to, "%s%d", i ? "+" : "", meter->group[i]);
    fprintf(writer->to, "/%d]", meter->unit);
}

/* The pieces of [from, to) bar by bar go to `writer`; without a writer they are only looked at:
 * `term` becomes the greatest power of two that a length is parted by. */
struct line {
    const struct passo_notes *notes;
    const struct passo_passage *passage;
    struct passo_ratio from;
    struct passo_ratio to;
    struct writer *writer;
    int64_t term;
    struct passo_ratio longest;
};

/* False: a length cannot be written. */
static bool look_at(struct line *line, const struct pieces *pieces)
{
    for (size_t i = 0; i < pieces->count; i++) {
        const struct passo_ratio length = pieces->piece[i].length;
        const struct passo_ratio value = written(length);
        if (odd_part(length.den) > TUPLET_MAX || value.den > UNIT_TERM_MAX)
            return false;
        if (value.den > line->term)
            line->term = value.den;
        if (passo_ratio_cmp(value, line->longest) > 0)
            line->longest = value;
    }
    return passo_ratio_cmp(line->longest, passo_ratio(LENGTH_MAX, line->term)) <= 0;
}

static bool go_through(struct line *line)
{
    struct passo_place place = passo_notes_place(line->passage, line->from);
    struct passo_ratio from = line->from;
    const struct passo_meter *meter = &line->passage->meter;
    struct pieces pieces = {0};
    size_t next = 0;
    bool fine = true;
    for (; fine && passo_ratio_cmp(from, line->to) < 0; place.bar++) {
        const struct passo_meter *now = passo_passage_meter(line->passage, place.bar);
        const struct passo_ratio begin = passo_ratio_sub(from, place.at);
        const struct passo_ratio end = passo_ratio_add(begin, passo_meter_length(now));
        const struct passo_ratio to = passo_ratio_cmp(end, line->to) < 0 ? end : line->to;
        pieces.count = 0;
        cut_bar(&pieces, line->notes, &next, from, to);
        if (line->writer) {
            if (passo_ratio_cmp(from, line->from) > 0)
                fputs(" | ", line->writer->to);
            if (!passo_meter_same(now, meter))
                write_meter(line->writer, now);
            begin_bar(line->writer);
            write_pieces(line->writer, &pieces, begin);
        } else {
            fine = look_at(line, &pieces);
        }
        meter = now;
        from = to;
        place.at = nothing;
    }
    free(pieces.piece);
    return fine;
}

bool passo_abc_write(const struct passo_notes *notes, const struct passo_passage *passage,
                     struct passo_key key, FILE *to)
{
    struct writer writer = {.to = to, .passage = passage};
    struct line line = {.notes = notes, .passage = passage, .term = UNIT_USUAL, .longest = nothing};
    find_ends(notes, passage, &line.from, &line.to);
    if (!go_through(&line))
        return false;
    abc_signs_of(key, writer.signs);
    writer.unit = passo_ratio(1, line.term);
    line.writer = &writer;
    fprintf(to, "[L:1/%lld]", (long long)line.term);
    /* Bars before the passage's first have numbers below 1, which is that one's. */
    const int32_t bar = passo_notes_place(passage, line.from).bar;
    const struct passo_ratio least = passo_ratio_sub(nothing, passage->pickup);
    if (passo_ratio_cmp(line.from, least) < 0)
        fprintf(to, "[I:setbarnb %d]", bar - passage->first_bar + 1);
    fputc(' ', to);
    go_through(&line);
    fputs(" |", to);
    return true;
}
