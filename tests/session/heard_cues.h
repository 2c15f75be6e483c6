/* The cues on their way to the player, for the tests of what the machine plays. The test's link
 * wraps the call. */
#ifndef PASSO_TESTS_SESSION_HEARD_CUES_H
#define PASSO_TESTS_SESSION_HEARD_CUES_H

#include "heard.h"

enum passo_error __real_passo_player_cue(struct passo_player *player, enum passo_cue cue,
                                         int64_t at);
enum passo_error __wrap_passo_player_cue(struct passo_player *player, enum passo_cue cue,
                                         int64_t at);

static struct {
    enum passo_cue cue;
    int64_t at;
} cue[256];
static size_t cues;

enum passo_error __wrap_passo_player_cue(struct passo_player *player, enum passo_cue which,
                                         int64_t at)
{
    assert_true(cues < 256);
    cue[cues].cue = which;
    cue[cues++].at = at;
    return __real_passo_player_cue(player, which, at);
}

static inline bool cue_at(enum passo_cue which, int64_t at)
{
    for (size_t i = 0; i < cues; i++)
        if (cue[i].cue == which && cue[i].at == at)
            return true;
    return false;
}

static inline size_t cues_of(enum passo_cue which)
{
    size_t count = 0;
    for (size_t i = 0; i < cues; i++)
        count += cue[i].cue == which;
    return count;
}

#endif
