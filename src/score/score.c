/* Scores: how the readers build them, and freeing. */
#include "score/list.h"
#include "score/score_priv.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

void passo_score_deinit(struct passo_score *score)
{
    free(score->note);
    free(score->bar);
    free(score->tempo);
    free(score->part_name);
    *score = (struct passo_score){0};
}

void score_begin(struct score_builder *builder, struct passo_score *out_score, char *out_fault,
                 size_t fault_bytes)
{
    *out_score = (struct passo_score){0};
    if (fault_bytes)
        out_fault[0] = '\0';
    *builder =
        (struct score_builder){.score = out_score, .fault = out_fault, .fault_bytes = fault_bytes};
}

enum passo_error score_end(struct score_builder *builder)
{
    if (builder->error)
        passo_score_deinit(builder->score);
    return builder->error;
}

bool score_fault(struct score_builder *builder, enum passo_error error, const char *format, ...)
{
    if (builder->error)
        return false;
    va_list values;
    va_start(values, format);
    vsnprintf(builder->fault, builder->fault_bytes, format, values);
    va_end(values);
    builder->error = error;
    return false;
}

bool score_is_exact(struct passo_ratio value)
{
    return value.den <= SCORE_TERM_MAX && passo_ratio_floor(value) < SCORE_WHOLE_MAX &&
           passo_ratio_floor(value) >= -SCORE_WHOLE_MAX;
}

bool score_sum(struct passo_ratio a, struct passo_ratio b, struct passo_ratio *out_sum)
{
    *out_sum = passo_ratio_add(a, b);
    return score_is_exact(*out_sum);
}

static bool joins(const struct passo_score *score, const struct passo_note *note)
{
    if (!score->notes)
        return false;
    const struct passo_note *last = &score->note[score->notes - 1];
    return last->pitch.fifths == note->pitch.fifths && last->pitch.octave == note->pitch.octave &&
           passo_ratio_cmp(passo_ratio_add(last->at, last->length), note->at) == 0;
}

static bool join(struct score_builder *builder, const struct passo_note *note)
{
    struct passo_note *last = &builder->score->note[builder->score->notes - 1];
    if (!score_sum(last->length, note->length, &last->length))
        return score_fault(builder, PASSO_ERR_RANGE, "tied notes are too long to count");
    last->marks = (uint8_t)((last->marks & ~PASSO_NOTE_SLUR) | note->marks);
    return true;
}

bool score_add_note(struct score_builder *builder, const struct passo_note *note, bool tied)
{
    struct passo_score *score = builder->score;
    if (builder->error)
        return false;
    if (tied && joins(score, note))
        return join(builder, note);
    if (score->notes == PASSO_SCORE_NOTES_MAX)
        return score_fault(builder, PASSO_ERR_RANGE, "there are more than %d notes",
                           PASSO_SCORE_NOTES_MAX);
    score->note = list_room(score->note, score->notes, sizeof *score->note);
    score->note[score->notes++] = *note;
    return true;
}

bool score_add_bar(struct score_builder *builder, const struct passo_score_bar *bar)
{
    struct passo_score *score = builder->score;
    if (builder->error)
        return false;
    if (score->bars == PASSO_SCORE_BARS_MAX)
        return score_fault(builder, PASSO_ERR_RANGE, "there are more than %d bars",
                           PASSO_SCORE_BARS_MAX);
    score->bar = list_room(score->bar, score->bars, sizeof *score->bar);
    score->bar[score->bars++] = *bar;
    return true;
}

bool score_add_tempo(struct score_builder *builder, const struct passo_score_tempo *tempo)
{
    struct passo_score *score = builder->score;
    if (builder->error)
        return false;
    if (score->tempi == PASSO_SCORE_BARS_MAX)
        return score_fault(builder, PASSO_ERR_RANGE, "there are more than %d tempo marks",
                           PASSO_SCORE_BARS_MAX);
    score->tempo = list_room(score->tempo, score->tempi, sizeof *score->tempo);
    score->tempo[score->tempi++] = *tempo;
    return true;
}

bool score_add_part(struct score_builder *builder, const char *name, size_t bytes)
{
    struct passo_score *score = builder->score;
    if (builder->error)
        return false;
    if (score->parts == PASSO_SCORE_PARTS_MAX)
        return score_fault(builder, PASSO_ERR_RANGE, "there are more than %d parts",
                           PASSO_SCORE_PARTS_MAX);
    score->part_name = list_room(score->part_name, score->parts, sizeof *score->part_name);
    score_text(name, bytes, score->part_name[score->parts++]);
    return true;
}
