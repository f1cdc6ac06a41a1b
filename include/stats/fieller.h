#ifndef STATS_FIELLER_H
#define STATS_FIELLER_H

#include <stdbool.h>

/* What the set of ratios that agree with the data looks like. */
enum fieller_shape {
    FIELLER_BOUNDED,     /* lower <= ratio <= upper */
    FIELLER_OUTSIDE,     /* ratio <= lower or ratio >= upper: the denominator may be zero */
    FIELLER_AT_LEAST,    /* ratio >= lower; upper is infinite */
    FIELLER_AT_MOST,     /* ratio <= upper; lower is infinite */
    FIELLER_EVERYTHING,  /* no ratio is excluded: lower and upper are infinite */
    FIELLER_NONE         /* cannot be had (an argument is not finite, a variance negative, df <= 0); all NaN */
};

/* "bounded", "outside", ...: for messages and tables. */
const char *fieller_shape_word(enum fieller_shape shape);

/* Two estimates whose ratio is wanted, with their uncertainty. */
struct fieller_input {
    double numerator, denominator;
    double variance_numerator, variance_denominator, covariance; /* of the estimates, not of single results */
    double df;                                                   /* of the variances; INFINITY: known */
};

struct fieller_ratio {
    enum fieller_shape shape;
    double estimate;     /* numerator / denominator */
    double lower, upper; /* see shape */
    double g;            /* t^2 var(denominator) / denominator^2; bounded when below 1 */
    double df;
};

/*
 * Two-sided interval for numerator / denominator that keeps its confidence
 * also when the denominator is uncertain.
 * Source: E. C. Fieller, J. R. Statist. Soc. B 16 (1954) 175-185; docs/methods/fieller.md
 */
struct fieller_ratio fieller_ratio(const struct fieller_input *input, double confidence);

/*
 * 100 * (1 - numerator/denominator): by how many per cent the first is less
 * than the second, with the shape turned accordingly.
 */
struct fieller_ratio fieller_percent_less(const struct fieller_input *input, double confidence);

/* Satterthwaite df of var(numerator) + ratio^2 var(denominator), for parts with their own df. */
double fieller_df(double ratio, double variance_numerator, double df_numerator,
                  double variance_denominator, double df_denominator);

/* One sample of independent results. */
struct fieller_sample { double n, mean, variance; };

/*
 * Ratio of two means of independent samples. pooled: one common variance, df
 * n1 + n2 - 2; else each its own variance, df by fieller_df at the estimated
 * ratio. FIELLER_NONE when a sample has fewer than 2 results.
 */
struct fieller_ratio fieller_two_samples(const struct fieller_sample *numerator, const struct fieller_sample *denominator,
                                         bool pooled, double confidence);

/* A fitted straight line response = intercept + slope * x. */
struct fieller_line { double intercept, slope, variance_intercept, variance_slope, covariance, df; };

/*
 * The x at which the line reaches `response`, with its interval.
 * response_variance: 0 when response is a fixed target; sd^2/m when it is the
 * mean of m new results.
 */
struct fieller_ratio fieller_inverse(const struct fieller_line *line, double response, double response_variance,
                                     double confidence);

#endif
