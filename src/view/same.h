/* Whether two snapshots look the same in a region, so that it need not be painted again. Thread:
 * main. */
#ifndef PASSO_VIEW_SAME_H
#define PASSO_VIEW_SAME_H

#include "session/view.h"
#include "view/layout.h"

/* The days of both, if they have one, are two objects: one that changes in place is like itself. */
bool same_region(enum region region, const struct passo_snapshot *a,
                 const struct passo_snapshot *b);

#endif
