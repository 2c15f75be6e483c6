/* Tempos in drawn order: a clean pass (with several turns a clean round) puts its rung away, a miss
 * leaves it in. Each draw has a generator of its own, seeded by the rule's seed and the number of
 * the draw, so that the course is a pure function of rule and events. Pure; any thread. */
#include "engine/ladder_priv.h"

#include <passo/random.h>

#include <string.h>

#define WORD_BITS 64

static bool is_in(const struct passo_ladder_state *state, int rung)
{
    return !(state->put_away[rung / WORD_BITS] >> (rung % WORD_BITS) & 1);
}

/* Never the rung just played (-1: none was) while others are left. */
static uint16_t draw(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                     int just_played)
{
    uint32_t others = 0;
    for (int rung = 0; rung <= ladder->highest; rung++)
        others += rung != just_played && is_in(state, rung);
    const uint32_t number = state->drawn++;
    if (!others)
        return (uint16_t)just_played;
    uint64_t stream = ladder->rule.seed;
    struct passo_random dice;
    passo_random_seed(&dice, passo_random_mix(&stream) + number);
    uint32_t skip = passo_random_below(&dice, others);
    int rung = 0;
    while (rung == just_played || !is_in(state, rung) || skip--)
        rung++;
    return (uint16_t)rung;
}

void ladder_mixed_begin(const struct passo_ladder *ladder, struct passo_ladder_state *state)
{
    if (!ladder->opening)
        state->rung = draw(ladder, state, -1);
}

void ladder_mixed_put_away(struct passo_ladder_state *state)
{
    state->put_away[state->rung / WORD_BITS] |= UINT64_C(1) << (state->rung % WORD_BITS);
}

bool ladder_mixed_all_away(const struct passo_ladder *ladder,
                           const struct passo_ladder_state *state)
{
    int rung = 0;
    while (rung <= ladder->highest && !is_in(state, rung))
        rung++;
    return rung > ladder->highest;
}

/* Under a ceiling the target stays out of reach: once all are away, all come in again. */
void ladder_mixed_move(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                       bool clean, struct passo_decision *decision)
{
    ladder_decide(decision, PASSO_MOVE_HELD, clean ? PASSO_REASON_PUT_AWAY : PASSO_REASON_STAYS_IN);
    if (ladder_mixed_all_away(ladder, state)) {
        memset(state->put_away, 0, sizeof state->put_away);
        decision->reason = PASSO_REASON_CEILING;
    }
    ladder_clear_rung(ladder, state);
    state->rung = draw(ladder, state, state->rung);
}

uint16_t ladder_mixed_by_hand(const struct passo_ladder *ladder,
                              const struct passo_ladder_state *state, bool harder)
{
    const int step = harder ? 1 : -1;
    int rung = state->rung + step;
    while (rung >= 0 && rung <= ladder->highest && !is_in(state, rung))
        rung += step;
    return rung >= 0 && rung <= ladder->highest ? (uint16_t)rung : state->rung;
}
