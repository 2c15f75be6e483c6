/* The bytes of a file, for the readers of scores and those of text. Thread: the main thread.
 * Blocks: on the disk, never on a pipe or a device. */
#ifndef PASSO_SCORE_BYTES_H
#define PASSO_SCORE_BYTES_H

#include <stddef.h>

/* All bytes of an ordinary file of at most so many, terminated by a 0; free() them. NULL with
 * *out_reason, one clause ("there is no such file"; too_large of one with more bytes), valid until
 * the next call. */
char *passo_bytes_load(const char *path, size_t most, const char *too_large, size_t *out_bytes,
                       const char **out_reason);

#endif
