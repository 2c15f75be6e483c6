/* A simulated player, for `passo demo`, forecasts and tests: how likely a pass is clean falls with
 * the tempo along a logistic curve, P(clean at T) = 1 / (1 + exp((T - t50) / spread)), and the
 * curve may move up with each pass played. Thread: any, one at a time for one player. No
 * allocation, no clock. */
#ifndef PASSO_PLAYER_MODEL_H
#define PASSO_PLAYER_MODEL_H

#include <passo/ladder.h>
#include <passo/random.h>

struct passo_player_model {
    int32_t t50_mbpm;     /* where half of the passes are clean */
    int32_t spread_mbpm;  /* > 0; the smaller, the steeper */
    int32_t learn_mbpm;   /* t50 rises by this with each pass; 0: nothing is learnt */
    int32_t ceiling_mbpm; /* t50 does not rise above it; not looked at when nothing is learnt */
};

/* How likely a pass at this tempo is clean, 0 to 1. spread_mbpm <= 0 is a bug and stops the
 * program. */
double passo_player_model_clean(const struct passo_player_model *player, int32_t mbpm);
/* Plays a pass: PASSO_MARK_CLEAN or PASSO_MARK_MISS, then learns from it. */
enum passo_mark passo_player_model_play(struct passo_player_model *player,
                                        struct passo_random *random, int32_t mbpm);

#endif
