#ifndef STATS_COMPARE_H
#define STATS_COMPARE_H

#include "base/status.h"
#include "stats/summary.h"

#include <stddef.h>

/* One difference of means with its interval and test. NaN where it cannot be had. */
struct comparison {
    size_t a, b;                  /* indices of the groups */
    double difference;            /* mean of a - mean of b */
    double std_error, df;
    double statistic;             /* t; for the studentised range q / sqrt(2) */
    double lower, upper;          /* simultaneous where the method is; one side infinite for one-sided tests */
    double p;                     /* adjusted where the method adjusts */
};

/* Which way is looked for. */
enum compare_side {
    COMPARE_TWO_SIDED,
    COMPARE_GREATER,   /* a above b: lower bound */
    COMPARE_LESS       /* a below b: upper bound */
};

/*
 * Two means, equal variances assumed (pooled) or not (Welch). Groups come
 * as summaries; 2 results each at least (pooled: one group may have 1).
 * STATUS_TOO_FEW, STATUS_NUMERIC (no scatter)
 * Source: docs/methods/comparison.md; B. L. Welch, Biometrika 34 (1947) 28-35
 */
enum status compare_pooled(const struct summary *a, const struct summary *b, enum compare_side side,
                           double confidence, struct comparison *result);
enum status compare_welch(const struct summary *a, const struct summary *b, enum compare_side side,
                          double confidence, struct comparison *result);

/* Pairs of n groups: n (n-1) / 2. Pair order: (1,0), (2,0), (2,1), (3,0) ... */
size_t compare_pair_count(size_t n_groups);

/*
 * All pairs, results has room for compare_pair_count(n_groups).
 * Tukey-Kramer pools one variance (conservative when sizes differ).
 * Games-Howell gives each pair its own variances and Welch df.
 * STATUS_TOO_FEW  fewer than 2 groups, or no df
 * STATUS_NUMERIC  no scatter
 * Source: J. W. Tukey 1953; C. Y. Kramer, Biometrics 12 (1956) 307-310;
 * P. A. Games and J. F. Howell, J. Educ. Statist. 1 (1976) 113-125
 */
enum status compare_tukey_kramer(const struct summary *groups, size_t n_groups, double confidence,
                                 struct comparison *results);
enum status compare_games_howell(const struct summary *groups, size_t n_groups, double confidence,
                                 struct comparison *results);

/*
 * Each of the other groups (a) against the control (b), n_groups - 1
 * results in group order. Sizes may differ.
 * STATUS_TOO_FEW, STATUS_NUMERIC as above; STATUS_MEMORY
 * Source: C. W. Dunnett, J. Am. Statist. Assoc. 50 (1955) 1096-1121
 */
enum status compare_dunnett(const struct summary *groups, size_t n_groups, size_t control, enum compare_side side,
                            double confidence, struct comparison *results);

/* An estimated mean from any model; estimates are independent of one another, their variances share one df. */
struct compare_mean { double estimate, variance; };
enum status compare_tukey_means(const struct compare_mean *means, size_t n_means, double df, double confidence,
                                struct comparison *results);
enum status compare_dunnett_means(const struct compare_mean *means, size_t n_means, size_t control, double df,
                                  enum compare_side side, double confidence, struct comparison *results);

/*
 * Fills one comparison whose difference, std_error, df (and a, b) are
 * already there, as one of all pairs of n_means means (studentised range).
 */
void compare_as_pair(struct comparison *comparison, double n_means, double confidence);

#endif
