#include "stats/mixed_careful.h"

#include "base/memory.h"
#include "stats/mixed_information.h"

#include <float.h>
#include <math.h>
#include <string.h>

/* Long double columns of more values than this would take more memory than they earn. */
static const size_t CAREFUL_VALUES_MAX = 1000000;

/* Residuals are solved for again this often; each time gains about ten digits. */
enum { REFINEMENTS = 2 };

bool careful_terms_allowed(const struct mixed_data *data)
{
    return data->response && data->n_terms > 1 && data->n_terms <= MIXED_TERMS_MAX && data->n_rows <= CAREFUL_VALUES_MAX / data->n_terms;
}

static bool is_product(const struct mixed_data *data, size_t term, size_t a, size_t b)
{
    for (size_t row = 0; row < data->n_rows; row++) {
        const double *x = mixed_design_row(data, row);
        if (fabs(x[term] - x[a] * x[b]) > 8 * DBL_EPSILON * fabs(x[term]))
            return false;
    }
    return true;
}

/* A constant term is a product of nothing, and no factor of others: 1 * x = x would say nothing. */
static bool is_constant(const struct mixed_data *data, size_t term)
{
    for (size_t row = 1; row < data->n_rows; row++)
        if (mixed_design_row(data, row)[term] != mixed_design_row(data, 0)[term])
            return false;
    return true;
}

static void find_products(struct careful_terms *terms)
{
    const struct mixed_data *data = terms->original;
    bool constant[MIXED_TERMS_MAX];
    for (size_t k = 0; k < data->n_terms; k++) {
        constant[k] = is_constant(data, k);
        terms->factors[k][0] = data->n_terms;
        bool found = constant[k];
        for (size_t a = 0; a < k && !found; a++)
            for (size_t b = 0; b <= a && !found && !constant[a]; b++) {
                found = !constant[b] && is_product(data, k, a, b);
                if (found) {
                    terms->factors[k][0] = a;
                    terms->factors[k][1] = b;
                }
            }
    }
}

/* One row of X, products with their lost digits. */
static void exact_row(const struct careful_terms *terms, size_t row, long double *x)
{
    size_t n = terms->original->n_terms;
    for (size_t k = 0; k < n; k++) {
        bool product = terms->factors[k][0] < n;
        x[k] = product ? x[terms->factors[k][0]] * x[terms->factors[k][1]]
                       : (long double)mixed_design_row(terms->original, row)[k];
    }
}

static long double dot(const long double *a, const long double *b, size_t n)
{
    long double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += a[i] * b[i];
    return sum;
}

/*
 * Gram and Schmidt, each column twice over, in place: columns become
 * orthogonal with mean square 1 and `triangle` gets the R of X = Z R.
 */
static void orthogonalise(long double *columns, size_t n_rows, size_t n, const size_t *order, long double *triangle)
{
    for (size_t k = 0; k < n; k++) {
        long double *column = columns + order[k] * n_rows;
        for (int pass = 0; pass < 2; pass++)
            for (size_t j = 0; j < k; j++) {
                const long double *earlier = columns + order[j] * n_rows;
                long double share = dot(earlier, column, n_rows) / (long double)n_rows;
                triangle[j * n + k] += share;
                for (size_t i = 0; i < n_rows; i++)
                    column[i] -= share * earlier[i];
            }
        long double size = sqrtl(dot(column, column, n_rows) / (long double)n_rows);
        triangle[k * n + k] = size;
        for (size_t i = 0; i < n_rows; i++)
            column[i] /= size;
    }
}

/* turn = R^-1, with rows and columns put back from `order` to the caller's. */
static void invert_triangle(const long double *triangle, size_t n, const size_t *order, long double *turn)
{
    for (size_t j = 0; j < n; j++)
        for (size_t i = j + 1; i-- > 0;) {
            long double sum = i == j;
            for (size_t k = i + 1; k <= j; k++)
                sum -= triangle[i * n + k] * turn[order[k] * n + order[j]];
            turn[order[i] * n + order[j]] = sum / triangle[i * n + i];
        }
}

static void fill_terms(struct careful_terms *terms, long double *columns, long double *triangle)
{
    const struct mixed_data *data = terms->original;
    size_t n = data->n_terms, n_rows = data->n_rows, order[MIXED_TERMS_MAX] = {0};
    long double row_values[MIXED_TERMS_MAX] = {0};
    size_t n_ordered = 0;
    find_products(terms);
    /* a constant term first: the others are then centred, and it stays constant */
    for (int wanted = 1; wanted >= 0; wanted--)
        for (size_t k = 0; k < n; k++)
            if (is_constant(data, k) == wanted)
                order[n_ordered++] = k;
    for (size_t row = 0; row < n_rows; row++) {
        exact_row(terms, row, row_values);
        for (size_t k = 0; k < n; k++)
            columns[k * n_rows + row] = row_values[k];
    }
    orthogonalise(columns, n_rows, n, order, triangle);
    invert_triangle(triangle, n, order, terms->turn);
    for (size_t k = 0; k < n; k++) {
        terms->log_determinant -= (double)logl(triangle[k * n + k]);
        for (size_t row = 0; row < n_rows; row++)
            terms->design[row * n + k] = (double)columns[k * n_rows + row];
    }
}

enum status careful_terms_build(const struct mixed_data *data, struct careful_terms *terms)
{
    size_t n = data->n_terms;
    *terms = (struct careful_terms){.original = data, .data = *data};
    long double *columns = memory_new(data->n_rows * n, sizeof *columns);
    long double *triangle = memory_new(n * n, sizeof *triangle);
    terms->design = memory_new(data->n_rows * n, sizeof *terms->design);
    terms->turn = memory_new(n * n, sizeof *terms->turn);
    terms->factors = memory_new(n, sizeof *terms->factors);
    bool room = columns && triangle && terms->design && terms->turn && terms->factors;
    if (room)
        fill_terms(terms, columns, triangle);
    memory_free(columns);
    memory_free(triangle);
    terms->data.design = terms->design;
    terms->data.batch_design = NULL;
    terms->data.pool = NULL;
    return room ? STATUS_OK : STATUS_MEMORY;
}

void careful_terms_release(struct careful_terms *terms)
{
    memory_free(terms->design);
    memory_free(terms->turn);
    memory_free(terms->factors);
    *terms = (struct careful_terms){0};
}

/* out = S in */
static void turn_back(const struct careful_terms *terms, const long double *in, long double *out)
{
    size_t n = terms->original->n_terms;
    for (size_t i = 0; i < n; i++) {
        out[i] = 0;
        for (size_t j = 0; j < n; j++)
            out[i] += terms->turn[i * n + j] * in[j];
    }
}

/*
 * One step of least squares on the residuals of X b, all in long double: adds
 * (Z'WZ)^-1 Z'W r to the coefficients g of Z.
 */
static void refine(const struct careful_terms *terms, const double *factor, long double *g)
{
    const struct mixed_data *data = terms->original;
    size_t n = data->n_terms;
    long double b[MIXED_TERMS_MAX] = {0}, x[MIXED_TERMS_MAX] = {0}, score[MIXED_TERMS_MAX] = {0};
    turn_back(terms, g, b);
    for (size_t row = 0; row < data->n_rows; row++) {
        exact_row(terms, row, x);
        long double residual = data->response[row], weight = data->weights ? data->weights[row] : 1;
        for (size_t k = 0; k < n; k++)
            residual -= x[k] * b[k];
        for (size_t k = 0; k < n; k++)
            score[k] += weight * residual * terms->design[row * n + k];
    }
    for (size_t a = 0; a < n; a++) {
        long double u = 0;
        for (size_t k = 0; k < n; k++)
            u += factor[k * n + a] * score[k];
        for (size_t k = 0; k < n; k++)
            g[k] += factor[k * n + a] * u;
    }
}

void careful_terms_turn_back(const struct careful_terms *terms, struct mixed_fit *fit)
{
    size_t n = fit->n_terms;
    long double g[MIXED_TERMS_MAX] = {0}, b[MIXED_TERMS_MAX] = {0};
    double *factor = information_of(fit->kr_derivatives, n).factor;
    for (size_t k = 0; k < n; k++)
        g[k] = fit->coefficient[k];
    for (int i = 0; i < REFINEMENTS && !fit->has_batch_effect; i++)
        refine(terms, factor, g);
    turn_back(terms, g, b);
    for (size_t k = 0; k < n; k++)
        fit->coefficient[k] = (double)b[k];
    for (size_t a = 0; a < n; a++) {
        for (size_t k = 0; k < n; k++)
            g[k] = factor[k * n + a];
        turn_back(terms, g, b);
        for (size_t k = 0; k < n; k++)
            factor[k * n + a] = (double)b[k];
    }
    information_covariance(fit);
    /* |X'MX| = |Z'MZ| / det(S)^2 */
    fit->log_likelihood_reml += terms->log_determinant;
    fit->criterion = -2 * (fit->method == MIXED_ML ? fit->log_likelihood : fit->log_likelihood_reml);
}
