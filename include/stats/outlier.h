#ifndef STATS_OUTLIER_H
#define STATS_OUTLIER_H

#include "base/status.h"

#include <stdbool.h>
#include <stddef.h>

/* A value or group that stands out, and how surprising that is. Never a reason to delete by itself. */
struct outlier {
    size_t index;        /* the most extreme one */
    double statistic;
    double p;            /* chance of one at least this extreme when all is well */
};

/* Which end is looked at. */
enum outlier_side { OUTLIER_EITHER, OUTLIER_LOW, OUTLIER_HIGH };

/*
 * Grubbs: G = |x - mean| / sd of the most extreme value.
 * STATUS_TOO_FEW  n < 3
 * STATUS_NUMERIC  no scatter, or a value is not finite
 * Source: F. E. Grubbs, Technometrics 11 (1969) 1-21; ASTM E178; docs/methods/outliers.md
 */
enum status outlier_grubbs(const double *values, size_t n, enum outlier_side side, struct outlier *result);

/* G that is exceeded with chance alpha (two_sided: at either end), n >= 3. NaN out of domain. */
double outlier_grubbs_critical(size_t n, double alpha, bool two_sided);
/* Chance of a G at least this large (Bonferroni bound, exact where it matters: small chances). 0 beyond the largest possible G. */
double outlier_grubbs_p(double g, size_t n, bool two_sided);

/*
 * Cochran: largest variance / sum of variances, for groups of equal df.
 * df unequal: the mean df is used, as ISO 5725-2 allows for slight differences.
 * STATUS_TOO_FEW  fewer than 2 groups with df
 * STATUS_NUMERIC  no scatter
 * Source: W. G. Cochran, Annals of Eugenics 11 (1941) 47-52; ISO 5725-2
 */
enum status outlier_cochran(const double *variances, const double *dfs, size_t n_groups, struct outlier *result);
double outlier_cochran_critical(size_t n_groups, double df, double alpha);
double outlier_cochran_p(double c, size_t n_groups, double df);

/*
 * Dixon: gap to the neighbour / range (r10), n from 3 to 30, p by integration.
 * STATUS_TOO_FEW  n < 3
 * STATUS_NUMERIC  no range, n > 30, a value is not finite
 * Source: W. J. Dixon, Ann. Math. Statist. 21 (1950) 488-506; docs/methods/outliers.md
 */
enum status outlier_dixon(const double *values, size_t n, enum outlier_side side, struct outlier *result);
double outlier_dixon_p(double ratio, size_t n, bool two_sided);
double outlier_dixon_critical(size_t n, double alpha, bool two_sided);

#endif
