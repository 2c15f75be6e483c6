/* Where the reading of a MusicXML file stands: places in measures, bars, and the tempi, which may
 * be printed in another part than the one that is read. */
#include "score/musicxml_priv.h"

#include <stdlib.h>

/* With measures of at most so many whole notes, what is summed stays within the limits of exact
 * places. */
#define MEASURE_MAX 128

bool musicxml_add(struct musicxml *music, struct passo_ratio *at, struct passo_ratio by)
{
    if (score_sum(*at, by, at))
        return true;
    *at = (struct passo_ratio){0, 1};
    return xml_fault(music->xml, PASSO_ERR_RANGE,
                     "lengths that have no common part over 1/%d of a whole note; divisions that "
                     "stay the same will do",
                     SCORE_TERM_MAX);
}

void musicxml_move(struct musicxml *music, bool forward)
{
    struct musicxml_part *part = &music->part[music->current];
    struct passo_ratio by = music->note.length;
    if (!forward)
        by.num = -by.num;
    if (!musicxml_add(music, &part->at, by))
        return;
    if (part->at.num < 0) {
        part->at = (struct passo_ratio){0, 1};
        xml_fault(music->xml, PASSO_ERR_SYNTAX,
                  "a backup of more than stands in the measure; it may go back to its beginning");
        return;
    }
    if (passo_ratio_cmp(part->at, part->reach) > 0)
        part->reach = part->at;
    if (part->reach.num / part->reach.den >= MEASURE_MAX)
        xml_fault(music->xml, PASSO_ERR_RANGE,
                  "a measure of more than %d whole notes; no score has that", MEASURE_MAX);
}

/* --- bars --- */

static void add_bar(struct musicxml *music)
{
    const struct passo_score *score = music->score;
    struct passo_score_bar bar = {
        .number = music->number, .at = {0, 1}, .meter = music->meter, .key = music->key};
    if (score->bars) {
        bar.at = score->bar[score->bars - 1].at;
        if (!musicxml_add(music, &bar.at, score->bar[score->bars - 1].length))
            return;
    }
    score_add_bar(&music->build, &bar);
}

static bool is_read(const struct musicxml *music)
{
    return music->reads && music->current == music->chosen;
}

void musicxml_measure_begin(struct musicxml *music)
{
    struct musicxml_part *part = &music->part[music->current];
    part->at = part->reach = (struct passo_ratio){0, 1};
    if (music->timewise)
        part->measure = music->measures - 1;
    if (is_read(music))
        add_bar(music);
}

/* A measure in which nothing stands is as long as its meter: some programs leave out the rests. */
void musicxml_measure_end(struct musicxml *music)
{
    struct musicxml_part *part = &music->part[music->current];
    part->measure++;
    if (!is_read(music))
        return;
    struct passo_score_bar *bar = &music->score->bar[music->score->bars - 1];
    musicxml_line_close(music);
    bar->length = part->reach.num ? part->reach : passo_meter_length(&bar->meter);
}

void musicxml_measure_skip(struct musicxml *music)
{
    add_bar(music);
    if (music->build.error != PASSO_OK)
        return;
    struct passo_score_bar *bar = &music->score->bar[music->score->bars - 1];
    bar->length = passo_meter_length(&bar->meter);
}

/* --- tempi --- */

void musicxml_tempo_add(struct musicxml *music, bool printed, int64_t mbpm, struct passo_ratio beat)
{
    const struct musicxml_part *part = &music->part[music->current];
    if (!music->reads || !mbpm || !beat.num)
        return;
    if (music->tempi == PASSO_SCORE_NOTES_MAX) {
        xml_fault(music->xml, PASSO_ERR_RANGE, "more than %d tempi; a shorter file will do",
                  PASSO_SCORE_NOTES_MAX);
        return;
    }
    mbpm = mbpm < PASSO_TEMPO_MIN_MBPM   ? PASSO_TEMPO_MIN_MBPM
           : mbpm > PASSO_TEMPO_MAX_MBPM ? PASSO_TEMPO_MAX_MBPM
                                         : mbpm;
    music->tempo = list_room(music->tempo, music->tempi, sizeof *music->tempo);
    music->tempo[music->tempi] = (struct musicxml_tempo){.measure = part->measure,
                                                         .at = part->at,
                                                         .printed = printed,
                                                         .mbpm = (int32_t)mbpm,
                                                         .beat = beat,
                                                         .order = music->tempi};
    music->tempi++;
}

static int compare(const void *left, const void *right)
{
    const struct musicxml_tempo *a = left;
    const struct musicxml_tempo *b = right;
    if (a->measure != b->measure)
        return a->measure < b->measure ? -1 : 1;
    const int places = passo_ratio_cmp(a->at, b->at);
    if (places || a->printed != b->printed)
        return places ? places : b->printed - a->printed;
    return (a->order > b->order) - (a->order < b->order);
}

/* Of several in one place the first printed one stands, else the first. */
static void lay_tempi(struct musicxml *music)
{
    struct passo_score *score = music->score;
    if (music->tempi)
        qsort(music->tempo, music->tempi, sizeof *music->tempo, compare);
    for (size_t i = 0; i < music->tempi; i++) {
        const struct musicxml_tempo *tempo = &music->tempo[i];
        if (tempo->measure >= score->bars)
            return;
        const struct passo_score_bar *bar = &score->bar[tempo->measure];
        struct passo_ratio at;
        const struct passo_score_tempo *before =
            score->tempi ? &score->tempo[score->tempi - 1] : NULL;
        if (!score_sum(bar->at, tempo->at, &at) || passo_ratio_cmp(tempo->at, bar->length) > 0 ||
            (before && passo_ratio_cmp(before->at, at) >= 0))
            continue;
        score_add_tempo(&music->build, &(struct passo_score_tempo){at, tempo->mbpm, tempo->beat});
    }
}

void musicxml_finish(struct musicxml *music)
{
    struct passo_score *score = music->score;
    const struct passo_ratio full = passo_meter_length(&score->bar[0].meter);
    score->bar[0].pickup = score->bars > 1 && passo_ratio_cmp(score->bar[0].length, full) < 0;
    if (score->bar[0].pickup)
        score->bar[0].number = score->bar[1].number - 1;
    lay_tempi(music);
}
