#ifndef STATS_SPREAD_H
#define STATS_SPREAD_H

#include "stats/anova.h"

/* Do the groups scatter alike? df2 is NaN for Bartlett's chi-square. */
struct spread_test { double statistic, df1, df2, p; };

/* About which centre the distances are taken. */
enum spread_centre {
    SPREAD_MEAN,    /* Levene */
    SPREAD_MEDIAN   /* Brown-Forsythe: holds up when results are not normal */
};

/*
 * Levene's test: one-way analysis of variance of |value - centre of its group|.
 * STATUS_TOO_FEW  fewer than 2 groups, or no group with 2 results
 * STATUS_NUMERIC  a value is not finite, or the distances do not vary
 * STATUS_MEMORY
 * Source: H. Levene 1960; M. B. Brown and A. B. Forsythe, J. Am. Statist. Assoc. 69 (1974) 364-367
 */
enum status spread_levene(const struct grouped_data *data, enum spread_centre centre, struct spread_test *result,
                          struct problem *problem);

/*
 * Bartlett's test; sensitive to results that are not normal. Groups of one
 * result add nothing; a group without scatter is STATUS_NUMERIC.
 * Source: M. S. Bartlett, Proc. R. Soc. A 160 (1937) 268-282
 */
enum status spread_bartlett(const struct grouped_data *data, struct spread_test *result, struct problem *problem);

#endif
