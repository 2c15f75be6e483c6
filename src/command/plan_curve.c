/* Where the chances of a forecast come from: what the player says, the marks of earlier days, or an
 * assumption that is told. */
#include "command/plan_curve.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <passo/standing.h>
#include "text/notation.h"

enum { POINTS_MAX = 16, FEW_PASSES = 30 };

static const double assumed_start = 0.95;
static const double assumed_target = 0.60;

/* What rounding alone may make of shares that are equal. */
#define LEVEL 1e-6
static const char usual_words[] =
    "a usual slope (a tenth faster, and 5 clean passes to a miss become 3)";
static const char wanted[] = "such as \"85 % at 72\", several with commas, is wanted";

struct points {
    struct passo_skill_group group[POINTS_MAX]; /* each as one pass, y the share */
    int32_t mbpm[POINTS_MAX];
    size_t count;
    bool moved; /* a 0 % or 100 % */
};

static void through(struct passo_skill *skill, double slope, double mbpm, double clean)
{
    skill->slope = slope;
    skill->intercept = log(clean / (1 - clean)) - slope * log(mbpm / 1000);
}

static const char *after_blanks(const char *text)
{
    while (isspace((unsigned char)*text))
        text++;
    return text;
}

/* "85 % at " at the front: the share, and what follows in *text; below 0 if it is not there. */
static double read_share(const char **text)
{
    char *end;
    const double percent = strtod(*text, &end);
    const char *at = after_blanks(end);
    if (end == *text || *at != '%')
        return -1;
    at = after_blanks(at + 1);
    if (strncmp(at, "at", 2) != 0 || !isspace((unsigned char)at[2]))
        return -1;
    *text = after_blanks(at + 2);
    return percent >= 0 && percent <= 100 ? percent / 100 : -1;
}

/* NULL, or what is wrong with this point. */
static const char *read_point(const char *text, struct passo_ratio beat, struct points *points)
{
    struct passo_ratio unit;
    int32_t mbpm;
    double share = read_share(&text);
    if (share < 0)
        return wanted;
    if (passo_tempo_read(text, &mbpm, &unit) || (mbpm = passo_tempo_in_beat(mbpm, unit, beat)) == 0)
        return "the tempo is to be from 5 to 1000 beats a minute, such as 72 or quarter = 72";
    if (points->count == POINTS_MAX)
        return "16 points are the most";
    for (size_t i = 0; i < points->count; i++) {
        if (points->mbpm[i] == mbpm)
            return "this tempo comes twice";
    }
    points->moved = points->moved || share < 0.01 || share > 0.99;
    share = fmin(fmax(share, 0.01), 0.99);
    points->mbpm[points->count] = mbpm;
    points->group[points->count++] =
        (struct passo_skill_group){.x = log((double)mbpm / 1000), .n = 1, .y = share};
    return NULL;
}

static bool read_points(const char *clean, struct passo_ratio beat, struct points *points,
                        struct passo_faults *faults)
{
    const size_t before = faults->faults;
    char *copy = strdup(clean);
    char *rest = NULL;
    char shown[72];
    PASSO_BUG_ON(!copy);
    for (char *item = strtok_r(copy, ",;", &rest); item; item = strtok_r(NULL, ",;", &rest)) {
        const char *wrong = read_point(item, beat, points);
        if (wrong)
            passo_fault(faults, "--clean %s: %s",
                        passo_text_clean(after_blanks(item), shown, sizeof shown), wrong);
    }
    free(copy);
    if (points->count == 0 && faults->faults == before)
        passo_fault(faults, "--clean: %s", wanted);
    return faults->faults == before;
}

static void point_words(const struct points *points, size_t index, struct passo_ratio beat,
                        char *out, size_t bytes)
{
    char tempo[PASSO_NAME_MAX + 24];
    passo_tempo_write(points->mbpm[index], beat, tempo, sizeof tempo);
    snprintf(out, bytes, "%g %% at %s", points->group[index].y * 100, tempo);
}

static void read_words(const struct points *points, struct passo_ratio beat,
                       struct plan_curve *curve)
{
    char one[PASSO_NAME_MAX + 48];
    char two[PASSO_NAME_MAX + 48];
    const char *moved =
        points->moved ? " 0 % and 100 % are taken as 1 % and 99 %: nothing is that sure." : "";
    point_words(points, 0, beat, one, sizeof one);
    if (points->count == 1)
        snprintf(curve->words, sizeof curve->words,
                 "As you said, %s of the passes are clean; from there with %s.%s", one, usual_words,
                 moved);
    if (points->count == 2) {
        point_words(points, 1, beat, two, sizeof two);
        snprintf(curve->words, sizeof curve->words,
                 "As you said, %s and %s of the passes are clean; a curve goes through both.%s",
                 one, two, moved);
    }
    if (points->count > 2)
        snprintf(curve->words, sizeof curve->words,
                 "The chances are a curve fitted to the %zu points that you gave, each of the same "
                 "weight.%s",
                 points->count, moved);
}

bool plan_curve_read(const char *clean, struct passo_ratio beat, struct plan_curve *out_curve,
                     struct passo_faults *faults)
{
    struct points points = {.count = 0};
    struct passo_skill_fit fit;
    if (!read_points(clean, beat, &points, faults))
        return false;
    if (points.count == 1) {
        through(&out_curve->skill, PASSO_SKILL_USUAL_SLOPE, points.mbpm[0], points.group[0].y);
    } else {
        /* No share is 0 or 1, so every tempo has clean passes and misses: there is a maximum. */
        const enum passo_error error = passo_skill_fit(points.group, points.count, false, &fit);
        PASSO_BUG_ON(error != PASSO_OK);
        if (fit.skill.slope > LEVEL) {
            passo_fault(faults, "--clean says that passes are more often clean the faster they "
                                "are; are the shares mixed up?");
            return false;
        }
        out_curve->skill = fit.skill;
    }
    read_words(&points, beat, out_curve);
    return true;
}

/* What the marks weigh together. */
static double weight_of(const struct passo_past_log *log)
{
    double weight = 0;
    for (size_t i = 0; i < log->groups; i++)
        weight += log->group[i].n;
    return weight;
}

bool plan_curve_fit(const struct passo_past_log *log, struct plan_curve *out_curve)
{
    struct passo_skill_fit fit;
    bool usual;
    char slope[192] = "";
    if (log->passes == 0 || passo_skill_settle(log->group, log->groups, &fit, &usual) != PASSO_OK)
        return false;
    out_curve->skill = fit.skill;
    if (usual)
        snprintf(slope, sizeof slope,
                 " They do not show clearly how the chance falls with the tempo, so it is given "
                 "%s.",
                 usual_words);
    snprintf(out_curve->words, sizeof out_curve->words,
             "The chances are fitted to the marks of %u pass%s on %u day%s of the log.%s%s%s",
             log->passes, log->passes == 1 ? "" : "es", log->days, log->days == 1 ? "" : "s",
             log->days > 1 ? " Later days weigh more: a pass counts half as much as one a week "
                             "later."
                           : "",
             weight_of(log) < FEW_PASSES ? " That is little to go by: take the figures as a rough "
                                           "guess."
                                         : "",
             slope);
    return true;
}

void plan_curve_assume(int32_t start_mbpm, int32_t target_mbpm, struct passo_ratio beat,
                       struct plan_curve *out_curve)
{
    static const char hint[] =
        "(--clean \"85 % at 72, 40 % at 96\" says what you know of yourself)";
    const double start = log(assumed_start / (1 - assumed_start));
    const double target = log(assumed_target / (1 - assumed_target));
    char from[PASSO_NAME_MAX + 24];
    char to[PASSO_NAME_MAX + 24];
    const bool one = start_mbpm >= target_mbpm;
    passo_tempo_write(start_mbpm, beat, from, sizeof from);
    passo_tempo_write(target_mbpm, beat, to, sizeof to);
    through(&out_curve->skill,
            one ? PASSO_SKILL_USUAL_SLOPE
                : (target - start) / log((double)target_mbpm / start_mbpm),
            target_mbpm, assumed_target);
    if (one)
        snprintf(
            out_curve->words, sizeof out_curve->words,
            "It is assumed that 60 %% of the passes are clean at %s %s; other tempos follow by "
            "%s.",
            to, hint, usual_words);
    else
        snprintf(out_curve->words, sizeof out_curve->words,
                 "It is assumed that 95 %% of the passes are clean at %s and 60 %% at %s %s.", from,
                 to, hint);
}
