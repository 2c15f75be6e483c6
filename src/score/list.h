/* Lists that grow while a file is read. Not for other rooms. Thread: any but the audio thread. */
#ifndef PASSO_SCORE_LIST_H
#define PASSO_SCORE_LIST_H

#include <stddef.h>

/* The list with room for one more element than the `count` it has; malloc()ed, NULL at first. It
 * is doubled at powers of two, so that adding stays linear: call it for each element, in order. */
void *list_room(void *list, size_t count, size_t element_bytes);

#endif
