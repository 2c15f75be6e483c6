/* Play and rest in balance: two sums that grow over the day, and two that begin anew with every
 * long rest. Pure; any thread. */
#include <passo/balance.h>

#include <passo/error.h>
#include <stddef.h>
#include <string.h>

void passo_balance_add(struct passo_balance *balance, int64_t played_ms, int64_t rested_ms,
                       int32_t strain_permille)
{
    PASSO_BUG_ON(played_ms < 0 || rested_ms < 0 || strain_permille < PASSO_STRAIN_USUAL);
    const int64_t weighted_ms = played_ms * strain_permille / PASSO_STRAIN_USUAL;
    balance->played_ms += played_ms;
    balance->rested_ms += rested_ms;
    balance->weighted_ms += weighted_ms;
    balance->since_long_ms += weighted_ms;
    balance->high_ms += weighted_ms - played_ms;
}

void passo_balance_rest(struct passo_balance *balance, int64_t rested_ms)
{
    PASSO_BUG_ON(rested_ms < 0);
    balance->rested_ms += rested_ms;
    if (rested_ms < PASSO_BALANCE_RESTED_MS)
        return;
    balance->since_long_ms = 0;
    balance->high_ms = 0;
}

struct passo_rest_offer passo_balance_offer(const struct passo_balance *balance)
{
    const int64_t debt_ms = balance->weighted_ms - balance->rested_ms;
    if (balance->since_long_ms >= PASSO_BALANCE_LONG_PLAYED_MS)
        return (struct passo_rest_offer){PASSO_REST_LONG, PASSO_BALANCE_LONG_REST_MS};
    if (debt_ms < PASSO_BALANCE_LEAST_MS)
        return (struct passo_rest_offer){PASSO_REST_NONE, 0};
    return (struct passo_rest_offer){
        .why = balance->high_ms * 2 > debt_ms ? PASSO_REST_HIGH : PASSO_REST_EVEN,
        .ms = debt_ms < PASSO_BALANCE_MOST_MS ? debt_ms : PASSO_BALANCE_MOST_MS};
}

static char small(char letter)
{
    return letter >= 'A' && letter <= 'Z' ? (char)(letter - 'A' + 'a') : letter;
}

/* Whatever the locale says of case. */
static bool is_word(const char *tag, size_t length, const char *word)
{
    if (strlen(word) != length)
        return false;
    for (size_t i = 0; i < length; i++) {
        if (small(tag[i]) != word[i])
            return false;
    }
    return true;
}

int32_t passo_balance_strain(const char *tags)
{
    static const char *const straining[] = {"high", "high range", "high register", "loud",
                                            "endurance"};
    for (const char *tag = tags; *tag;) {
        const size_t length = strcspn(tag, ",");
        for (size_t i = 0; i < sizeof straining / sizeof *straining; i++) {
            if (is_word(tag, length, straining[i]))
                return PASSO_STRAIN_HIGH;
        }
        tag += length;
        tag += strspn(tag, ", ");
    }
    return PASSO_STRAIN_USUAL;
}
