#ifndef ANALYSIS_GENERAL_FIT_H
#define ANALYSIS_GENERAL_FIT_H

#include "analysis/influence.h"

/*
 * A regression of any column on any others, values as they stand.
 * Borrows everything.
 */
struct general_fit_question {
    size_t n_rows, n_columns;
    const double *values;       /* n_rows x n_columns, row-major: response, predictor (when has_predictor), others, weights (when has_weights) */
    const char *const *names;   /* n_columns */
    const char *const *batches; /* n_rows: rows alike share a batch; NULL: every row stands alone */
    bool has_predictor, has_weights, no_intercept;
    unsigned degree;            /* powers of the predictor, from 1 */
    double confidence;          /* of the coefficients' limits */
};

/* Owns its coefficients and its fit; release with general_fit_release(). */
struct general_fit {
    const char *response, *predictor; /* names of the question; predictor NULL without one */
    const char *const *explaining;    /* n_explaining names: the predictor and the others */
    size_t n_explaining;
    const char *law;                  /* "linear", "quadratic", "polynomial", "constant" */
    size_t n_specimens, n_batches, n_coefficients;
    struct coefficient_row *coefficients;
    double sd_batch, sd_specimen;     /* NaN when batches cannot be told from specimens */
    double residual_sd, r_squared, aicc, cross_validation_rmse;
    struct lack_of_fit lack_of_fit;
    const char *const *batches;       /* of the question: a name a row; NULL without */
    struct influence influence;
    struct near_dependence near;      /* columns by number among `explaining`; n_explaining: none */
    struct mixed_fit fit;
};

/*
 * Least squares, or REML with the batch as random effect when batches are given.
 *
 * STATUS_USAGE    nothing to explain the response with, or a weight is not above zero
 * STATUS_TOO_FEW  not more rows (batches) than terms
 * STATUS_NUMERIC  the columns depend on one another; problem names one
 * STATUS_MEMORY
 * Source: docs/methods/random-batch.md
 */
enum status general_fit_estimate(const struct general_fit_question *question, struct general_fit *fit, struct problem *problem);
void general_fit_release(struct general_fit *fit);

#endif
