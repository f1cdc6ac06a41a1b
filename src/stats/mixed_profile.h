#ifndef STATS_MIXED_PROFILE_H
#define STATS_MIXED_PROFILE_H

#include "stats/mixed_sums.h"

/*
 * The fit at one variance ratio var_batch / var_specimen, in the stored
 * (centred, scaled) columns and units of the response's scale.
 */
struct profile_point {
    double ratio;
    double log_ratios;      /* sum over batches of ln(1 + ratio W) */
    double log_determinant; /* ln |X' M X|, M the metric of the ratio */
    double squares;         /* generalised residual sum of squares */
    double slope_ratios, slope_determinant, slope_squares; /* derivatives of the three by the ratio */
};

/* Work space of one fit; triangle and coefficient hold the last point evaluated. */
struct profile {
    const struct mixed_sums *sums;
    double *triangle;       /* width^2: R of the stacked rows */
    double *rows_triangle;  /* width^2: that of the rows themselves, kept by design_describe() */
    double *coefficient;    /* n_terms, of the stored columns */
    double *row;            /* width, scratch */
    double *block;          /* width columns of TRIANGLE_BLOCK */
    struct profile_point point;
};

bool profile_open(const struct mixed_sums *sums, struct profile *profile);
void profile_close(struct profile *profile);

/* Only the triangle of the stacked rows at a ratio; enough to judge rank before solving. */
void profile_stack(struct profile *profile, double ratio);

/* Triangle, coefficients and all terms of the criterion; the design must have full rank. */
void profile_evaluate(struct profile *profile, double ratio);

/* c = W / (1 + ratio W) of a block: the weight of a batch mean. */
double profile_mean_weight(const struct mean_block *block, double ratio);

/*
 * Ratio with the smallest criterion, REML or ML, over [0, infinity). The
 * derivative is searched for its sign changes on a grid of decades, each is
 * refined, and all local minima are compared, the boundary 0 too. NaN when
 * the criterion breaks down on the way.
 */
double profile_minimise(struct profile *profile, bool restricted);

/* -2 log likelihood, all constants counted, of the point last evaluated, for the response in its own units. */
double profile_criterion(const struct profile *profile, bool restricted);

#endif
