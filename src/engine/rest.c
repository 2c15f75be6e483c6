/* The rest after a pass: a share of the playing within its bounds, or a fixed time. */
#include <passo/ladder.h>

struct passo_instant passo_rule_rest(const struct passo_rule *rule, struct passo_instant played,
                                     uint32_t rate_hz)
{
    if (rule->rest_permille == 0)
        return passo_instant_from_ms(rule->rest_fixed_ms, rate_hz);
    struct passo_instant rest = passo_instant_scale(played, rule->rest_permille);
    struct passo_instant least = passo_instant_from_ms(rule->rest_least_ms, rate_hz);
    struct passo_instant most = passo_instant_from_ms(rule->rest_most_ms, rate_hz);
    if (passo_instant_cmp(rest, least) < 0)
        rest = least;
    if (rule->rest_most_ms > 0 && passo_instant_cmp(rest, most) > 0)
        rest = most;
    return rest;
}
