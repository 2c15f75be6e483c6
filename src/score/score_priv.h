/* What the readers share: a score that grows within its limits, exact places that cannot overflow,
 * text that is safe to show, and the one sentence of what is wrong. Not for other rooms. Thread:
 * any but the audio thread. */
#ifndef PASSO_SCORE_SCORE_PRIV_H
#define PASSO_SCORE_SCORE_PRIV_H

#include "score/score.h"

/* Places and lengths are fractions with a denominator of at most this (a sixty-fourth in a tuplet
 * of 9, 5 and 7 at once is 20160), and lie within so many whole notes. Sums and differences of such
 * fractions always fit. */
#define SCORE_TERM_MAX  (1 << 20)
#define SCORE_WHOLE_MAX (1 << 20)

/* A score that is being read. The first fault stays; what is added after it is let be. */
struct score_builder {
    struct passo_score *score;
    enum passo_error error; /* of the first fault; PASSO_OK if there is none */
    char *fault;
    size_t fault_bytes;
};

/* *out_score is emptied, and so is the sentence. */
void score_begin(struct score_builder *builder, struct passo_score *out_score, char *out_fault,
                 size_t fault_bytes);
/* The result of the reading: after a fault the score is freed and empty. */
enum passo_error score_end(struct score_builder *builder);

/* Writes the sentence (no full stop) unless there is one already. Always false. */
bool score_fault(struct score_builder *builder, enum passo_error error, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* False: the value is beyond the limits above. The operands lie within them. */
bool score_is_exact(struct passo_ratio value);
bool score_sum(struct passo_ratio a, struct passo_ratio b, struct passo_ratio *out_sum);

/* Each returns false after a fault, also one of before. Notes, bars and tempi come in order. A note
 * that is tied to the last one joins it if it begins where that ends and has its pitch: the lengths
 * are summed, the slur is the later one's. */
bool score_add_note(struct score_builder *builder, const struct passo_note *note, bool tied);
bool score_add_bar(struct score_builder *builder, const struct passo_score_bar *bar);
bool score_add_tempo(struct score_builder *builder, const struct passo_score_tempo *tempo);
/* The name is made safe; "" if there is none. */
bool score_add_part(struct score_builder *builder, const char *name, size_t bytes);

/* Which part is asked for: a number from 1, or a name or a part of one in any case (the whole name
 * before a part of one); "" the first with notes, or the first. `notes` counts those of each part.
 * A part that is not there is a fault that names those that are. Sets score->part. */
bool score_choose_part(struct score_builder *builder, const char *asked, const size_t *notes,
                       size_t *out_part);

/* A copy of some bytes of a file as one line of at most PASSO_TEXT_MAX bytes that is safe to show,
 * without blanks at its ends: control characters, turns of the writing's direction and broken
 * UTF-8 become '?'. Returns out. */
const char *score_text(const char *bytes, size_t count, char out[PASSO_TEXT_MAX]);

#endif
