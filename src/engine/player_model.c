/* The simulated player: one draw a pass against a logistic curve, which learning moves up to its
 * ceiling. Doubles are fine here: a probability is no musical time. Any thread. */
#include <passo/player_model.h>

#include <math.h>

double passo_player_model_clean(const struct passo_player_model *player, int32_t mbpm)
{
    PASSO_BUG_ON(player->spread_mbpm <= 0);
    double spreads = ((double)mbpm - (double)player->t50_mbpm) / (double)player->spread_mbpm;
    return 1 / (1 + exp(spreads));
}

static void learn(struct passo_player_model *player)
{
    const int64_t room = (int64_t)player->ceiling_mbpm - player->t50_mbpm;
    if (player->learn_mbpm > 0 && room > 0)
        player->t50_mbpm += player->learn_mbpm < room ? player->learn_mbpm : (int32_t)room;
}

enum passo_mark passo_player_model_play(struct passo_player_model *player,
                                        struct passo_random *random, int32_t mbpm)
{
    const bool clean = passo_random_unit(random) < passo_player_model_clean(player, mbpm);
    learn(player);
    return clean ? PASSO_MARK_CLEAN : PASSO_MARK_MISS;
}
