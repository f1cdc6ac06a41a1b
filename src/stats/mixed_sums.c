#include "stats/mixed_sums.h"

#include "base/memory.h"
#include "stats/mixed_squeeze.h"
#include "stats/mixed_pool.h"
#include "stats/triangle.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* What grows while the rows go by. */
struct build {
    const struct mixed_data *data;
    struct mixed_sums *sums;
    struct mixed_pool *pool; /* of rows whose batches share their design rows, else NULL */
    const double *shift;     /* first row, taken off while summing so that large levels cost no digits */
    double *means;           /* n_means of stride numbers, see mixed_squeeze.h: one a cell of the pool, else one a batch */
    size_t n_means, stride;
    double *block;           /* width columns of TRIANGLE_BLOCK rows */
    size_t n_block_rows;
};

const char *mixed_term_name(const struct mixed_data *data, size_t term, char *scratch, size_t size)
{
    if (data->term_names && data->term_names[term])
        return data->term_names[term];
    snprintf(scratch, size, "term %zu", term + 1);
    return scratch;
}

static enum status check_row(const struct mixed_data *data, size_t row, struct problem *problem)
{
    const double *x = mixed_design_row(data, row);
    char scratch[32];
    for (size_t k = 0; k < data->n_terms; k++)
        if (!isfinite(x[k]))
            return problem_set(problem, STATUS_NUMERIC, NULL, "'%s' is not a finite number in row %zu of the fit",
                               mixed_term_name(data, k, scratch, sizeof scratch), row + 1);
    if (!isfinite(data->response[row]))
        return problem_set(problem, STATUS_NUMERIC, NULL,
                           "the response is not a finite number in row %zu of the fit", row + 1);
    if (data->weights && !(data->weights[row] > 0 && isfinite(data->weights[row])))
        return problem_set(problem, STATUS_NUMERIC, NULL, "the weight in row %zu of the fit is not above 0", row + 1);
    return STATUS_OK;
}

static void note_varying(const double *x, const double *first, size_t n_terms, bool *varies)
{
    for (size_t k = 0; k < n_terms; k++)
        varies[k] |= x[k] != first[k];
}

/* The first term that does not vary, and is not 0. */
static size_t constant_term(const double *first, size_t n_terms, const bool *varies)
{
    size_t k = 0;
    while (k < n_terms && (varies[k] || first[k] == 0))
        k++;
    return k;
}

/* First look: every value usable, and which term is a constant. */
static enum status inspect_rows(const struct mixed_data *data, struct mixed_sums *sums, struct problem *problem)
{
    bool varies[MIXED_TERMS_MAX] = {false};
    for (size_t row = 0; row < data->n_rows; row++) {
        if (data->batch && data->batch[row] >= data->n_batches)
            return problem_set(problem, STATUS_NUMERIC, NULL, "row %zu of the fit names a batch that is not there",
                               row + 1);
        enum status status = check_row(data, row, problem);
        if (status != STATUS_OK)
            return status;
        note_varying(mixed_design_row(data, row), mixed_design_row(data, 0), data->n_terms, varies);
    }
    sums->constant = constant_term(mixed_design_row(data, 0), data->n_terms, varies);
    return STATUS_OK;
}

static bool all_finite(const double *x, size_t n)
{
    for (size_t k = 0; k < n; k++)
        if (!isfinite(x[k]))
            return false;
    return true;
}

static const double *cell_design(const struct mixed_data *data, const struct mixed_pool *pool, size_t cell)
{
    return data->design + pool->cells[cell].design * data->n_terms;
}

/* The same of rows that are pooled: only the design is left to look at. What is wrong is said row by row. */
static enum status inspect_pool(const struct mixed_data *data, struct mixed_pool *pool, struct mixed_sums *sums, struct problem *problem)
{
    bool varies[MIXED_TERMS_MAX] = {false};
    enum status status = mixed_pool_make(data, pool);
    if (status == STATUS_MEMORY)
        return problem_set(problem, status, NULL, "no memory left for a fit");
    for (size_t i = 0; status == STATUS_OK && i < pool->n_cells; i++) {
        const double *x = cell_design(data, pool, i);
        if (!all_finite(x, data->n_terms))
            status = STATUS_NUMERIC;
        note_varying(x, cell_design(data, pool, 0), data->n_terms, varies);
    }
    if (status != STATUS_OK)
        return data->response ? inspect_rows(data, sums, problem) : problem_set(problem, status, NULL, "a fit without rows is of finite terms, and of the batches that were summed up");
    sums->constant = constant_term(cell_design(data, pool, 0), data->n_terms, varies);
    return STATUS_OK;
}

static void flush_block(struct build *build)
{
    triangle_absorb(build->sums->within, build->sums->width, build->block, build->n_block_rows);
    build->n_block_rows = 0;
}

/*
 * Moves the batch mean by one row and hands the row's deviation from the old
 * mean, times sqrt(w W / (w + W)), to the triangle: these rows have exactly the
 * cross products of the deviations from the final means (Welford's step), and
 * a column that is constant within the batch gives an exact 0.
 */
static void add_row(struct build *build, size_t row)
{
    const struct mixed_data *data = build->data;
    size_t n_terms = data->n_terms;
    double *batch = build->means + (build->sums->has_batches ? data->batch[row] : 0) * build->stride, *mean = batch + OF_MEANS;
    double weight = data->weights ? data->weights[row] : 1, before = batch[OF_WEIGHT], after = before + weight;
    double share = weight / after, factor = sqrt(share * before);
    const double *x = mixed_design_row(data, row);
    for (size_t k = 0; k <= n_terms; k++) {
        double value = (k < n_terms ? x[k] : data->response[row]) - build->shift[k];
        double deviation = value - mean[k];
        build->block[k * TRIANGLE_BLOCK + build->n_block_rows] = factor * deviation;
        mean[k] += share * deviation;
    }
    batch[OF_WEIGHT] = after;
    batch[OF_COUNT] = 1;
    if (data->weights)
        build->sums->log_weights += log(weight);
    if (before > 0 && ++build->n_block_rows == TRIANGLE_BLOCK)
        flush_block(build);
}

static const double *mean_at(const struct build *build, size_t i)
{
    return build->means + i * build->stride;
}

/* Share of all weight that the batches of a mean have. */
static double mean_share(const struct build *build, const double *mean)
{
    return mean[OF_WEIGHT] * mean[OF_COUNT] / build->sums->total_weight;
}

/* Weighted mean of a column over all rows (about the shift). */
static double column_mean(const struct build *build, size_t k)
{
    double sum = 0;
    for (size_t i = 0; i < build->n_means; i++)
        sum += mean_share(build, mean_at(build, i)) * mean_at(build, i)[OF_MEANS + k];
    return sum;
}

/* Mean square of a column about a centre, over all rows. */
static double column_squares(const struct build *build, size_t k, double centre)
{
    const struct mixed_sums *s = build->sums;
    double squares = 0;
    for (size_t i = 0; i < build->n_means; i++) {
        const double *mean = mean_at(build, i);
        double deviation = mean[OF_MEANS + k] - centre;
        squares += mean_share(build, mean) * deviation * deviation;
        if (k == s->n_terms)
            squares += mean[OF_WEIGHT] / s->total_weight * mean[OF_SQUARES];
    }
    for (size_t i = 0; i <= k; i++)
        squares += s->within[i * s->width + k] * s->within[i * s->width + k] / s->total_weight;
    return squares;
}

static void find_centre_and_scale(struct build *build)
{
    struct mixed_sums *s = build->sums;
    bool centred = s->constant < s->n_terms;
    for (size_t i = 0; i < build->n_means; i++)
        s->total_weight += mean_at(build, i)[OF_WEIGHT] * mean_at(build, i)[OF_COUNT];
    for (size_t k = 0; k < s->width; k++) {
        s->centre[k] = centred && k != s->constant ? column_mean(build, k) : 0;
        double squares = column_squares(build, k, s->centre[k]);
        s->scale[k] = squares > 0 ? sqrt(squares) : 1;
    }
}

/* From here on every column is centred and scaled. */
static void standardise(struct build *build)
{
    struct mixed_sums *s = build->sums;
    find_centre_and_scale(build);
    for (size_t i = 0; i < build->n_means; i++) {
        double *mean = build->means + i * build->stride, *column = mean + OF_MEANS;
        for (size_t k = 0; k < s->width; k++) {
            column[k] = (column[k] - s->centre[k]) / s->scale[k];
            s->column_sums[k] += mean[OF_WEIGHT] * mean[OF_COUNT] * column[k];
        }
        mean[OF_SQUARES] /= s->scale[s->n_terms] * s->scale[s->n_terms];
    }
    for (size_t i = 0; i < s->width; i++)
        for (size_t k = i; k < s->width; k++)
            s->within[i * s->width + k] /= s->scale[k];
    for (size_t k = 0; k < s->width; k++)
        s->centre[k] += build->shift[k];
}

static void gather_rows(struct build *build)
{
    memset(build->means, 0, build->n_means * build->stride * sizeof *build->means);
    for (size_t row = 0; row < build->sums->n_rows; row++)
        add_row(build, row);
    flush_block(build);
}

/* The same for rows whose batches share their design rows: within them only the response varies. */
static void gather_cells(struct build *build)
{
    const struct mixed_pool *pool = build->pool;
    struct mixed_sums *s = build->sums;
    for (size_t i = 0; i < pool->n_cells; i++) {
        const struct mixed_cell *cell = &pool->cells[i];
        const double *x = cell_design(build->data, pool, i);
        double *mean = build->means + i * build->stride;
        mean[OF_WEIGHT] = cell->n_rows;
        mean[OF_COUNT] = cell->n_batches;
        mean[OF_SQUARES] = cell->squares;
        for (size_t k = 0; k < s->n_terms; k++)
            mean[OF_MEANS + k] = x[k] - build->shift[k];
        mean[OF_MEANS + s->n_terms] = cell->mean + (pool->shift - build->shift[s->n_terms]);
    }
    s->within[s->width * s->width - 1] = sqrt(pool->squares);
}

static bool gather(struct build *build)
{
    struct mixed_sums *s = build->sums;
    double shift[MIXED_TERMS_MAX + 1] = {0};
    const double *first = build->pool ? cell_design(build->data, build->pool, 0) : mixed_design_row(build->data, 0);
    const double response = build->pool ? build->pool->shift : build->data->response[0];
    for (size_t k = 0; s->constant < s->n_terms && k < s->width; k++)
        if (k != s->constant)
            shift[k] = k < s->n_terms ? first[k] : response;
    build->shift = shift;
    if (build->pool)
        gather_cells(build);
    else
        gather_rows(build);
    standardise(build);
    build->shift = NULL;
    return mixed_squeeze(s, build->means, build->n_means, build->block);
}

static bool reserve(struct build *build)
{
    struct mixed_sums *s = build->sums;
    build->n_means = build->pool ? build->pool->n_cells : s->has_batches ? build->data->n_batches : 1;
    build->stride = OF_MEANS + s->width;
    s->centre = memory_new(3 * s->width, sizeof(double));
    s->within = memory_new(s->width * s->width, sizeof(double));
    build->means = memory_resize(NULL, build->n_means, build->stride * sizeof(double));
    build->block = memory_new(s->width * TRIANGLE_BLOCK, sizeof(double));
    if (!s->centre || !s->within || !build->means || !build->block)
        return false;
    s->scale = s->centre + s->width;
    s->column_sums = s->centre + 2 * s->width;
    return true;
}

static enum status build_sums(struct build *build, struct problem *problem)
{
    const struct mixed_data *data = build->data;
    enum status status = build->pool ? inspect_pool(data, build->pool, build->sums, problem) : inspect_rows(data, build->sums, problem);
    if (status == STATUS_OK && !(reserve(build) && gather(build)))
        status = problem_set(problem, STATUS_MEMORY, NULL, "no memory left for a fit");
    memory_free(build->means);
    memory_free(build->block);
    return status;
}

enum status mixed_sums_build(const struct mixed_data *data, bool use_batches, struct mixed_sums *sums,
                             struct problem *problem)
{
    struct mixed_pool own = {0};
    *sums = (struct mixed_sums){.n_terms = data->n_terms, .width = data->n_terms + 1, .n_rows = data->n_rows,
                                .has_batches = use_batches && (data->batch || !data->response)};
    if (data->n_terms == 0 || data->n_terms > MIXED_TERMS_MAX)
        return problem_set(problem, STATUS_NUMERIC, NULL, "a fit takes 1 to %d terms, not %zu", MIXED_TERMS_MAX,
                           data->n_terms);
    if (data->n_rows <= data->n_terms)
        return problem_set(problem, STATUS_TOO_FEW, NULL,
                           "%zu results for %zu terms leave nothing to judge the spread by", data->n_rows, data->n_terms);
    if (!data->response && (!use_batches || !data->pool))
        return problem_set(problem, STATUS_NUMERIC, NULL, "a fit without rows needs its batches");
    struct build build = {.data = data, .sums = sums};
    if (sums->has_batches && mixed_pool_wanted(data))
        build.pool = data->pool ? data->pool : &own;
    enum status status = build_sums(&build, problem);
    mixed_pool_release(&own);
    return status;
}

void mixed_sums_release(struct mixed_sums *sums)
{
    memory_free(sums->centre);
    memory_free(sums->within);
    memory_free(sums->blocks);
    memory_free(sums->mean_rows);
    *sums = (struct mixed_sums){0};
}
