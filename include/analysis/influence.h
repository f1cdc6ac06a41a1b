#ifndef ANALYSIS_INFLUENCE_H
#define ANALYSIS_INFLUENCE_H

#include "analysis/curve.h"
#include "stats/normality.h"

/* How much a fit hangs on one batch, or on one row where there are no batches. */
struct influence_unit {
    size_t unit;              /* batch or row of the data, from 0 */
    size_t row;               /* its first row, from 0 */
    double cooks_distance;    /* INFINITY: it alone carries a term */
    double leverage;          /* the largest of its rows'; NaN when not kept */
};

#define INFLUENCE_UNITS 5
struct influence {
    bool by_batch;
    struct influence_unit units[INFLUENCE_UNITS]; /* n_units, the most influential first */
    size_t n_units;
    struct normality residuals;                   /* about curve and batches; NaN when it cannot be had */
};

/*
 * The batches (rows) that move the fit most, and whether the residuals look
 * normal. STATUS_MEMORY
 * Source: docs/methods/influence.md
 */
enum status influence_judge(const struct mixed_data *data, const struct mixed_fit *fit, struct influence *influence);

/* The same of the chosen curve of a set; n_units 0 when there is none. */
enum status influence_of_curve(const struct curve_set *curves, struct influence *influence);

/* Two terms that nearly say the same. */
struct near_dependence {
    size_t term, with;        /* of the design; n_terms: none */
    double inflation;         /* of the variance of `term` by its likeness to all others; NaN without other terms */
    double correlation;       /* with the term most like it */
};

/* The worst among terms first .. n_terms - 1, which carry a variable each. Weights count, batches do not. STATUS_MEMORY */
enum status near_dependence_find(const struct mixed_data *data, size_t first, bool intercept, struct near_dependence *found);

#endif
