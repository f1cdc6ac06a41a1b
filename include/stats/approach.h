#ifndef STATS_APPROACH_H
#define STATS_APPROACH_H

#include "base/problem.h"

#include <stddef.h>

/* How something nears a limit: y = limit + (start - limit) exp(-(t - t of the first result) / time_constant). */
struct approach_fit {
    size_t n;
    double limit, start;
    double time_constant;            /* in the unit of t */
    double residual_sd, df;          /* df = n - 3; residual_sd 0 when the curve meets every result */
    double limit_lower, limit_upper; /* where the profile of the residual squares allows the limit to be */
};

/*
 * Least squares fit of the curve to n results at rising times, and the
 * two-sided limits of `limit` from its profile: the values for which the best
 * remaining curve has at most 1 + t^2 / df times the smallest residual
 * squares. Unlike a symmetric interval they show how much farther the limit
 * may be when the results have hardly begun to bend.
 *
 * confidence  0.5 to below 1
 *
 * STATUS_TOO_FEW  fewer than 4 results
 * STATUS_NUMERIC  times that do not rise, values that are not finite, values
 *                 that do not change beyond their scatter about the curve, or that do not bend
 *                 beyond it: a straight line does as well, so that no limit is in sight
 * STATUS_MEMORY
 * Source: Bates and Watts, Nonlinear Regression Analysis and Its Applications,
 * 1988, sections 3.5.2 (linear parameters) and 6.1.2 (profiles); docs/methods/drying.md
 */
enum status approach_fit_estimate(const double *t, const double *y, size_t n, double confidence, struct approach_fit *fit,
                                  struct problem *problem);

/* The curve at a time counted from the first result. */
double approach_fit_at(const struct approach_fit *fit, double since_first);

#endif
