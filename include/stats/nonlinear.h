#ifndef STATS_NONLINEAR_H
#define STATS_NONLINEAR_H

#include "base/problem.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/*
 * A curve: its value at x and the derivatives by each parameter. May give
 * NaN where it has no value. context is the caller's.
 */
typedef void nonlinear_model(const double *parameter, double x, void *context, double *value, double *gradient);

struct nonlinear_data {
    size_t n_rows, n_parameters;
    const double *x, *y;          /* n_rows */
    const double *weights;        /* n_rows, positive, or NULL */
    /* Rows may be means of several results; the weights are then their numbers. */
    size_t n_pooled;              /* results less rows; else 0 */
    double squares_pooled;        /* of the results about these means; else 0 */
    nonlinear_model *model;
    void *context;
    const double *start;          /* n_parameters */
    const char *const *parameter_names; /* for messages; NULL allowed */
};

/* Owns its arrays; release with nonlinear_fit_release(). */
struct nonlinear_fit {
    size_t n_rows, n_parameters, n_iterations; /* n_rows: results, those pooled counted */
    double *parameter;            /* n_parameters */
    double *covariance;           /* n_parameters^2: residual variance * (J'WJ)^-1 at the solution */
    double residual_sum_squares;  /* weighted */
    double residual_sd, df;       /* df = n_rows - n_parameters */
    double condition;             /* of the scaled derivative matrix */
};

/*
 * Weighted least squares for a curve that is not linear in its parameters:
 * Levenberg-Marquardt steps, then Gauss-Newton steps until nothing changes.
 *
 * STATUS_TOO_FEW  n_rows + n_pooled <= n_parameters
 * STATUS_NUMERIC  no convergence, a value not finite, or parameters that the
 *                 data cannot tell apart (named)
 * STATUS_MEMORY
 * Source: docs/methods/strength-with-age.md
 */
enum status nonlinear_fit_estimate(const struct nonlinear_data *data, struct nonlinear_fit *fit, struct problem *problem);
void nonlinear_fit_release(struct nonlinear_fit *fit);

/* Standard error of parameter j. */
double nonlinear_fit_std_error(const struct nonlinear_fit *fit, size_t parameter);

#endif
