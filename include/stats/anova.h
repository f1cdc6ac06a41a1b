#ifndef STATS_ANOVA_H
#define STATS_ANOVA_H

#include "base/problem.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Results in groups; groups may differ in size, an empty group is passed over. */
struct grouped_data {
    const double *values;    /* n_values, one unit */
    const uint32_t *group;   /* n_values, 0 .. n_groups-1 */
    size_t n_values, n_groups;
};

/* Table of the one-way analysis of variance, with the variance components behind it. */
struct anova {
    size_t n_values, n_groups;               /* n_groups: those with results */
    double mean;                             /* of all results */
    double df_between, df_within;
    double ss_between, ss_within, ms_between, ms_within;
    double f, p;
    double r_squared, residual_sd;
    double group_size;                       /* n0: the size that stands for unequal ones */
    double var_between;                      /* (ms_between - ms_within) / n0, 0 when that is negative */
    bool var_between_negative;               /* it was: the groups differ less than chance alone makes them */
};

/*
 * STATUS_TOO_FEW  fewer than 2 groups, or no group with 2 results
 * STATUS_NUMERIC  a value is not finite, or nothing varies at all
 * STATUS_MEMORY
 * Source: docs/methods/comparison.md
 */
enum status anova_one_way(const struct grouped_data *data, struct anova *table, struct problem *problem);

/*
 * Means compared without assuming equal variances. Every group needs 2
 * results and some scatter.
 * STATUS_TOO_FEW, STATUS_NUMERIC (a group without scatter), STATUS_MEMORY
 * Source: B. L. Welch, Biometrika 38 (1951) 330-336
 */
struct welch_anova { double f, df1, df2, p; };
enum status anova_welch(const struct grouped_data *data, struct welch_anova *result, struct problem *problem);

/*
 * Repeatability and reproducibility, groups standing for batches (or
 * laboratories). Limits are the difference that two results should not
 * exceed in 95 of 100 cases: 2.8 sd.
 * Source: ISO 5725-2 and ISO 5725-6
 */
struct precision {
    double mean;
    double repeatability_sd;        /* s_r: within a group */
    double between_sd;              /* s_L: among groups, 0 when negative */
    double reproducibility_sd;      /* s_R = sqrt(s_r^2 + s_L^2) */
    double repeatability_limit, reproducibility_limit;
};
struct precision anova_precision(const struct anova *table);

#endif
