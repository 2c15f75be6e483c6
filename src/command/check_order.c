/* The order of a check. The programme's order holds, but that the last spot is to be a comfortable
 * one: if the log knows that the last is none, the most secure one goes there. Runs on the main
 * thread. */
#include "command/check_parts.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <passo/random.h>
#include "store/day.h"

static const double comfortable_share = 0.95;

bool check_is_comfortable(const struct spot *spot)
{
    return !spot->practice.guessed && spot->practice.level >= log(comfortable_share);
}

static const struct spot *spot_of(const struct check *check, size_t at)
{
    return &check->spots.at[check->item[at].spot];
}

/* Of a spot that the log does not know nothing is taken for sure. */
static double known_level(const struct spot *spot)
{
    return spot->practice.guessed ? -INFINITY : spot->practice.level;
}

int64_t check_time_ms(const struct spot *spot, int32_t permille)
{
    const int64_t count_in_ms = spot->count_in_ms * 1000 / permille;
    const int64_t played_ms = spot->played_ms * 1000 / permille;
    const int64_t rest_ms = played_ms * CHECK_REST_PERMILLE / 1000;
    return count_in_ms + played_ms +
           (rest_ms > CHECK_REST_LEAST_MS ? rest_ms : CHECK_REST_LEAST_MS);
}

/* Who is looked at first where not all have room: a comfortable one, for the end; then those of
 * which the log knows nothing, then the least secure; of equals the one that comes first. */
static size_t next_kept(const struct check *check, const bool *kept, bool comfortable)
{
    size_t best = SIZE_MAX;
    for (size_t i = 0; i < check->items; i++) {
        if (kept[i] || (comfortable && !check_is_comfortable(spot_of(check, i))))
            continue;
        const double level = known_level(spot_of(check, i));
        if (best == SIZE_MAX || (comfortable ? level > known_level(spot_of(check, best))
                                             : level < known_level(spot_of(check, best))))
            best = i;
    }
    return best;
}

static size_t shortest(const struct check *check)
{
    size_t best = 0;
    for (size_t i = 1; i < check->items; i++)
        if (check->item[i].ms < check->item[best].ms)
            best = i;
    return best;
}

/* What does not fit under CHECK_MOST_MS is left out; if each is too long alone, all but the
 * shortest.
 */
static void shorten(struct check *check)
{
    bool *seen = passo_xcalloc(check->items + 1, sizeof *seen);
    int64_t ms = 0;
    size_t kept = 0;
    for (size_t turn = 0; turn <= check->items; turn++) {
        const size_t at = next_kept(check, seen, turn == 0);
        if (at == SIZE_MAX)
            continue;
        seen[at] = true;
        const bool fits = ms + check->item[at].ms <= CHECK_MOST_MS;
        ms += fits ? check->item[at].ms : 0;
        check->left_out[check->item[at].spot] = !fits;
    }
    if (ms == 0)
        check->left_out[check->item[shortest(check)].spot] = false;
    for (size_t i = 0; i < check->items; i++)
        if (!check->left_out[check->item[i].spot])
            check->item[kept++] = check->item[i];
    check->items = kept;
    free(seen);
}

static void swap(struct check *check, size_t a, size_t b)
{
    const struct check_item item = check->item[a];
    check->item[a] = check->item[b];
    check->item[b] = item;
}

static void draw(struct check *check)
{
    struct passo_random random;
    uint64_t seed =
        check->options->seeded ? check->options->seed : (uint64_t)passo_day_count(check->today);
    passo_random_seed(&random, seed);
    for (size_t i = check->items; i > 1; i--)
        swap(check, i - 1, passo_random_below(&random, (uint32_t)i));
}

/* The most secure of all goes to the end; the others keep their order. */
static void end_comfortably(struct check *check)
{
    size_t best = 0;
    if (check->items < 2 || check_is_comfortable(spot_of(check, check->items - 1)))
        return;
    for (size_t i = 1; i < check->items; i++)
        if (known_level(spot_of(check, i)) >= known_level(spot_of(check, best)))
            best = i;
    const struct check_item item = check->item[best];
    /* Nothing is known of the last: it stays, unless one is known to be comfortable. */
    if (spot_of(check, check->items - 1)->practice.guessed &&
        !check_is_comfortable(spot_of(check, best)))
        return;
    memmove(&check->item[best], &check->item[best + 1],
            (check->items - 1 - best) * sizeof check->item[0]);
    check->item[check->items - 1] = item;
    check->item[check->items - 1].moved = true;
}

void check_order(struct check *check)
{
    check->item = passo_xcalloc(check->spots.count + 1, sizeof *check->item);
    check->left_out = passo_xcalloc(check->spots.count + 1, sizeof *check->left_out);
    check->items = check->spots.count;
    for (size_t i = 0; i < check->items; i++)
        check->item[i] = (struct check_item){
            .spot = i, .ms = check_time_ms(&check->spots.at[i], check->at_permille)};
    shorten(check);
    if (check->options->drawn)
        draw(check);
    end_comfortably(check);
}
