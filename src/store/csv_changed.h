/* Which rows of a file are marked `changed`, and so replace the rows before them. A private header
 * of the store. Thread: the main thread. */
#ifndef PASSO_STORE_CSV_CHANGED_H
#define PASSO_STORE_CSV_CHANGED_H

#include "store/csv_read.h"

struct csv_changed_pass; /* opaque: one pass that was changed */

/* An open hash table. Zero-initialize. */
struct csv_changed {
    struct csv_changed_pass *slot;
    size_t slots; /* 0 or a power of 2 */
    size_t used;
};

void csv_changed_deinit(struct csv_changed *changed);
/* Remembers a row marked `changed`. */
void csv_changed_add(struct csv_changed *changed, const struct passo_row *row);
/* Whether a later row marked `changed` replaces this one. */
bool csv_changed_replaces(const struct csv_changed *changed, const struct passo_row *row);

#endif
