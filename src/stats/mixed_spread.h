#ifndef STATS_MIXED_SPREAD_H
#define STATS_MIXED_SPREAD_H

#include "stats/mixed_information.h"

/*
 * A variance that is a combination of the two estimated ones: its value, its
 * derivatives by var_batch and var_specimen, and Kenward and Roger's increase.
 */
struct spread { double variance, by_batch, by_specimen, increase; };

/* Of l'b, for a combination l. */
struct spread spread_of_combination(const struct mixed_fit *fit, const double *combination);

/* 2 variance^2 / Var(variance), by the derivatives and the covariance of the two variances. */
double spread_df(const struct spread *spread, const double *covariance);

/* Whether only one variance was estimated (rows, or batch means); *df is then its degrees of freedom. */
bool single_variance_df(const struct mixed_fit *fit, double *df);

#endif
