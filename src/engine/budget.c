/* Water-filling within bounds.
 *
 * What is needed to bring all to a level rises with the level in straight lines, which meet where a
 * share leaves its least or comes to its most. These bends are sorted and the first one that needs
 * as much as there is, or more, is found by halving; the level lies on the line before it, where
 * only those shares rise that are between their bounds on all of it. What is left over at the
 * line's beginning is then parted by one division, so that the minutes add up to what rounding
 * leaves.
 *
 * All sums are taken in one order of the shares that depends on their values alone: their order in
 * the array changes no bit of what comes out. Pure but for the memory of the call; any thread. */
#include <passo/budget.h>

#include <math.h>
#include <stdlib.h>

/* Shares and bends while they are being worked at. */
struct filling {
    struct passo_share **share; /* in the order of their values */
    size_t shares;
    double *bend; /* levels, ascending */
    size_t bends;
};

/* Above the level `from`, and not above `to`, lies the common one. */
struct line {
    double from; /* -INFINITY: it is `to` itself */
    double to;   /* INFINITY: there is no further bend */
    double rise; /* from `from` */
};

static int ascending(double a, double b)
{
    return (a > b) - (a < b);
}

static int by_number(const void *a, const void *b)
{
    return ascending(*(const double *)a, *(const double *)b);
}

static int by_values(const void *a, const void *b)
{
    const struct passo_share *one = *(struct passo_share *const *)a;
    const struct passo_share *other = *(struct passo_share *const *)b;
    int order = ascending(one->level, other->level);
    if (order == 0)
        order = ascending(one->rate, other->rate);
    if (order == 0)
        order = ascending(one->least, other->least);
    return order == 0 ? ascending(one->most, other->most) : order;
}

/* The levels at which a share leaves its least and comes to its most. */
static double bend_least(const struct passo_share *share)
{
    return share->level + share->rate * share->least;
}

static double bend_most(const struct passo_share *share)
{
    return share->level + share->rate * share->most;
}

/* A level or a least without end makes its bend so. */
static bool is_fine(const struct passo_share *share)
{
    return share->rate > 0 && isfinite(1 / share->rate) && share->least >= 0 &&
           share->most >= share->least && isfinite(bend_least(share)) &&
           (share->most == INFINITY || isfinite(bend_most(share)));
}

static double within(double minutes, const struct passo_share *share)
{
    return fmin(fmax(minutes, share->least), share->most);
}

/* What brings a share to the level. The bends are asked first: rounding must not let anything rise
 * where nothing does. */
static double minutes_to(double level, const struct passo_share *share)
{
    if (level <= bend_least(share))
        return share->least;
    if (level >= bend_most(share))
        return share->most;
    return within((level - share->level) / share->rate, share);
}

static double needed(const struct filling *filling, double level)
{
    double minutes = 0;
    for (size_t i = 0; i < filling->shares; i++)
        minutes += minutes_to(level, filling->share[i]);
    return minutes;
}

static bool rises_on(const struct line *line, const struct passo_share *share)
{
    return bend_least(share) < line->to && bend_most(share) > line->from;
}

/* There is as much as the least of all and less than the most of all. */
static struct line line_of(const struct filling *filling, double minutes)
{
    size_t low = 0;
    size_t high = filling->bends;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (needed(filling, filling->bend[middle]) < minutes)
            low = middle + 1;
        else
            high = middle;
    }
    struct line line = {.from = low > 0 ? filling->bend[low - 1] : -INFINITY,
                        .to = low < filling->bends ? filling->bend[low] : INFINITY};
    if (low == 0)
        return line;
    double minutes_a_level = 0;
    for (size_t i = 0; i < filling->shares; i++) {
        if (rises_on(&line, filling->share[i]))
            minutes_a_level += 1 / filling->share[i]->rate;
    }
    line.rise = (minutes - needed(filling, line.from)) / minutes_a_level;
    return line;
}

static void give(struct passo_share *share, const struct line *line)
{
    if (bend_least(share) >= line->to) {
        share->why = PASSO_SHARE_LEAST;
        share->minutes = share->least;
    } else if (bend_most(share) <= line->from) {
        share->why = PASSO_SHARE_MOST;
        share->minutes = share->most;
    } else {
        share->why = PASSO_SHARE_LEVEL;
        share->minutes = within(minutes_to(line->from, share) + line->rise / share->rate, share);
    }
    share->after = share->level + share->rate * share->minutes;
}

static void fill(struct filling *filling, double minutes, double *out_level)
{
    for (size_t i = 0; i < filling->shares; i++) {
        filling->bend[filling->bends++] = bend_least(filling->share[i]);
        if (filling->share[i]->most < INFINITY)
            filling->bend[filling->bends++] = bend_most(filling->share[i]);
    }
    qsort(filling->bend, filling->bends, sizeof *filling->bend, by_number);
    /* Where all have their most, the common level lies above every bend. */
    struct line line = {.from = INFINITY, .to = INFINITY};
    *out_level = INFINITY;
    if (needed(filling, INFINITY) > minutes) {
        line = line_of(filling, minutes);
        *out_level = line.from == -INFINITY ? line.to : line.from + line.rise;
    }
    for (size_t i = 0; i < filling->shares; i++)
        give(filling->share[i], &line);
}

static bool are_fine(const struct passo_share *share, size_t shares, double minutes)
{
    bool fine = isfinite(minutes);
    for (size_t i = 0; i < shares; i++)
        fine = fine && is_fine(&share[i]);
    return fine;
}

enum passo_error passo_budget_share(struct passo_share *share, size_t shares, double minutes,
                                    double *out_level)
{
    double level = INFINITY;
    struct filling filling = {.shares = shares};
    for (size_t i = 0; i < shares; i++) {
        share[i].minutes = 0;
        share[i].after = share[i].level;
        share[i].why = PASSO_SHARE_LEAST;
    }
    if (out_level)
        *out_level = INFINITY;
    if (!are_fine(share, shares, minutes))
        return PASSO_ERR_RANGE;
    filling.share = passo_xcalloc(shares + 1, sizeof *filling.share);
    filling.bend = passo_xcalloc(2 * shares + 1, sizeof *filling.bend);
    for (size_t i = 0; i < shares; i++)
        filling.share[i] = &share[i];
    qsort(filling.share, shares, sizeof *filling.share, by_values);
    const bool enough = needed(&filling, -INFINITY) <= minutes;
    if (enough)
        fill(&filling, minutes, &level);
    free(filling.share);
    free(filling.bend);
    if (!enough)
        return PASSO_ERR_RANGE;
    if (out_level)
        *out_level = level;
    return PASSO_OK;
}
