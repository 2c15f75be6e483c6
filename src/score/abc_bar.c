/* The bars of ABC: their places, lengths and numbers. Any thread. */
#include "score/abc_priv.h"

#include <string.h>

void abc_open_bar(struct abc_reader *reader)
{
    if (reader->bar_open)
        return;
    reader->bar_open = true;
    reader->bar =
        (struct passo_score_bar){.at = reader->now, .meter = reader->meter, .key = reader->key};
}

/* At a repeat or a double line a bar may be written in two shares: both have its number. */
static bool is_second_share(const struct abc_reader *reader, struct passo_ratio whole)
{
    const struct passo_score *score = reader->build.score;
    if (!reader->parted || !score->bars)
        return false;
    const struct passo_score_bar *first = &score->bar[score->bars - 1];
    return !first->pickup &&
           passo_ratio_cmp(passo_ratio_add(first->length, reader->bar.length), whole) == 0;
}

static bool add_bar(struct abc_reader *reader)
{
    struct passo_score *score = reader->build.score;
    struct passo_score_bar *bar = &reader->bar;
    const struct passo_ratio whole = passo_meter_length(&bar->meter);
    bar->length = passo_ratio_sub(reader->now, bar->at);
    bar->pickup = !score->bars && passo_ratio_cmp(bar->length, whole) < 0;
    if (bar->pickup)
        bar->number = reader->number - 1;
    else if (is_second_share(reader, whole))
        bar->number = score->bar[score->bars - 1].number;
    else
        bar->number = reader->number++;
    return score_add_bar(&reader->build, bar);
}

bool abc_close_bar(struct abc_reader *reader, bool parts)
{
    if (reader->broken)
        return abc_fault(reader, reader->at, PASSO_ERR_SYNTAX,
                         "> and < stand between two notes of one bar");
    reader->last = ABC_LAST_NONE;
    if (reader->accidentals) {
        memset(reader->by_letter, ABC_NO_ACCIDENTAL, sizeof reader->by_letter);
        memset(reader->by_octave, ABC_NO_ACCIDENTAL, sizeof reader->by_octave);
        reader->accidentals = false;
    }
    if (!reader->bar_open) {
        reader->parted |= parts;
        return true;
    }
    if (!add_bar(reader))
        return false;
    reader->bar_open = false;
    reader->parted = parts;
    return true;
}
