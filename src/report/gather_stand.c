/* Where a passage stands, day by day: clean passes and all passes at each tempo, faded from one day
 * to the next, and every evening the secure tempo that they say. A tempo whose passes have faded to
 * nothing is left out. Runs on the main thread. */
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "report/report_priv.h"
#include "store/day.h"

/* A millionth of a pass, which one weighs after 20 weeks. */
static const double least_weight = 1e-6;

/* No ladder has so many tempi that still weigh something; a fit takes as long as there are groups.
 */
enum { GROUPS_MAX = 96 };

/* The marks of one evening by tempo, ascending. */
struct evening {
    struct passo_skill_group group[GROUPS_MAX];
    int32_t mbpm[GROUPS_MAX];
    size_t groups;
};

static void fade(struct evening *evening, int64_t days)
{
    const double share = passo_fade(days);
    size_t kept = 0;
    for (size_t i = 0; i < evening->groups; i++) {
        struct passo_skill_group group = evening->group[i];
        group.n *= share;
        group.y *= share;
        if (group.n < least_weight)
            continue;
        evening->mbpm[kept] = evening->mbpm[i];
        evening->group[kept++] = group;
    }
    evening->groups = kept;
}

/* Takes the two nearest tempi together, in their middle by weight. */
static void join_nearest(struct evening *evening)
{
    size_t nearest = 0;
    for (size_t i = 1; i + 1 < evening->groups; i++) {
        if (evening->group[i + 1].x - evening->group[i].x <
            evening->group[nearest + 1].x - evening->group[nearest].x)
            nearest = i;
    }
    struct passo_skill_group *low = &evening->group[nearest];
    const struct passo_skill_group *high = low + 1;
    low->x = (low->x * low->n + high->x * high->n) / (low->n + high->n);
    low->n += high->n;
    low->y += high->y;
    evening->mbpm[nearest] = (int32_t)lround(exp(low->x) * 1000);
    size_t behind = --evening->groups - nearest - 1;
    memmove(low + 1, low + 2, behind * sizeof *low);
    memmove(&evening->mbpm[nearest + 1], &evening->mbpm[nearest + 2],
            behind * sizeof evening->mbpm[0]);
}

/* Where a tempo stands or belongs. */
static size_t place_of(const struct evening *evening, int32_t mbpm)
{
    size_t low = 0;
    size_t high = evening->groups;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (evening->mbpm[middle] < mbpm)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* The group of a tempo, made if it is not there. */
static struct passo_skill_group *group_of(struct evening *evening, int32_t mbpm)
{
    size_t at = place_of(evening, mbpm);
    if (at < evening->groups && evening->mbpm[at] == mbpm)
        return &evening->group[at];
    if (evening->groups == GROUPS_MAX) {
        join_nearest(evening);
        at = place_of(evening, mbpm);
    }
    size_t behind = evening->groups++ - at;
    memmove(&evening->group[at + 1], &evening->group[at], behind * sizeof evening->group[0]);
    memmove(&evening->mbpm[at + 1], &evening->mbpm[at], behind * sizeof evening->mbpm[0]);
    evening->mbpm[at] = mbpm;
    evening->group[at] = (struct passo_skill_group){.x = log((double)mbpm / 1000)};
    return &evening->group[at];
}

static void stand_by_day(struct gather_place *place, bool latest_only)
{
    struct passo_report_passage *passage = &place->passage;
    struct evening *evening = passo_xcalloc(1, sizeof *evening);
    size_t at = 0;
    for (size_t i = 0; i < passage->days; i++) {
        struct passo_report_day *day = &passage->day[i];
        if (i > 0)
            fade(evening, passo_day_count(day->day) - passo_day_count(passage->day[i - 1].day));
        for (; at < place->passes && place->pass[at].day == i; at++) {
            const struct gather_pass *pass = &place->pass[at];
            bool clean = pass->mark == PASSO_MARK_CLEAN;
            if (!pass->counts || (!clean && pass->mark != PASSO_MARK_MISS) || pass->mbpm <= 0)
                continue;
            struct passo_skill_group *group = group_of(evening, pass->mbpm);
            group->n += 1;
            group->y += clean;
        }
        if (!latest_only || i + 1 == passage->days)
            passo_secure_fit(evening->group, evening->groups, &day->secure);
    }
    free(evening);
}

/* From the evenings that have a secure tempo, of the last weeks. */
static void look_out(struct passo_report_passage *passage)
{
    struct passo_trend_point *point = passo_xcalloc(passage->days + 1, sizeof *point);
    int64_t last = passo_day_count(passage->day[passage->days - 1].day);
    size_t points = 0;
    for (size_t i = 0; i < passage->days; i++) {
        const struct passo_report_day *day = &passage->day[i];
        int64_t count = passo_day_count(day->day);
        if (day->secure.kind != PASSO_SECURE_FITTED || count < last - PASSO_REPORT_OUTLOOK_DAYS)
            continue;
        point[points].day = (double)count;
        point[points++].y = log(day->secure.bpm);
    }
    passo_outlook_fit(point, points, log((double)passage->target_mbpm / 1000), &passage->outlook);
    free(point);
}

void gather_stand(struct gather_place *place, int32_t today, bool latest_only)
{
    struct passo_report_passage *passage = &place->passage;
    passage->due = true;
    if (passage->days == 0)
        return;
    enum passo_held *held = passo_xcalloc(passage->days, sizeof *held);
    stand_by_day(place, latest_only);
    for (size_t i = 0; i < passage->days; i++)
        held[i] = passage->day[i].held;
    passage->secure = passage->day[passage->days - 1].secure;
    passage->spacing_days = passo_spacing_days(held, passage->days);
    passage->due = passo_day_count(today) - passo_day_count(passage->day[passage->days - 1].day) >=
                   passage->spacing_days;
    free(held);
    if (passage->target_mbpm == 0 || latest_only)
        return;
    look_out(passage);
    /* Faster than any tempo that was played has no curve to follow, and needs none. */
    if (passage->secure.kind == PASSO_SECURE_AT_LEAST &&
        lround(passage->secure.bpm * 1000) >= passage->target_mbpm)
        passage->outlook.kind = PASSO_OUTLOOK_THERE;
}
