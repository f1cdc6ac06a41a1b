#include "stats/mixed_design.h"

#include "base/memory.h"
#include "stats/triangle.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* A column counts as dependent when what the others leave of it is this small. */
static const double DEPENDENT = 1e-12;

/* Leverages are kept up to here; beyond, one row cannot matter much. */
enum { LEVERAGE_ROWS_MAX = 100000 };

/* Names of up to three earlier terms that make up column k. */
static void list_sources(const struct mixed_data *data, const struct profile *profile, size_t k, char *out, size_t size)
{
    size_t width = profile->sums->width, n_named = 0;
    double *share = profile->coefficient;
    char scratch[32];
    size_t used = 0;
    for (size_t i = 0; i < k; i++)
        share[i] = profile->triangle[i * width + k];
    triangle_solve(profile->triangle, width, k, share);
    out[0] = 0;
    for (size_t i = 0; i < k && n_named < 3 && used + 1 < size; i++) {
        if (fabs(share[i]) < 1e-6) /* all columns have unit size */
            continue;
        int length = snprintf(out + used, size - used, "%s'%s'", n_named ? ", " : "",
                              mixed_term_name(data, i, scratch, sizeof scratch));
        used += length > 0 ? (size_t)length : 0;
        n_named++;
    }
}

enum status design_check_rank(const struct mixed_data *data, const struct profile *profile, struct problem *problem)
{
    size_t width = profile->sums->width;
    char scratch[32], sources[200];
    for (size_t k = 0; k < profile->sums->n_terms; k++) {
        double squares = 0;
        for (size_t i = 0; i <= k; i++)
            squares += profile->triangle[i * width + k] * profile->triangle[i * width + k];
        if (fabs(profile->triangle[k * width + k]) > DEPENDENT * sqrt(squares))
            continue;
        const char *name = mixed_term_name(data, k, scratch, sizeof scratch);
        if (squares == 0)
            return problem_set(problem, STATUS_NUMERIC, NULL,
                               "'%s' has the same value in every row: leave it out or add results at other values", name);
        list_sources(data, profile, k, sources, sizeof sources);
        return problem_set(problem, STATUS_NUMERIC, NULL, "'%s' follows from %s: leave one of them out", name, sources);
    }
    return STATUS_OK;
}

static void fill_leverage(const struct mixed_data *data, const struct profile *profile, double *leverage)
{
    const struct mixed_sums *s = profile->sums;
    for (size_t row = 0; row < data->n_rows; row++) {
        const double *x = mixed_design_row(data, row);
        double length = 0;
        for (size_t k = 0; k < s->n_terms; k++)
            profile->row[k] = (x[k] - s->centre[k]) / s->scale[k];
        triangle_solve_transposed(profile->rows_triangle, s->width, s->n_terms, profile->row);
        for (size_t k = 0; k < s->n_terms; k++)
            length += profile->row[k] * profile->row[k];
        leverage[row] = length * (data->weights ? data->weights[row] : 1);
    }
}

enum status design_describe(const struct mixed_data *data, struct profile *profile, struct mixed_fit *fit)
{
    size_t n = fit->n_terms, width = profile->sums->width;
    memcpy(profile->rows_triangle, profile->triangle, width * width * sizeof(double));
    double *work = memory_new(2 * n * n + n, sizeof(double));
    if (!work)
        return STATUS_MEMORY;
    fit->condition = triangle_condition(profile->triangle, width, n, work);
    memory_free(work);
    if (data->no_leverage || !data->response || fit->n_rows > LEVERAGE_ROWS_MAX)
        return STATUS_OK;
    fit->leverage = memory_new(fit->n_rows, sizeof(double));
    if (!fit->leverage)
        return STATUS_MEMORY;
    fill_leverage(data, profile, fit->leverage);
    return STATUS_OK;
}

void design_explain(const struct profile *profile, struct mixed_fit *fit)
{
    const struct mixed_sums *s = profile->sums;
    size_t n = s->n_terms, width = s->width;
    const double *triangle = profile->rows_triangle;
    double left = 0, total = 0, scale = s->scale[n], constant = 0;
    for (size_t i = 0; i < width; i++) {
        double residual = triangle[i * width + n];
        total += residual * residual;
        for (size_t k = i; k < n; k++)
            residual -= triangle[i * width + k] * profile->coefficient[k];
        left += residual * residual;
    }
    memcpy(profile->row, s->column_sums, n * sizeof(double));
    triangle_solve_transposed(triangle, width, n, profile->row);
    for (size_t k = 0; k < n; k++)
        constant += profile->row[k] * profile->row[k];
    if (constant > (1 - 1e-10) * s->total_weight) /* a constant lies in the span of the terms */
        total -= s->column_sums[n] * s->column_sums[n] / s->total_weight;
    fit->residual_sum_squares = left * scale * scale;
    fit->r_squared = total > 0 ? 1 - left / total : NAN;
}
