/* xoshiro256** 1.0 and splitmix64, after the public-domain reference code of Blackman and Vigna.
 * A bounded number is drawn by multiplication, with the few words that would favour a value drawn
 * again (Lemire 2019). Any thread, one at a time for one generator. */
#include <passo/error.h>
#include <passo/random.h>

static uint64_t rotated(uint64_t word, int bits)
{
    return word << bits | word >> (64 - bits);
}

uint64_t passo_random_mix(uint64_t *state)
{
    uint64_t word = *state += UINT64_C(0x9e3779b97f4a7c15);
    word = (word ^ word >> 30) * UINT64_C(0xbf58476d1ce4e5b9);
    word = (word ^ word >> 27) * UINT64_C(0x94d049bb133111eb);
    return word ^ word >> 31;
}

void passo_random_seed(struct passo_random *random, uint64_t seed)
{
    for (int i = 0; i < 4; i++)
        random->word[i] = passo_random_mix(&seed);
}

uint64_t passo_random_next(struct passo_random *random)
{
    uint64_t *word = random->word;
    const uint64_t result = rotated(word[1] * 5, 7) * 9;
    const uint64_t shifted = word[1] << 17;
    word[2] ^= word[0];
    word[3] ^= word[1];
    word[1] ^= word[2];
    word[0] ^= word[3];
    word[2] ^= shifted;
    word[3] = rotated(word[3], 45);
    return result;
}

uint32_t passo_random_below(struct passo_random *random, uint32_t bound)
{
    PASSO_BUG_ON(bound == 0);
    const uint32_t surplus = (uint32_t)-bound % bound; /* 2^32 mod bound */
    uint64_t product;
    do
        product = (passo_random_next(random) >> 32) * bound;
    while ((uint32_t)product < surplus);
    return (uint32_t)(product >> 32);
}

double passo_random_unit(struct passo_random *random)
{
    return (double)(passo_random_next(random) >> 11) * 0x1p-53;
}
