/* Where a passage is going: a line through the secure tempi of its days, and where that meets the
 * goal.
 *
 * The days are taken from their middle, so that nothing is lost where they are counted from far
 * away. The interval of the meeting place is Fieller's: all days at which the line's own interval
 * holds the goal. At the same t as the test of the slope it is finite just where the slope clearly
 * rises. Pure; any thread. */
#include "engine/outlook_priv.h"

#include <math.h>

enum { DAYS_LEAST = 4, SPAN_LEAST = 6 };

/* One-sided for the slope, two-sided 80 % for the interval. */
static const double share = 0.9;
/* What the logarithm of the same tempo may come out lower by. */
static const double rounding = 1e-9;

void passo_line_fit(const struct passo_trend_point *point, size_t points,
                    struct passo_line *out_line)
{
    const double count = (double)points;
    struct passo_line line = {0};
    double both = 0;
    double squares = 0;
    for (size_t i = 0; i < points; i++) {
        line.middle_day += point[i].day / count;
        line.middle_y += point[i].y / count;
    }
    for (size_t i = 0; i < points; i++) {
        const double from = point[i].day - line.middle_day;
        line.spread += from * from;
        both += from * (point[i].y - line.middle_y);
    }
    line.slope = both / line.spread;
    for (size_t i = 0; i < points; i++) {
        const double off =
            point[i].y - line.middle_y - line.slope * (point[i].day - line.middle_day);
        squares += off * off;
    }
    line.residual_sd = sqrt(squares / (count - 2));
    line.slope_se = line.residual_sd / sqrt(line.spread);
    *out_line = line;
}

static void meet(const struct passo_line *line, size_t points, double goal, double last_day,
                 double t, struct passo_outlook *out_outlook)
{
    const double rise = goal - line->middle_y;
    const double noise = t * line->residual_sd;
    /* The interval's ends solve certain d^2 - 2 slope rise d + rise^2 - noise^2 / points = 0. */
    const double certain = line->slope * line->slope - noise * noise / line->spread;
    const double from_middle = last_day - line->middle_day;
    out_outlook->days = fmax(rise / line->slope - from_middle, 0);
    /* Of a slope that only just rises, squares may leave nothing that is certain. */
    if (certain > 0) {
        const double half =
            noise * sqrt(certain / (double)points + rise * rise / line->spread) / certain;
        const double centre = line->slope * rise / certain;
        out_outlook->low_days = fmin(fmax(centre - half - from_middle, 0), out_outlook->days);
        out_outlook->high_days = fmax(centre + half - from_middle, out_outlook->days);
    }
    out_outlook->kind =
        out_outlook->days > PASSO_OUTLOOK_FAR_DAYS ? PASSO_OUTLOOK_FAR : PASSO_OUTLOOK_DAYS;
}

void passo_outlook_fit(const struct passo_trend_point *point, size_t points, double goal,
                       struct passo_outlook *out_outlook)
{
    struct passo_line line = {0};
    *out_outlook = (struct passo_outlook){.kind = PASSO_OUTLOOK_TOO_LITTLE, .high_days = INFINITY};
    const bool enough = points >= DAYS_LEAST && point[points - 1].day - point[0].day >= SPAN_LEAST;
    if (enough)
        passo_line_fit(point, points, &line);
    const bool told = enough && isfinite(line.slope) && isfinite(line.slope_se);
    if (told) {
        out_outlook->slope = line.slope;
        out_outlook->slope_se = line.slope_se;
    }
    if (points > 0 && point[points - 1].y >= goal - rounding) {
        out_outlook->kind = PASSO_OUTLOOK_THERE;
        out_outlook->high_days = 0;
        return;
    }
    if (!enough)
        return;
    const double t = passo_student_quantile(share, points - 2);
    if (told && line.slope > t * line.slope_se)
        meet(&line, points, goal, point[points - 1].day, t, out_outlook);
    else
        out_outlook->kind = PASSO_OUTLOOK_NO_TREND;
}
