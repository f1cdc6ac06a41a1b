#include "analysis/cross_validation.h"

#include "analysis/small_system.h"
#include "base/memory.h"

#include <math.h>
#include <string.h>

/*
 * With the variances kept, generalised least squares is least squares on
 * y_jk - theta_j * mean_j, theta_j = 1 - 1/sqrt(1 + n_j var_batch/var_specimen).
 * In an orthonormal basis q = x T of the transformed design, leaving out batch j is
 *   c_j = (I - q_j' q_j)^-1 (c - q_j' y_j),  c = q' y.
 * T comes from Cholesky of q'q, twice over, so no copy of the design is kept.
 */
#define TERMS_MAX SMALL_SYSTEM_MAX
#define RATIO_LARGEST 1e10 /* stands for "no scatter within batches" */
#define PIVOT_SMALLEST 1e-9

struct refit {
    const struct mixed_data *data;
    double variance_ratio;
    size_t *first;       /* n_batches + 1: where a batch begins in order */
    uint32_t *order;     /* rows by batch */
    double to_basis[TERMS_MAX][TERMS_MAX]; /* T, upper triangular */
    double whole[TERMS_MAX];               /* q' y of all rows */
};

/* One batch: what is taken off its rows. */
struct batch_shift { double terms[TERMS_MAX], response; };

static enum status refit_reserve(struct refit *refit)
{
    refit->first = memory_new(refit->data->n_batches + 1, sizeof *refit->first);
    refit->order = memory_new(refit->data->n_rows, sizeof *refit->order);
    return refit->first && refit->order ? STATUS_OK : STATUS_MEMORY;
}

static void refit_order(struct refit *refit)
{
    const struct mixed_data *data = refit->data;
    size_t *first = refit->first;
    for (size_t i = 0; i < data->n_rows; i++)
        first[data->batch[i] + 1]++;
    for (size_t j = 0; j < data->n_batches; j++)
        first[j + 1] += first[j];
    /* Placing rows moves each start on to the next; shifting back restores them. */
    for (size_t i = 0; i < data->n_rows; i++)
        refit->order[first[data->batch[i]]++] = (uint32_t)i;
    memmove(first + 1, first, data->n_batches * sizeof *first);
    first[0] = 0;
}

static struct batch_shift refit_shift(const struct refit *refit, size_t batch)
{
    const struct mixed_data *data = refit->data;
    struct batch_shift shift = { { 0 }, 0 };
    double n = (double)(refit->first[batch + 1] - refit->first[batch]);
    double theta = 1 - 1 / sqrt(1 + n * refit->variance_ratio), share = theta / n;
    for (size_t k = refit->first[batch]; k < refit->first[batch + 1] && theta > 0; k++) {
        const double *x = mixed_design_row(data, refit->order[k]);
        for (size_t a = 0; a < data->n_terms; a++)
            shift.terms[a] += share * x[a];
        shift.response += share * data->response[refit->order[k]];
    }
    return shift;
}

/* A row of the design, less `shift`, in the basis. */
static void refit_row(const struct refit *refit, size_t i, const double *shift, double out[TERMS_MAX])
{
    size_t p = refit->data->n_terms;
    const double *row = mixed_design_row(refit->data, i);
    for (size_t b = 0; b < p; b++) {
        out[b] = 0;
        for (size_t a = 0; a <= b; a++)
            out[b] += (row[a] - shift[a]) * refit->to_basis[a][b];
    }
}

/* Whether the row at k has the design of the one before it, its batch's: then what was made of that still holds. */
static bool same_design(const struct refit *refit, size_t batch, size_t k)
{
    return refit->data->batch_design && k > refit->first[batch];
}

static void refit_gram(const struct refit *refit, double gram[TERMS_MAX][TERMS_MAX])
{
    size_t p = refit->data->n_terms;
    double q[TERMS_MAX];
    memset(gram, 0, sizeof(double[TERMS_MAX][TERMS_MAX]));
    for (size_t batch = 0; batch < refit->data->n_batches; batch++) {
        struct batch_shift shift = refit_shift(refit, batch);
        for (size_t k = refit->first[batch]; k < refit->first[batch + 1]; k++) {
            if (!same_design(refit, batch, k))
                refit_row(refit, refit->order[k], shift.terms, q);
            for (size_t a = 0; a < p; a++)
                for (size_t b = 0; b < p; b++)
                    gram[a][b] += q[a] * q[b];
        }
    }
}

/* T := T L'^-1, so that q'q becomes the unit matrix. */
static void basis_divide(double to_basis[TERMS_MAX][TERMS_MAX], double lower[TERMS_MAX][TERMS_MAX], size_t p)
{
    for (size_t a = 0; a < p; a++) {
        for (size_t b = 0; b < p; b++) {
            for (size_t k = 0; k < b; k++)
                to_basis[a][b] -= to_basis[a][k] * lower[b][k];
            to_basis[a][b] /= lower[b][b];
        }
    }
}

static bool refit_orthonormalise(struct refit *refit)
{
    size_t p = refit->data->n_terms;
    double gram[TERMS_MAX][TERMS_MAX], smallest[2] = { 1e-14, 0.1 };
    for (size_t a = 0; a < p; a++)
        refit->to_basis[a][a] = 1;
    for (int pass = 0; pass < 2; pass++) {
        refit_gram(refit, gram);
        if (!small_system_factor(gram, p, smallest[pass]))
            return false;
        basis_divide(refit->to_basis, gram, p);
    }
    return true;
}

static void add_products(const struct refit *refit, size_t batch, double left[TERMS_MAX][TERMS_MAX], double *right)
{
    size_t p = refit->data->n_terms;
    struct batch_shift shift = refit_shift(refit, batch);
    double q[TERMS_MAX];
    for (size_t k = refit->first[batch]; k < refit->first[batch + 1]; k++) {
        size_t i = refit->order[k];
        if (!same_design(refit, batch, k))
            refit_row(refit, i, shift.terms, q);
        for (size_t a = 0; a < p; a++) {
            right[a] += q[a] * (refit->data->response[i] - shift.response);
            for (size_t b = 0; b < p; b++)
                left[a][b] += q[a] * q[b];
        }
    }
}

static bool coefficients_without(const struct refit *refit, size_t batch, double *coefficient)
{
    size_t p = refit->data->n_terms;
    double taken[TERMS_MAX][TERMS_MAX] = { { 0 } }, product[TERMS_MAX] = { 0 };
    add_products(refit, batch, taken, product);
    for (size_t a = 0; a < p; a++) {
        coefficient[a] = refit->whole[a] - product[a];
        for (size_t b = 0; b < p; b++)
            taken[a][b] = (a == b) - taken[a][b];
    }
    for (size_t a = 0; a < p; a++)
        if (!(taken[a][a] > PIVOT_SMALLEST))
            return false;
    if (!small_system_factor(taken, p, PIVOT_SMALLEST))
        return false;
    small_system_solve(taken, coefficient, p);
    return true;
}

static bool add_errors_without(const struct refit *refit, size_t batch, const double *y, bool log_response, double *sum)
{
    static const double no_shift[TERMS_MAX] = { 0 };
    double coefficient[TERMS_MAX], row[TERMS_MAX], predicted = 0;
    if (!coefficients_without(refit, batch, coefficient))
        return false;
    for (size_t k = refit->first[batch]; k < refit->first[batch + 1]; k++) {
        size_t i = refit->order[k];
        if (!same_design(refit, batch, k)) {
            refit_row(refit, i, no_shift, row);
            predicted = 0;
            for (size_t a = 0; a < refit->data->n_terms; a++)
                predicted += coefficient[a] * row[a];
            predicted = log_response ? exp(predicted) : predicted;
        }
        double error = y[i] - predicted;
        *sum += error * error;
    }
    return true;
}

static double refit_rmse(struct refit *refit, const double *y, bool log_response)
{
    double unused[TERMS_MAX][TERMS_MAX] = { { 0 } }, sum = 0;
    refit_order(refit);
    if (!refit_orthonormalise(refit))
        return NAN;
    for (size_t batch = 0; batch < refit->data->n_batches; batch++)
        add_products(refit, batch, unused, refit->whole);
    for (size_t batch = 0; batch < refit->data->n_batches; batch++)
        if (!add_errors_without(refit, batch, y, log_response, &sum))
            return NAN;
    return sqrt(sum / (double)refit->data->n_rows);
}

enum status cross_validation_rmse(const struct mixed_data *data, const struct mixed_fit *fit,
                                  const double *y, bool log_response, double *rmse)
{
    bool has_ratio = fit->has_batch_effect && fit->var_batch > 0;
    struct refit refit = {
        .data = data,
        .variance_ratio = has_ratio ? fmin(fit->var_batch / fit->var_specimen, RATIO_LARGEST) : 0,
    };
    *rmse = NAN;
    if (data->n_terms > TERMS_MAX)
        return STATUS_OK;
    enum status status = refit_reserve(&refit);
    if (status == STATUS_OK)
        *rmse = refit_rmse(&refit, y, log_response);
    memory_free(refit.first);
    memory_free(refit.order);
    return status;
}
