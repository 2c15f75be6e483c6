/* What is written into the passage: meters, tempi, fermatas, breaths, silence. The key names the
 * place, the value what is written there, several things with commas between. Meters go to the
 * passage at once, for every place is counted in them; the rest is placed when all are known, put
 * in order, and judged so that the engine can time it. */
#include "text/lines.h"
#include "text/reading.h"
#include "text/scan.h"
#include "text/settings.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define PART_MAX   96
#define BEATS_MAX  PASSO_PREPARATION_MAX
#define NOTE_MAX   64    /* whole notes under a fermata */
#define SHARE_MOST 16    /* times, or the part of one */
#define TERM_MAX   65536 /* of the tempo in force, as a ratio to the rung's */

static const char how[] =
    "what is written there is meter 3/4, quarter = dotted quarter, tempo 80 %, a tempo, to 70 %, "
    "fermata x 2, then 1 beat, breath 1 beat, or silent";
static const char limits[] = "a tempo or a length is at least a sixteenth and at most 16 times the "
                             "usual one";

static const char *read_place_key(const char *key, struct range *out_range)
{
    const char *at = key;
    if (!scan_word(&at, "bars") && !scan_word(&at, "bar"))
        return "the place comes first: bar 5, bar 5.3 or bars 9-10";
    return range_read(at, out_range);
}

static bool is_one_place(const struct range *range)
{
    return range->from.bar == range->to.bar && range->from.beat == range->to.beat;
}

static const char *add_meter(const char *text, const struct range *range, struct draft *draft)
{
    struct passo_passage *passage = &draft->setup->passage;
    struct passo_meter meter;
    if (!is_one_place(range) || range->from.beat)
        return "a meter begins with a bar: bar 5 = meter 3/4";
    const char *fault = reading_meter(text, &meter);
    if (fault)
        return fault;
    size_t place = passage->changes;
    for (size_t i = 0; i < passage->changes; i++)
        if (passage->change[i].bar == range->from.bar)
            return "this bar has a meter change already";
    if (place == PASSO_CHANGES_MAX)
        return "a passage has at most 64 meter changes";
    for (; place && passage->change[place - 1].bar > range->from.bar; place--) {
        passage->change[place] = passage->change[place - 1];
        draft->change_line[place] = draft->change_line[place - 1];
    }
    passage->change[place] = (struct passo_meter_change){range->from.bar, meter};
    draft->change_line[place] = draft->own;
    passage->changes++;
    return NULL;
}

static bool share_fits(struct passo_ratio share)
{
    return passo_ratio_cmp(share, passo_ratio(1, SHARE_MOST)) >= 0 &&
           passo_ratio_cmp(share, passo_ratio(SHARE_MOST, 1)) <= 0;
}

static const char *add_written(enum passo_written_kind kind, struct passo_ratio share,
                               const struct range *range, struct draft *draft)
{
    struct passo_passage *passage = &draft->setup->passage;
    bool goes_on =
        kind == PASSO_WRITTEN_TO || kind == PASSO_WRITTEN_FERMATA || kind == PASSO_WRITTEN_SILENT;
    if (!goes_on && !is_one_place(range))
        return "this is written at one place: bar 7, or bar 7.3";
    if (!share_fits(share))
        return limits;
    if (passage->writtens == PASSO_WRITTEN_MAX)
        return "at most 64 such things are written in a passage";
    passage->written[passage->writtens] = (struct passo_written){
        .kind = kind, .share = share, .beats = kind == PASSO_WRITTEN_FERMATA ? 1 : 0};
    draft->written[passage->writtens] = *range;
    draft->written_line[passage->writtens++] = draft->own;
    return NULL;
}

/* "quarter = dotted quarter": the old note, then the new one. False if it is no such thing. */
static bool read_same_note(const char *text, struct passo_ratio *out_share)
{
    struct passo_ratio before;
    struct passo_ratio after;
    char note[PART_MAX];
    const char *at = text;
    if (!scan_part(&at, '=', note, sizeof note) || !at || passo_note_value_read(note, &before) ||
        passo_note_value_read(at, &after))
        return false;
    *out_share = passo_ratio_div(after, before);
    return true;
}

/* "then 2 beats": of the fermata just read. */
static const char *read_preparation(const char *text, struct draft *draft, size_t first)
{
    struct passo_passage *passage = &draft->setup->passage;
    int64_t beats = 0;
    if (passage->writtens == first ||
        passage->written[passage->writtens - 1].kind != PASSO_WRITTEN_FERMATA)
        return "beats of preparation follow a fermata: fermata x 2, then 1 beat";
    if (!scan_match(text, "then # beats|beat", &beats) || !reading_fits(beats, 0, BEATS_MAX))
        return "0 to 16 beats of preparation follow a fermata: fermata x 2, then 1 beat";
    passage->written[passage->writtens - 1].beats = (uint8_t)beats;
    return NULL;
}

static const char *read_written(const char *part, const struct range *range, struct draft *draft,
                                size_t first)
{
    static const char to[] = "rit.|rit|rall.|rall|accel.|accel to %";
    const char *at = part;
    int64_t number = 1000;
    struct passo_ratio share = {1, 1};
    if (scan_word(&at, "meter"))
        return add_meter(at, range, draft);
    if (scan_word(&at, "then"))
        return read_preparation(part, draft, first);
    if (read_same_note(part, &share))
        return add_written(PASSO_WRITTEN_SAME_NOTE, share, range, draft);
    if (scan_match(part, "silent", NULL))
        return add_written(PASSO_WRITTEN_SILENT, share, range, draft);
    if (scan_match(part, "a tempo", NULL) || scan_match(part, "tempo %", &number))
        return add_written(PASSO_WRITTEN_TEMPO, passo_ratio(number, 1000), range, draft);
    if (scan_match(part, "to %", &number) || scan_match(part, to, &number))
        return add_written(PASSO_WRITTEN_TO, passo_ratio(number, 1000), range, draft);
    if (scan_match(part, "breath", NULL) || scan_match(part, "breath ~ beats|beat", &number))
        return add_written(PASSO_WRITTEN_BREATH, passo_ratio(number, 1000), range, draft);
    number = 2000;
    if (scan_match(part, "fermata", NULL) || scan_match(part, "fermata x ~", &number))
        return add_written(PASSO_WRITTEN_FERMATA, passo_ratio(number, 1000), range, draft);
    return how;
}

const char *read_shape(const char *value, struct draft *draft)
{
    struct range range;
    char part[PART_MAX];
    size_t first = draft->setup->passage.writtens;
    const char *fault = read_place_key(draft->own->key, &range);
    for (const char *at = value; !fault && scan_part(&at, ',', part, sizeof part);)
        fault = read_written(part, &range, draft, first);
    return fault;
}

/* A change with its line, while they are put in order. */
struct entry {
    struct passo_written written;
    const struct passo_line *line;
    size_t number;
};

static int compare_places(struct passo_place a, struct passo_place b)
{
    return a.bar != b.bar ? (a.bar > b.bar) - (a.bar < b.bar) : passo_ratio_cmp(a.at, b.at);
}

static bool is_tempo(enum passo_written_kind kind)
{
    return kind == PASSO_WRITTEN_TEMPO || kind == PASSO_WRITTEN_SAME_NOTE ||
           kind == PASSO_WRITTEN_TO;
}

static bool holds(enum passo_written_kind kind)
{
    return kind == PASSO_WRITTEN_TO || kind == PASSO_WRITTEN_FERMATA;
}

/* At one place a breath comes first, then a new tempo, then what goes on from there. */
static int order_at_place(enum passo_written_kind kind)
{
    return kind == PASSO_WRITTEN_BREATH ? 0 : is_tempo(kind) && !holds(kind) ? 1 : 2;
}

/* What stands first; of two of a kind at one place the one that was read first. */
static int compare_entries(const void *a, const void *b)
{
    const struct entry *one = a;
    const struct entry *two = b;
    int order = compare_places(one->written.from, two->written.from);
    if (!order)
        order = order_at_place(one->written.kind) - order_at_place(two->written.kind);
    return order ? order : (one->number > two->number) - (one->number < two->number);
}

/* What is wrong with two changes, the second not before the first. NULL, or why. */
static const char *judge_pair(const struct passo_written *a, const struct passo_written *b)
{
    bool same = !compare_places(a->from, b->from);
    if (same && a->kind == b->kind)
        return "this is written here already";
    if (same && is_tempo(a->kind) && is_tempo(b->kind) && a->kind != PASSO_WRITTEN_TO &&
        b->kind != PASSO_WRITTEN_TO)
        return "this place has a tempo already";
    bool within = compare_places(b->from, a->to) < 0;
    if (holds(a->kind) && within && holds(b->kind))
        return "this begins before what is written earlier has ended: a rit., an accel. or a "
               "fermata stands alone";
    if (holds(a->kind) && within && !same && is_tempo(b->kind))
        return "a tempo stands behind a rit., an accel. or a fermata, not in it";
    if (a->kind == PASSO_WRITTEN_FERMATA && within && !same && b->kind == PASSO_WRITTEN_BREATH)
        return "a breath stands before or behind a fermata, not in it";
    return NULL;
}

/* That the tempo in force stays within what can be timed. NULL, or what would do. */
static const char *follow_tempo(const struct passo_written *written, struct passo_ratio *in_force)
{
    if (written->kind == PASSO_WRITTEN_SAME_NOTE)
        *in_force = passo_ratio_mul(*in_force, written->share);
    else if (is_tempo(written->kind))
        *in_force = written->share;
    if (!share_fits(*in_force))
        return limits;
    if (in_force->num > TERM_MAX || in_force->den > TERM_MAX)
        return "the notes up to here make no tempo that can be counted; tempo 80 % would do";
    return NULL;
}

static void judge_entries(struct draft *draft, const struct entry *entry, size_t entries)
{
    struct passo_ratio in_force = {1, 1};
    for (size_t i = 0; i < entries; i++) {
        const char *fault = follow_tempo(&entry[i].written, &in_force);
        for (size_t j = 0; j < i && !fault; j++)
            fault = judge_pair(&entry[j].written, &entry[i].written);
        if (!fault)
            continue;
        lines_fault(draft->faults, entry[i].line, fault);
        draft->bad[SETTING_shape] = true;
        return;
    }
}

static const char *judge_fermata(const struct passo_passage *passage, const struct passo_loop *note)
{
    struct passo_ratio length = passo_passage_length(passage, note->from, note->to);
    return passo_ratio_cmp(length, passo_ratio(NOTE_MAX, 1)) > 0
               ? "a fermata stands on one note, of at most 64 whole notes"
               : NULL;
}

void shape_join(struct draft *draft)
{
    struct passo_passage *passage = &draft->setup->passage;
    struct entry entry[PASSO_WRITTEN_MAX];
    size_t entries = 0;
    for (size_t i = 0; i < passage->writtens; i++) {
        struct passo_loop where = {0};
        struct passo_written *written = &passage->written[i];
        const char *fault = range_place(draft, &draft->written[i], true, &where);
        if (!fault && written->kind == PASSO_WRITTEN_FERMATA)
            fault = judge_fermata(passage, &where);
        if (fault) {
            lines_fault(draft->faults, draft->written_line[i], fault);
            draft->bad[SETTING_shape] = true;
            continue;
        }
        written->from = where.from;
        written->to =
            holds(written->kind) || written->kind == PASSO_WRITTEN_SILENT ? where.to : where.from;
        entry[entries] = (struct entry){*written, draft->written_line[i], entries};
        entries++;
    }
    qsort(entry, entries, sizeof *entry, compare_entries);
    judge_entries(draft, entry, entries);
    /* Field by field over zeros: setups that are equal are then equal byte by byte. */
    memset(passage->written, 0, sizeof passage->written);
    passage->writtens = entries;
    for (size_t i = 0; i < entries; i++) {
        passage->written[i].kind = entry[i].written.kind;
        passage->written[i].from = entry[i].written.from;
        passage->written[i].to = entry[i].written.to;
        passage->written[i].share = entry[i].written.share;
        passage->written[i].beats = entry[i].written.beats;
    }
}
