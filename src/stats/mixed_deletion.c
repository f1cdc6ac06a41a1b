#include "stats/mixed.h"

#include "base/memory.h"
#include "stats/mixed_information.h"
#include "stats/mixed_pool.h"

#include <math.h>
#include <string.h>

#define PIVOT_SMALLEST 1e-10 /* of what is left of a unit when a batch is left out; below, the others do not carry a term */

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

/* The rows batch by batch, if there are batches. */
static bool sort_rows(struct deletion *d)
{
    const struct mixed_data *data = d->data;
    bool sorted = true;
    if (!data->batch)
        return true;
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

/* Room to work in; who goes by rows sorts them next. */
static bool deletion_open(struct deletion *d, const struct mixed_data *data, const struct mixed_fit *fit)
{
    size_t n = data->n_terms;
    *d = (struct deletion){.data = data, .fit = fit, .factor = information_of(fit->kr_derivatives, n).factor};
    d->n_units = data->batch ? data->n_batches : data->n_rows;
    d->kept = memory_new(n * (n + 3), sizeof(double));
    if (!d->kept)
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

/* Coordinates u of a row of the design, and what is left of a response there. */
static double load_design(struct deletion *d, const double *x, double response)
{
    size_t n = d->data->n_terms;
    memset(d->u, 0, n * sizeof *d->u);
    for (size_t k = 0; k < n; k++) {
        response -= x[k] * d->fit->coefficient[k];
        for (size_t j = 0; j < n; j++)
            d->u[j] += d->factor[k * n + j] * x[k];
    }
    return response;
}

static double load_row(struct deletion *d, size_t row)
{
    return load_design(d, mixed_design_row(d->data, row), d->data->response[row]);
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
        if (!(a[k * n + k] > PIVOT_SMALLEST))
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

/* Squared errors row by row; NaN when some batch cannot be left out. */
static double squares_by_row(struct deletion *d, const struct mixed_measured *measured)
{
    double squares = 0;
    for (size_t unit = 0; unit < d->n_units; unit++) {
        if (!leave_out(d, unit))
            return NAN;
        for (size_t i = d->begin; i < d->end; i++) {
            size_t row = row_at(d, i);
            double error = load_row(d, row);
            for (size_t k = 0; k < d->data->n_terms; k++)
                error -= d->u[k] * d->shift[k];
            if (measured)
                error = measured->value[row] - measured->back(d->data->response[row] - error);
            squares += error * error;
        }
    }
    return squares;
}

/* What the fit says of the batches of a cell: its value there, and 1 - h, the part of a batch's distance from it that the batch itself does not take away. */
struct cell_fit { double value, left; };

static bool fit_cells(struct deletion *d, const struct mixed_pool *pool, struct cell_fit *cells)
{
    size_t n = d->data->n_terms;
    for (size_t i = 0; i < pool->n_cells; i++) {
        const struct mixed_cell *cell = &pool->cells[i];
        double length = 0;
        cells[i].value = -load_design(d, d->data->design + cell->design * n, 0);
        for (size_t k = 0; k < n; k++)
            length += d->u[k] * d->u[k];
        cells[i].left = 1 - mean_weight(d->fit, cell->n_rows) * length;
        if (!(cells[i].left > PIVOT_SMALLEST))
            return false;
    }
    return true;
}

/* The same where all rows of a batch share a design row: its mean is missed by (mean - value) / left. */
static double squares_by_cell(const struct mixed_pool *pool, const struct cell_fit *cells)
{
    double squares = pool->squares;
    for (size_t i = 0; i < pool->n_cells; i++) {
        const struct mixed_cell *cell = &pool->cells[i];
        double miss = cell->mean + (pool->shift - cells[i].value);
        squares += cell->n_rows * (cell->n_batches * miss * miss + cell->squares) / (cells[i].left * cells[i].left);
    }
    return squares;
}

/* The same on the scale of what was measured. */
static double squares_by_batch(const struct mixed_data *data, const struct mixed_pool *pool, const struct cell_fit *cells,
                               const struct mixed_measured *measured, const struct mixed_pool *measured_pool)
{
    double squares = measured_pool->squares;
    for (size_t b = 0; b < data->n_batches; b++) {
        const uint32_t n_rows = pool->batch_rows[b];
        if (n_rows == 0)
            continue;
        const struct cell_fit *cell = &cells[pool->batch_cell[b]];
        double mean = mixed_pool_mean(pool, b) + pool->shift, predicted = mean - (mean - cell->value) / cell->left;
        double error = mixed_pool_mean(measured_pool, b) + measured_pool->shift - measured->back(predicted);
        squares += n_rows * error * error;
    }
    return squares;
}

static enum status squares_by_pool(struct deletion *d, struct mixed_pool *pool, const struct mixed_measured *measured,
                                   struct mixed_pool *measured_pool, double *squares)
{
    enum status status = mixed_pool_make(d->data, pool);
    if (status == STATUS_OK && measured) {
        struct mixed_data data = *d->data;
        data.response = measured->value;
        status = mixed_pool_make(&data, measured_pool);
    }
    if (status != STATUS_OK)
        return status;
    struct cell_fit *cells = memory_new(pool->n_cells, sizeof *cells);
    if (!cells)
        return STATUS_MEMORY;
    if (!fit_cells(d, pool, cells))
        *squares = NAN;
    else
        *squares = measured ? squares_by_batch(d->data, pool, cells, measured, measured_pool) : squares_by_cell(pool, cells);
    memory_free(cells);
    return STATUS_OK;
}

static enum status squares_left_out(struct deletion *d, const struct mixed_measured *measured, double *squares)
{
    struct mixed_pool own = {0}, own_measured = {0};
    if (!mixed_pool_wanted(d->data)) {
        bool sorted = sort_rows(d);
        *squares = sorted ? squares_by_row(d, measured) : NAN;
        return sorted ? STATUS_OK : STATUS_MEMORY;
    }
    enum status status = squares_by_pool(d, d->data->pool ? d->data->pool : &own, measured,
                                         measured && measured->pool ? measured->pool : &own_measured, squares);
    mixed_pool_release(&own);
    mixed_pool_release(&own_measured);
    return status;
}

enum status mixed_leave_one_batch_out(const struct mixed_data *data, const struct mixed_fit *fit, const struct mixed_measured *measured,
                                      double *rmse)
{
    struct deletion d;
    double squares = NAN;
    *rmse = NAN;
    enum status status = deletion_open(&d, data, fit) ? squares_left_out(&d, measured, &squares) : STATUS_MEMORY;
    deletion_close(&d);
    if (status == STATUS_OK && isnan(squares))
        status = STATUS_TOO_FEW;
    if (status == STATUS_OK)
        *rmse = sqrt(squares / (double)data->n_rows);
    return status;
}

enum status mixed_cooks_distance(const struct mixed_data *data, const struct mixed_fit *fit, double *distance)
{
    struct deletion d;
    if (!deletion_open(&d, data, fit) || !sort_rows(&d)) {
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
