#include "stats/mixed.h"

#include "base/memory.h"
#include "stats/distribution.h"
#include "stats/mixed_pool.h"

#include <math.h>
#include <string.h>

/*
 * The rows reduced to what is compared: means of batches or of cells, or the
 * rows themselves without batches. Each has one group, and its design row is
 * its group's.
 */
struct means {
    size_t n, n_terms, n_groups; /* n_groups that have results */
    double n_units;              /* batches or rows that have results */
    double *weight, *response, *design; /* weight: of each batch */
    double *count, *squares;     /* batches of a mean, and the sum of squares of theirs about it */
    double *group_weight, *group_mean;
    uint32_t *group;
    double inside_squares, inside_df; /* of the rows about their batch means */
    bool comparable;
};

static bool means_reserve(struct means *m, const struct mixed_data *data, size_t n, size_t n_groups)
{
    *m = (struct means){.n = n, .n_terms = data->n_terms, .comparable = true};
    m->weight = memory_new(4 * n + 2 * n_groups, sizeof(double));
    m->design = memory_new(n, data->n_terms * sizeof(double));
    m->group = memory_new(n, sizeof *m->group);
    if (!m->weight || !m->design || !m->group)
        return false;
    m->response = m->weight + n;
    m->count = m->response + n;
    m->squares = m->count + n;
    m->group_weight = m->squares + n;
    m->group_mean = m->group_weight + n_groups;
    return true;
}

static void means_release(struct means *m)
{
    memory_free(m->weight);
    memory_free(m->design);
    memory_free(m->group);
}

/* Moves a weighted mean by one value and gives what the value adds to the squares about it. */
static double move_mean(double *mean, double *total, double value, double weight)
{
    double before = *total, deviation = value - *mean;
    *total += weight;
    *mean += weight / *total * deviation;
    return weight * before / *total * deviation * deviation;
}

static void means_add_row(struct means *m, const struct mixed_data *data, const uint32_t *groups, size_t row)
{
    size_t i = data->batch ? data->batch[row] : row, n = m->n_terms;
    const double *x = mixed_design_row(data, row);
    uint32_t group = groups[mixed_design_index(data, row)];
    if (m->weight[i] == 0) {
        m->group[i] = group;
        m->count[i] = 1;
        m->n_units++;
        for (size_t k = 0; k < n; k++)
            m->design[i * n + k] = x[k];
    } else {
        m->inside_df++;
    }
    m->comparable &= m->group[i] == group;
    for (size_t k = 0; k < n; k++)
        m->comparable &= fabs(x[k] - m->design[i * n + k]) <= 1e-9 * fabs(x[k]);
    m->inside_squares += move_mean(&m->response[i], &m->weight[i], data->response[row],
                                   data->weights ? data->weights[row] : 1);
}

static bool means_from_rows(struct means *m, const struct mixed_data *data, const uint32_t *groups, size_t n_groups)
{
    if (!means_reserve(m, data, data->batch ? data->n_batches : data->n_rows, n_groups))
        return false;
    for (size_t row = 0; row < data->n_rows; row++)
        means_add_row(m, data, groups, row);
    return true;
}

/* Batches of one cell are compared through their mean and the squares about it. */
static bool means_from_pool(struct means *m, const struct mixed_data *data, const struct mixed_pool *pool, const uint32_t *groups, size_t n_groups)
{
    if (!means_reserve(m, data, pool->n_cells, n_groups))
        return false;
    for (size_t i = 0; i < pool->n_cells; i++) {
        const struct mixed_cell *cell = &pool->cells[i];
        m->weight[i] = cell->n_rows;
        m->count[i] = cell->n_batches;
        m->response[i] = cell->mean + pool->shift;
        m->squares[i] = cell->squares;
        m->group[i] = groups[cell->design];
        memcpy(m->design + i * m->n_terms, data->design + cell->design * m->n_terms, m->n_terms * sizeof *m->design);
        m->n_units += cell->n_batches;
        m->inside_df += cell->n_batches * (cell->n_rows - 1);
    }
    m->inside_squares = pool->squares;
    return true;
}

static enum status means_make(struct means *m, const struct mixed_data *data, const uint32_t *groups, size_t n_groups)
{
    struct mixed_pool own = {0}, *pool = data->pool ? data->pool : &own;
    enum status status = STATUS_OK;
    *m = (struct means){0};
    bool pools = mixed_pool_wanted(data);
    if (pools)
        status = mixed_pool_make(data, pool);
    if (status == STATUS_OK)
        status = (pools ? means_from_pool(m, data, pool, groups, n_groups) : means_from_rows(m, data, groups, n_groups)) ? STATUS_OK : STATUS_MEMORY;
    mixed_pool_release(&own);
    return status;
}

/* Drops batches without rows and sees that a group has one design row throughout. */
static bool means_tidy(struct means *m, size_t n_groups)
{
    size_t kept = 0, n = m->n_terms;
    size_t *first = memory_new(n_groups, sizeof *first); /* 1 + the group's first mean */
    if (!first)
        return false;
    for (size_t i = 0; i < m->n; i++) {
        if (m->weight[i] == 0)
            continue;
        m->weight[kept] = m->weight[i];
        m->response[kept] = m->response[i];
        m->count[kept] = m->count[i];
        m->squares[kept] = m->squares[i];
        m->group[kept] = m->group[i];
        for (size_t k = 0; k < n; k++)
            m->design[kept * n + k] = m->design[i * n + k];
        size_t *at = &first[m->group[kept]];
        m->n_groups += *at == 0;
        if (*at == 0)
            *at = kept + 1;
        for (size_t k = 0; k < n; k++) {
            double x = m->design[kept * n + k];
            m->comparable &= fabs(x - m->design[(*at - 1) * n + k]) <= 1e-9 * fabs(x);
        }
        kept++;
    }
    m->n = kept;
    memory_free(first);
    return true;
}

/* Weighted squares of the means about their group means. */
static double squares_about_groups(struct means *m, size_t n_groups)
{
    double squares = 0;
    for (size_t g = 0; g < n_groups; g++)
        m->group_weight[g] = m->group_mean[g] = 0;
    for (size_t i = 0; i < m->n; i++) {
        double whole = m->weight[i] * m->count[i];
        squares += move_mean(&m->group_mean[m->group[i]], &m->group_weight[m->group[i]], m->response[i], whole) + m->weight[i] * m->squares[i];
    }
    return squares;
}

/*
 * With unequal batches the means are weighted by 1 / (var_batch + var_specimen / W),
 * the variances from the nested analysis of variance of batches in groups.
 */
static void weigh_means(struct means *m, size_t n_groups)
{
    if (!(m->inside_df > 0))
        return;
    double between = squares_about_groups(m, n_groups) / (m->n_units - (double)m->n_groups);
    double inside = m->inside_squares / m->inside_df, total = 0, usual = 0;
    for (size_t i = 0; i < m->n; i++) {
        total += m->count[i] * m->weight[i];
        usual -= m->count[i] * m->weight[i] * m->weight[i] / m->group_weight[m->group[i]];
    }
    usual = (usual + total) / (m->n_units - (double)m->n_groups);
    double var_batch = fmax(0, (between - inside) / usual);
    for (size_t i = 0; i < m->n; i++)
        m->weight[i] = inside > 0 ? m->weight[i] / (1 + var_batch / inside * m->weight[i]) : 1;
}

static enum status compare(struct means *m, size_t n_groups, struct lack_of_fit *result)
{
    struct mixed_data data = {.n_rows = m->n, .n_terms = m->n_terms, .design = m->design, .response = m->response,
                              .weights = m->weight};
    struct mixed_fit fit;
    struct problem problem;
    weigh_means(m, n_groups);
    double free_squares = squares_about_groups(m, n_groups), about_means = 0;
    for (size_t i = 0; i < m->n; i++) {
        about_means += m->weight[i] * m->squares[i];
        m->weight[i] *= m->count[i];
    }
    enum status status = mixed_fit_estimate(&data, MIXED_LEAST_SQUARES, &fit, &problem);
    if (status != STATUS_OK)
        return status;
    double fitted_squares = fit.residual_sum_squares + about_means;
    double lack = fmax(0, fitted_squares - free_squares) / result->df1;
    double tiny = 1e-24 * (fitted_squares + free_squares);
    result->f = lack > tiny ? lack / (free_squares / result->df2) : 0;
    result->p = isinf(result->f) ? 0 : f_tail(result->f, result->df1, result->df2);
    result->available = lack > 0 || free_squares > 0;
    mixed_fit_release(&fit);
    return STATUS_OK;
}

enum status mixed_lack_of_fit(const struct mixed_data *data, const uint32_t *group, size_t n_groups,
                              struct lack_of_fit *result)
{
    struct means means;
    *result = (struct lack_of_fit){NAN, NAN, NAN, NAN, false};
    enum status status = means_make(&means, data, group, n_groups);
    if (status == STATUS_OK && !means_tidy(&means, n_groups))
        status = STATUS_MEMORY;
    if (status == STATUS_OK && means.comparable && means.n_groups > data->n_terms && means.n_units > (double)means.n_groups) {
        result->df1 = (double)means.n_groups - (double)data->n_terms;
        result->df2 = means.n_units - (double)means.n_groups;
        status = compare(&means, n_groups, result);
    }
    means_release(&means);
    return status;
}
