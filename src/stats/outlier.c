#include "stats/outlier.h"

#include "stats/distribution.h"
#include "stats/summary.h"

#include <math.h>

/* ---- Grubbs ---- */

double outlier_grubbs_critical(size_t n, double alpha, bool two_sided)
{
    if (n < 3 || !(alpha > 0 && alpha < 1))
        return NAN;
    double count = (double)n, share = alpha / (two_sided ? 2 * count : count);
    double t = share < 0.5 ? -t_quantile(share, count - 2) : 0;
    return (count - 1) / sqrt(count) * sqrt(t * t / (count - 2 + t * t));
}

double outlier_grubbs_p(double g, size_t n, bool two_sided)
{
    double count = (double)n, largest = (count - 1) / sqrt(count);
    if (n < 3 || !(g >= 0))
        return NAN;
    if (g >= largest)
        return 0;
    double t = g * sqrt((count - 2) / ((largest - g) * (largest + g)));
    double share = t_two_sided_p(t, count - 2) / 2;
    return fmin(1, share * (two_sided ? 2 * count : count));
}

static double distance(double value, double mean, enum outlier_side side)
{
    return side == OUTLIER_EITHER ? fabs(value - mean) : side == OUTLIER_HIGH ? value - mean : mean - value;
}

enum status outlier_grubbs(const double *values, size_t n, enum outlier_side side, struct outlier *result)
{
    *result = (struct outlier){ 0, NAN, NAN };
    if (n < 3)
        return STATUS_TOO_FEW;
    struct summary summary = summary_of(values, n);
    if (!(summary.sd > 0))
        return STATUS_NUMERIC;
    for (size_t i = 1; i < n; i++)
        if (distance(values[i], summary.mean, side) > distance(values[result->index], summary.mean, side))
            result->index = i;
    result->statistic = distance(values[result->index], summary.mean, side) / summary.sd;
    result->p = outlier_grubbs_p(result->statistic, n, side == OUTLIER_EITHER);
    return STATUS_OK;
}

/* ---- Cochran ---- */

double outlier_cochran_critical(size_t n_groups, double df, double alpha)
{
    if (n_groups < 2 || !(df > 0) || !(alpha > 0 && alpha < 1))
        return NAN;
    double others = (double)n_groups - 1;
    return 1 / (1 + others * f_quantile(alpha / (double)n_groups, others * df, df));
}

double outlier_cochran_p(double c, size_t n_groups, double df)
{
    if (n_groups < 2 || !(df > 0) || !(c >= 0 && c <= 1))
        return NAN;
    if (c == 1)
        return 0;
    double others = (double)n_groups - 1;
    return fmin(1, (double)n_groups * f_tail(others * c / (1 - c), df, others * df));
}

enum status outlier_cochran(const double *variances, const double *dfs, size_t n_groups, struct outlier *result)
{
    *result = (struct outlier){ 0, NAN, NAN };
    double total = 0, total_df = 0, largest = -1;
    size_t n = 0;
    for (size_t i = 0; i < n_groups; i++) {
        if (!(dfs[i] > 0))
            continue;
        if (!isfinite(variances[i]) || variances[i] < 0)
            return STATUS_NUMERIC;
        n++;
        total += variances[i];
        total_df += dfs[i];
        if (variances[i] > largest) {
            largest = variances[i];
            result->index = i;
        }
    }
    if (n < 2)
        return STATUS_TOO_FEW;
    if (!(total > 0))
        return STATUS_NUMERIC;
    result->statistic = largest / total;
    result->p = outlier_cochran_p(result->statistic, n, total_df / (double)n);
    return STATUS_OK;
}
