#ifndef STATS_ANCOVA_H
#define STATS_ANCOVA_H

#include "base/problem.h"
#include "stats/compare.h"

#include <stdint.h>

/* Results in groups with one covariate (say strength in aggregates, with density). */
struct ancova_data {
    const double *x, *y;       /* n_rows: covariate and response */
    const uint32_t *group;     /* n_rows, 0 .. n_groups-1; every group needs a result */
    size_t n_rows, n_groups;
    const char *const *group_names; /* n_groups, for messages; NULL allowed */
};

struct ancova_test { double f, df1, df2, p, ss; };

/* Owns its arrays; release with ancova_release(). */
struct ancova {
    size_t n_groups, n_sloped;             /* n_sloped: groups whose own slope can be had */
    struct ancova_test common_slope;       /* do the slopes differ? NaN when fewer than 2 can be had, or no df left */
    struct ancova_test equal_intercepts;   /* do the groups differ at equal x, one slope for all? */
    struct ancova_test covariate;          /* does y depend on x at all, within groups? */
    struct ancova_test coincidence;        /* one line for all against a line for each */
    double slope, slope_std_error;         /* common slope */
    double residual_variance, df;          /* about parallel lines */
    double r_squared;
    double x_mean;                         /* of all rows: where groups are compared */
    double *group_n, *group_x_mean;        /* n_groups */
    double *adjusted_mean, *adjusted_std_error; /* n_groups: at x_mean */
    double *group_slope;                   /* n_groups: of the group's own line; NaN when it cannot be had */
    double *group_slope_std_error;         /* n_groups: from the scatter about all own lines, pooled */
};

/*
 * STATUS_TOO_FEW  fewer than 2 groups, an empty group, or no df left
 * STATUS_NUMERIC  a value is not finite, or x does not vary within any group
 * STATUS_MEMORY
 * Source: docs/methods/comparison.md
 */
enum status ancova_fit(const struct ancova_data *data, struct ancova *result, struct problem *problem);
void ancova_release(struct ancova *result);

/*
 * Differences of adjusted means, all pairs, in the order of
 * compare_pair_count(); intervals and p by the studentised range.
 */
enum status ancova_compare(const struct ancova *result, double confidence, struct comparison *comparisons);

#endif
