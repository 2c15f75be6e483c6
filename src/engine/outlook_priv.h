/* What the outlook stands on: a straight line by least squares, and Student's t. Thread: any. */
#ifndef PASSO_ENGINE_OUTLOOK_PRIV_H
#define PASSO_ENGINE_OUTLOOK_PRIV_H

#include <passo/standing.h>

/* A line through points, kept by their middle. */
struct passo_line {
    double middle_day;
    double middle_y;
    double spread; /* of the days: the sum of the squares from their middle */
    double slope;
    double slope_se;
    double residual_sd; /* with points - 2 degrees of freedom */
};

/* At least three points, not all on one day; in any order, several a day as well. */
void passo_line_fit(const struct passo_trend_point *point, size_t points,
                    struct passo_line *out_line);
/* The t that Student's t with `freedom` degrees of freedom (1 or more) stays under with the
 * probability `share`, 0 < share < 1. */
double passo_student_quantile(double share, size_t freedom);

#endif
