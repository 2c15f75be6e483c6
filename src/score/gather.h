/* What the readers of MIDI and of MusicXML share: one sentence for a fault, text that is safe to
 * show, lists that grow, and the choice of a part. Thread: any. */
#ifndef PASSO_SCORE_GATHER_H
#define PASSO_SCORE_GATHER_H

#include "score/score.h"

/* The fault of a reading. `error` is PASSO_OK until one is told; the first stays. */
struct gather_fault {
    char *text;
    size_t bytes;
    enum passo_error error;
};

/* A sentence without a full stop; returns false, for the caller to return it. */
__attribute__((format(printf, 3, 4))) bool
gather_fault(struct gather_fault *fault, enum passo_error error, const char *format, ...);

/* The text of a file as it may be shown: UTF-8, no control characters, one blank where several (or
 * line ends) stand, none at the ends. What is not UTF-8 becomes '?'. */
void gather_text(const char *text, size_t bytes, char out[PASSO_TEXT_MAX]);

/* A list of `count` elements with room for one more; malloc()ed. Grows in powers of two. */
void *gather_room(void *list, size_t count, size_t element_bytes);

/* Finds the part that was asked for: by its number from 1, by its name in any case of ASCII
 * letters, or by a piece of it that one name alone has. "" is `first`. The names are `parts` many,
 * at least one. False: nothing or too much fits, and the sentence names the parts there are. */
bool gather_part(const char (*name)[PASSO_TEXT_MAX], size_t parts, const char *ask, size_t first,
                 size_t *out_part, struct gather_fault *fault);

#endif
