#ifndef STATS_DUNNETT_H
#define STATS_DUNNETT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/*
 * Largest of several t values that share one control: T_i = (Z_i - Z_0 part)/s
 * with correlations loading_i * loading_j, loading_i = sqrt(n_i / (n_i + n_0)),
 * i.e. sqrt(v_0 / (v_0 + v_i)) with variances of the means. Loadings are
 * below 1 and not negative. df may be fractional; INFINITY: sd known.
 * n: loadings; count: how many of the T_i have each, NULL: one each.
 */
struct dunnett_family { const double *loading; size_t n; double df; bool two_sided; const uint32_t *count; };

/*
 * Chance that the largest of the T_i (two-sided: of |T_i|) exceeds d. By
 * trapezoids over the control's deviate and over ln s, which converge
 * faster than any power; absolute error below 1e-12. NaN for arguments out of domain.
 * Source: docs/methods/comparison.md
 */
double dunnett_tail(double d, const struct dunnett_family *family);

/* The d that is exceeded with chance 1 - confidence; relative error below 1e-9. */
double dunnett_quantile(double confidence, const struct dunnett_family *family);

#endif
