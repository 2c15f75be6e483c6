/* Scores: freeing. */
#include "score/score.h"

#include <stdlib.h>

void passo_score_deinit(struct passo_score *score)
{
    free(score->note);
    free(score->bar);
    free(score->tempo);
    free(score->part_name);
    *score = (struct passo_score){0};
}
