/* The bars of a MIDI file: each as long as its time signature, or as far as the next one. */
#include "score/midi_priv.h"

/* What is in force while the bars are laid; each kind of mark has a cursor of its own. */
struct laying {
    const struct midi_marks *marks;
    int64_t whole_ticks;
    size_t meters; /* the next mark to look at */
    size_t keys;
    struct passo_meter meter;
    struct passo_key key;
};

static struct passo_ratio place(const struct laying *laying, const struct midi_mark *mark)
{
    return passo_ratio(mark->tick, laying->whole_ticks);
}

/* The next mark of a kind from *cursor on, or NULL. */
static const struct midi_mark *next(const struct laying *laying, size_t *cursor,
                                    enum midi_meta kind)
{
    const struct midi_marks *marks = laying->marks;
    while (*cursor < marks->marks && marks->mark[*cursor].kind != kind)
        (*cursor)++;
    return *cursor < marks->marks ? &marks->mark[*cursor] : NULL;
}

/* Brings what is in force to a place: marks that stand there count. */
static void go_to(struct laying *laying, struct passo_ratio at)
{
    const struct midi_mark *mark;
    while ((mark = next(laying, &laying->meters, MIDI_META_METER)) &&
           passo_ratio_cmp(place(laying, mark), at) <= 0) {
        PASSO_BUG_ON(passo_meter_init(&laying->meter, mark->is.meter.count, mark->is.meter.unit) !=
                     PASSO_OK);
        laying->meters++;
    }
    while ((mark = next(laying, &laying->keys, MIDI_META_KEY)) &&
           passo_ratio_cmp(place(laying, mark), at) <= 0) {
        laying->key = mark->is.key;
        laying->keys++;
    }
}

static bool add_bar(struct laying *laying, struct score_builder *build, struct passo_ratio at)
{
    struct passo_score_bar bar = {.at = at, .meter = laying->meter, .key = laying->key};
    const struct midi_mark *change = next(laying, &laying->meters, MIDI_META_METER);
    bar.length = passo_meter_length(&laying->meter);
    if (change && passo_ratio_cmp(place(laying, change), passo_ratio_add(at, bar.length)) < 0)
        bar.length = passo_ratio_sub(place(laying, change), at);
    return score_add_bar(build, &bar);
}

/* Numbers from 1; a first bar that a time signature cuts short is a pickup, numbered 0. */
static void number_bars(struct passo_score *score)
{
    const struct passo_ratio full = passo_meter_length(&score->bar[0].meter);
    score->bar[0].pickup = score->bars > 1 && passo_ratio_cmp(score->bar[0].length, full) < 0;
    for (size_t i = 0; i < score->bars; i++)
        score->bar[i].number = (int32_t)i + !score->bar[0].pickup;
}

static bool add_tempi(const struct laying *laying, int64_t end, struct score_builder *build)
{
    struct passo_score *score = build->score;
    for (size_t i = 0; i < laying->marks->marks; i++) {
        const struct midi_mark *mark = &laying->marks->mark[i];
        if (mark->kind != MIDI_META_TEMPO || (mark->tick >= end && mark->tick))
            continue;
        const struct passo_score_tempo tempo = {
            place(laying, mark), midi_tempo_mbpm(mark->is.quarter_us), {1, 4}};
        if (score->tempi && !passo_ratio_cmp(score->tempo[score->tempi - 1].at, tempo.at))
            score->tempo[score->tempi - 1] = tempo;
        else if (!score_add_tempo(build, &tempo))
            return false;
    }
    return true;
}

bool midi_bars(const struct midi_marks *marks, int64_t whole_ticks, int64_t end,
               struct passo_key key, struct score_builder *build)
{
    struct laying laying = {.marks = marks, .whole_ticks = whole_ticks, .key = key};
    const struct passo_ratio until = passo_ratio(end, whole_ticks);
    struct passo_ratio at = {0, 1};
    PASSO_BUG_ON(passo_meter_init(&laying.meter, 4, 4) != PASSO_OK); /* where none stands */
    do {
        go_to(&laying, at);
        if (!add_bar(&laying, build, at))
            return false;
        if (!score_sum(at, build->score->bar[build->score->bars - 1].length, &at))
            return score_fault(build, PASSO_ERR_RANGE,
                               "bar %zu: it is too far on, or begins between two notes of 1/%d; a "
                               "file in which time signatures stand at bar lines will do",
                               build->score->bars, SCORE_TERM_MAX);
    } while (passo_ratio_cmp(at, until) < 0);
    number_bars(build->score);
    return add_tempi(&laying, end, build);
}
