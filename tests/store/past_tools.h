/* For the tests of earlier days: a wish, and beat units by name. */
#ifndef PASSO_TESTS_STORE_PAST_TOOLS_H
#define PASSO_TESTS_STORE_PAST_TOOLS_H

#include <math.h>
#include <string.h>
#include "store/past.h"

/* Beat units by name, for a room that has no notation. */
static inline enum passo_error read_beat(const char *name, struct passo_ratio *out_beat)
{
    static const struct {
        const char *name;
        struct passo_ratio value;
    } units[] = {{"quarter", {1, 4}}, {"dotted quarter", {3, 8}}, {"eighth", {1, 8}}};
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
        if (strcmp(name, units[i].name))
            continue;
        *out_beat = units[i].value;
        return PASSO_OK;
    }
    return PASSO_ERR_SYNTAX;
}

static inline struct passo_past_wish wish(int32_t today)
{
    return (struct passo_past_wish){.passage = "march",
                                    .piece = "",
                                    .player = "",
                                    .beat = {1, 4},
                                    .target_mbpm = 104000,
                                    .today = today,
                                    .read_beat = read_beat};
}

static inline void near(double got, double wanted, double within)
{
    if (!(fabs(got - wanted) <= within))
        fail_msg("%.12g is not %.12g", got, wanted);
}

static inline int32_t best(const struct passo_past_log *log, const char *loop, const char *variant)
{
    for (size_t i = 0; i < log->pasts; i++) {
        if (!strcmp(log->past[i].loop, loop) && !strcmp(log->past[i].variant, variant))
            return log->past[i].best_clean_mbpm;
    }
    return 0;
}

#endif
