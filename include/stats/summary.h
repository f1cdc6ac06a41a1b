#ifndef STATS_SUMMARY_H
#define STATS_SUMMARY_H

#include <stddef.h>

/* Mean and scatter of some results. What cannot be had is NaN (sd of one result, anything of none). */
struct summary {
    size_t n;
    double mean;
    double variance, sd;   /* divisor n - 1 */
    double std_error;      /* sd / sqrt(n) */
    double minimum, maximum, range;
};

/*
 * n values in one unit; all NaN when any is not finite. Two passes about a
 * shifted origin with compensated sums, so that values like 1000000.4 keep
 * every digit that doubles can carry.
 * Source: Chan, Golub and LeVeque, American Statistician 37 (1983) 242-247
 */
struct summary summary_of(const double *values, size_t n);

/* Moves a mean to take in one more value, the n-th; gives what that adds to the sum of squares about it (Welford 1962). */
static inline double mean_move(double *mean, double value, double n)
{
    double deviation = value - *mean;
    *mean += deviation / n;
    return deviation * (value - *mean);
}

/* Sum with the rounding errors carried along (Neumaier 1974). */
double summary_sum(const double *values, size_t n);

/* Sum of squared distances from the values' own mean. */
double summary_sum_squares(const double *values, size_t n);

/* Sorts in rising order. */
void summary_sort(double *values, size_t n);

/*
 * Quantile of sorted values, linear between order statistics (probability p
 * sits at position 1 + (n-1) p). NaN for n = 0 or p outside 0..1.
 * Source: Hyndman and Fan, American Statistician 50 (1996) 361-365, definition 7
 */
double summary_quantile(const double *sorted, size_t n, double probability);

/* Median of values in any order; sorts a copy inside. NaN when memory is out or n = 0. */
double summary_median(const double *values, size_t n);

/* Correlation of each value with the one before it, in the order given; NaN for n < 2 or no scatter. */
double summary_lag_correlation(const double *values, size_t n);

/* One common sd from several groups: sqrt(sum (n-1) s^2 / sum (n-1)). Groups of one add nothing. */
struct pooled_sd { double sd, df; };
struct pooled_sd summary_pooled_sd(const struct summary *groups, size_t n_groups);

/*
 * Factors for a sample of n from a normal population with sd 1, computed
 * from their definitions: d2 mean of the range, d3 sd of the range, c4 mean
 * of the sample sd. n from 2 to 1000; NaN otherwise.
 * Source: docs/methods/spread.md
 */
double summary_range_mean_factor(size_t n);  /* d2 */
double summary_range_sd_factor(size_t n);    /* d3 */
double summary_sd_mean_factor(size_t n);     /* c4 */

#endif
