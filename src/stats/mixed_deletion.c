#include "stats/mixed.h"

#include "base/memory.h"
#include "stats/mixed_information.h"

#include <math.h>
#include <string.h>

/*
 * Leaving out one batch (or one row, when there are no batches) at fixed
 * variances. In coordinates u = F' x, where X'MX = I, the coefficients move by
 *   shift = -(I - A)^-1 b,  A = X_j' M_j X_j,  b = X_j' M_j (y_j - X_j b).
 * Source: docs/methods/random-batch.md
 */
struct deletion {
    const struct mixed_data *data;
    const struct mixed_fit *fit;
    const double *factor;
    uint32_t *order;   /* rows, batch by batch; NULL when they stand so already */
    size_t *first;     /* n_units + 1: where each batch starts in that order; NULL: every row is a unit */
    size_t n_units;
    double *kept, *shift, *mean, *u; /* work: n_terms^2, then n_terms each */
    size_t begin, end; /* the unit last left out */
};

static size_t row_at(const struct deletion *d, size_t position)
{
    return d->order ? d->order[position] : position;
}

static double row_weight(const struct mixed_data *data, size_t row)
{
    return data->weights ? data->weights[row] : 1;
}

static bool sort_by_batch(struct deletion *d)
{
    const struct mixed_data *data = d->data;
    bool sorted = true;
    d->first = memory_new(data->n_batches + 1, sizeof *d->first);
    if (!d->first)
        return false;
    for (size_t row = 0; row < data->n_rows; row++) {
        d->first[data->batch[row] + 1]++;
        sorted &= row == 0 || data->batch[row] >= data->batch[row - 1];
    }
    for (size_t b = 0; b < data->n_batches; b++)
        d->first[b + 1] += d->first[b];
    if (sorted)
        return true;
    size_t *next = memory_new(data->n_batches, sizeof *next);
    d->order = memory_new(data->n_rows, sizeof *d->order);
    if (next && d->order) {
        memcpy(next, d->first, data->n_batches * sizeof *next);
        for (size_t row = 0; row < data->n_rows; row++)
            d->order[next[data->batch[row]]++] = (uint32_t)row;
    }
    memory_free(next);
    return next && d->order;
}

static bool deletion_open(struct deletion *d, const struct mixed_data *data, const struct mixed_fit *fit)
{
    size_t n = data->n_terms;
    *d = (struct deletion){.data = data, .fit = fit, .factor = information_of(fit->kr_derivatives, n).factor};
    d->n_units = data->batch ? data->n_batches : data->n_rows;
    d->kept = memory_new(n * (n + 3), sizeof(double));
    if (!d->kept || (data->batch && !sort_by_batch(d)))
        return false;
    d->shift = d->kept + n * n;
    d->mean = d->shift + n;
    d->u = d->mean + n;
    return true;
}

static void deletion_close(struct deletion *d)
{
    memory_free(d->kept);
    memory_free(d->order);
    memory_free(d->first);
}

/* Coordinates u of a row, and its residual. */
static double load_row(struct deletion *d, size_t row)
{
    size_t n = d->data->n_terms;
    const double *x = mixed_design_row(d->data, row);
    double residual = d->data->response[row];
    memset(d->u, 0, n * sizeof *d->u);
    for (size_t k = 0; k < n; k++) {
        residual -= x[k] * d->fit->coefficient[k];
        for (size_t j = 0; j < n; j++)
            d->u[j] += d->factor[k * n + j] * x[k];
    }
    return residual;
}

/* kept -= weight u u', shift -= weight u residual */
static void take_out(struct deletion *d, const double *u, double weight, double residual)
{
    size_t n = d->data->n_terms;
    for (size_t i = 0; i < n; i++) {
        d->shift[i] -= weight * u[i] * residual;
        for (size_t j = 0; j < n; j++)
            d->kept[i * n + j] -= weight * u[i] * u[j];
    }
}

/* Solves kept * shift = shift in place; false when what is kept no longer determines all terms. */
static bool solve_kept(struct deletion *d)
{
    size_t n = d->data->n_terms;
    double *a = d->kept;
    for (size_t k = 0; k < n; k++) {
        for (size_t j = 0; j < k; j++)
            a[k * n + k] -= a[k * n + j] * a[k * n + j];
        if (!(a[k * n + k] > 1e-10))
            return false;
        a[k * n + k] = sqrt(a[k * n + k]);
        for (size_t i = k + 1; i < n; i++) {
            for (size_t j = 0; j < k; j++)
                a[i * n + k] -= a[i * n + j] * a[k * n + j];
            a[i * n + k] /= a[k * n + k];
        }
        for (size_t j = 0; j < k; j++)
            d->shift[k] -= a[k * n + j] * d->shift[j];
        d->shift[k] /= a[k * n + k];
    }
    for (size_t k = n; k-- > 0;) {
        for (size_t j = k + 1; j < n; j++)
            d->shift[k] -= a[j * n + k] * d->shift[j];
        d->shift[k] /= a[k * n + k];
    }
    return true;
}

/* Weight of a batch mean in the fit's metric, relative to 1 / var_specimen (to 1 / var_batch when only means count). */
static double mean_weight(const struct mixed_fit *fit, double weight)
{
    if (mixed_fit_means_only(fit))
        return 1;
    double ratio = fit->var_specimen > 0 ? fit->var_batch / fit->var_specimen : 0;
    return weight / (1 + ratio * weight);
}

/* Leaves out one unit; false when the rest cannot be fitted. */
static bool leave_out(struct deletion *d, size_t unit)
{
    const struct mixed_data *data = d->data;
    size_t n = data->n_terms;
    double total = 0, mean_residual = 0;
    bool means_only = mixed_fit_means_only(d->fit);
    d->begin = d->first ? d->first[unit] : unit;
    d->end = d->first ? d->first[unit + 1] : unit + 1;
    memset(d->kept, 0, n * (n + 2) * sizeof *d->kept);
    for (size_t k = 0; k < n; k++)
        d->kept[k * n + k] = 1;
    for (size_t i = d->begin; i < d->end; i++) {
        double weight = row_weight(data, row_at(d, i)), residual = load_row(d, row_at(d, i));
        total += weight;
        mean_residual += weight / total * (residual - mean_residual);
        for (size_t k = 0; k < n; k++)
            d->mean[k] += weight / total * (d->u[k] - d->mean[k]);
    }
    for (size_t i = d->begin; i < d->end && !means_only; i++) {
        double residual = load_row(d, row_at(d, i)) - mean_residual;
        for (size_t k = 0; k < n; k++)
            d->u[k] -= d->mean[k];
        take_out(d, d->u, row_weight(data, row_at(d, i)), residual);
    }
    take_out(d, d->mean, mean_weight(d->fit, total), mean_residual);
    return solve_kept(d);
}

enum status mixed_leave_one_batch_out(const struct mixed_data *data, const struct mixed_fit *fit, double *rmse)
{
    struct deletion d;
    double squares = 0;
    *rmse = NAN;
    bool open = deletion_open(&d, data, fit), fitted = open;
    for (size_t unit = 0; fitted && unit < d.n_units; unit++) {
        fitted = leave_out(&d, unit);
        for (size_t i = d.begin; fitted && i < d.end; i++) {
            double error = load_row(&d, row_at(&d, i));
            for (size_t k = 0; k < data->n_terms; k++)
                error -= d.u[k] * d.shift[k];
            squares += error * error;
        }
    }
    deletion_close(&d);
    if (!open)
        return STATUS_MEMORY;
    if (!fitted)
        return STATUS_TOO_FEW;
    *rmse = sqrt(squares / (double)data->n_rows);
    return STATUS_OK;
}

enum status mixed_cooks_distance(const struct mixed_data *data, const struct mixed_fit *fit, double *distance)
{
    struct deletion d;
    if (!deletion_open(&d, data, fit)) {
        deletion_close(&d);
        return STATUS_MEMORY;
    }
    double variance = mixed_fit_means_only(fit) ? fit->var_batch : fit->var_specimen;
    for (size_t unit = 0; unit < d.n_units; unit++) {
        double squares = 0;
        bool fitted = leave_out(&d, unit);
        for (size_t k = 0; k < data->n_terms; k++)
            squares += d.shift[k] * d.shift[k];
        distance[unit] = fitted ? squares / variance / (double)data->n_terms : INFINITY;
        if (d.begin == d.end || (fitted && squares == 0))
            distance[unit] = 0;
    }
    deletion_close(&d);
    return STATUS_OK;
}
