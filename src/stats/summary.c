#include "stats/summary.h"

#include "base/memory.h"
#include "stats/compensated.h"

#include <stdbool.h>
#include <stdlib.h>

static bool all_finite(const double *values, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (!isfinite(values[i]))
            return false;
    return true;
}

double summary_sum(const double *values, size_t n)
{
    struct compensated total = { 0, 0 };
    for (size_t i = 0; i < n; i++)
        compensated_add(&total, values[i]);
    return compensated_value(&total);
}

/* The mean is origin + shift; kept apart, since their sum would lose what distances from the mean need. */
struct centre { double origin, shift, sum_squares; };

/* Two passes; the second also mends the first one's rounding. */
static struct centre find_centre(const double *values, size_t n)
{
    struct centre middle = { .origin = summary_sum(values, n) / (double)n };
    struct compensated distance = { 0, 0 }, square = { 0, 0 };
    for (size_t i = 0; i < n; i++) {
        double d = values[i] - middle.origin;
        compensated_add(&distance, d);
        compensated_add(&square, d * d);
    }
    double total = compensated_value(&distance);
    middle.shift = total / (double)n;
    middle.sum_squares = fmax(0, compensated_value(&square) - total * total / (double)n);
    return middle;
}

double summary_sum_squares(const double *values, size_t n)
{
    if (n == 0 || !all_finite(values, n))
        return NAN;
    return find_centre(values, n).sum_squares;
}

static void find_ends(const double *values, struct summary *summary)
{
    summary->minimum = summary->maximum = values[0];
    for (size_t i = 1; i < summary->n; i++) {
        summary->minimum = fmin(summary->minimum, values[i]);
        summary->maximum = fmax(summary->maximum, values[i]);
    }
    summary->range = summary->maximum - summary->minimum;
}

struct summary summary_of(const double *values, size_t n)
{
    struct summary summary = { n, NAN, NAN, NAN, NAN, NAN, NAN, NAN };
    if (n == 0 || !all_finite(values, n))
        return summary;
    find_ends(values, &summary);
    struct centre middle = find_centre(values, n);
    summary.mean = middle.origin + middle.shift;
    if (n > 1) {
        /* Equal values scatter by nothing, whatever rounding says. */
        summary.variance = summary.range == 0 ? 0 : middle.sum_squares / (double)(n - 1);
        summary.sd = sqrt(summary.variance);
        summary.std_error = summary.sd / sqrt((double)n);
    }
    return summary;
}

static int compare_values(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

void summary_sort(double *values, size_t n)
{
    if (n > 1)
        qsort(values, n, sizeof *values, compare_values);
}

double summary_quantile(const double *sorted, size_t n, double probability)
{
    if (n == 0 || !(probability >= 0 && probability <= 1))
        return NAN;
    double position = (double)(n - 1) * probability;
    size_t below = (size_t)position;
    if (below >= n - 1)
        return sorted[n - 1];
    double part = position - (double)below;
    return sorted[below] + part * (sorted[below + 1] - sorted[below]);
}

double summary_median(const double *values, size_t n)
{
    if (n == 0 || !all_finite(values, n))
        return NAN;
    double *copy = memory_new(n, sizeof *copy);
    if (!copy)
        return NAN;
    for (size_t i = 0; i < n; i++)
        copy[i] = values[i];
    summary_sort(copy, n);
    double median = n % 2 ? copy[n / 2] : copy[n / 2 - 1] + (copy[n / 2] - copy[n / 2 - 1]) / 2;
    memory_free(copy);
    return median;
}

double summary_lag_correlation(const double *values, size_t n)
{
    if (n < 2 || !all_finite(values, n))
        return NAN;
    struct centre middle = find_centre(values, n);
    struct compensated product = { 0, 0 };
    for (size_t i = 1; i < n; i++)
        compensated_add(&product, (values[i] - middle.origin - middle.shift) * (values[i - 1] - middle.origin - middle.shift));
    return middle.sum_squares > 0 ? compensated_value(&product) / middle.sum_squares : NAN;
}

struct pooled_sd summary_pooled_sd(const struct summary *groups, size_t n_groups)
{
    struct compensated sum_squares = { 0, 0 };
    double df = 0;
    for (size_t i = 0; i < n_groups; i++) {
        if (groups[i].n < 2)
            continue;
        double group_df = (double)(groups[i].n - 1);
        compensated_add(&sum_squares, group_df * groups[i].variance);
        df += group_df;
    }
    struct pooled_sd pooled = { df > 0 ? sqrt(compensated_value(&sum_squares) / df) : NAN, df };
    return pooled;
}
