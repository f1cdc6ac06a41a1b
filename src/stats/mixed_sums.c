#include "stats/mixed_sums.h"

#include "base/memory.h"
#include "stats/mixed_walk.h"
#include "stats/triangle.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Distinct weight sums that are squeezed; batches of further kinds keep their own row. */
enum { BLOCKS_SQUEEZED_MAX = 32 };

/* What grows while the rows go by. */
struct build {
    const struct mixed_data *data;
    struct mixed_sums *sums;
    const double *shift;  /* first row, taken off while summing so that large levels cost no digits */
    double *batches;      /* a batch: sum of weights, then `width` means */
    double *block;        /* width columns of TRIANGLE_BLOCK rows */
    size_t n_block_rows;
    size_t n_batches;     /* as numbered by the caller, empty ones too */
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

static void note_varying(const struct mixed_data *data, const double *x, bool *varies)
{
    const double *first = mixed_design_row(data, 0);
    for (size_t k = 0; k < data->n_terms; k++)
        varies[k] |= x[k] != first[k];
}

/* The first term that does not vary, and is not 0. */
static size_t constant_term(const struct mixed_data *data, const bool *varies)
{
    size_t k = 0;
    while (k < data->n_terms && (varies[k] || mixed_design_row(data, 0)[k] == 0))
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
        note_varying(data, mixed_design_row(data, row), varies);
    }
    sums->constant = constant_term(data, varies);
    return STATUS_OK;
}

static bool all_finite(const double *x, size_t n)
{
    for (size_t k = 0; k < n; k++)
        if (!isfinite(x[k]))
            return false;
    return true;
}

/* The same of rows that another fit walked over: only the design is new. What is wrong with it is said row by row. */
static enum status inspect_design(const struct mixed_data *data, struct mixed_sums *sums, struct problem *problem)
{
    bool varies[MIXED_TERMS_MAX] = {false};
    for (size_t b = 0; b < data->n_batches; b++) {
        if (data->walk->batches[2 * b] == 0)
            continue;
        const double *x = data->design + data->batch_design[b] * data->n_terms;
        if (!all_finite(x, data->n_terms))
            return inspect_rows(data, sums, problem);
        note_varying(data, x, varies);
    }
    sums->constant = constant_term(data, varies);
    return STATUS_OK;
}

/* Whether the batches share their design rows, so that a walk over the rows serves every design. */
static bool walks(const struct mixed_data *data, const struct mixed_sums *sums)
{
    return sums->has_batches && data->batch_design && !data->weights;
}

static enum status inspect(const struct mixed_data *data, struct mixed_sums *sums, struct problem *problem)
{
    bool walked = walks(data, sums) && data->walk && data->walk->response == data->response;
    return walked ? inspect_design(data, sums, problem) : inspect_rows(data, sums, problem);
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
    double *batch = build->batches + (build->sums->has_batches ? data->batch[row] : 0) * (n_terms + 2);
    double weight = data->weights ? data->weights[row] : 1, before = batch[0], after = before + weight;
    double share = weight / after, factor = sqrt(share * before);
    const double *x = mixed_design_row(data, row);
    for (size_t k = 0; k <= n_terms; k++) {
        double value = (k < n_terms ? x[k] : data->response[row]) - build->shift[k];
        double deviation = value - batch[1 + k];
        build->block[k * TRIANGLE_BLOCK + build->n_block_rows] = factor * deviation;
        batch[1 + k] += share * deviation;
    }
    batch[0] = after;
    if (data->weights)
        build->sums->log_weights += log(weight);
    if (before > 0 && ++build->n_block_rows == TRIANGLE_BLOCK)
        flush_block(build);
}

/* Weighted mean of each column over all rows (about the shift) and its root mean square about the centre. */
static void find_centre_and_scale(struct build *build)
{
    struct mixed_sums *s = build->sums;
    bool centred = s->constant < s->n_terms;
    for (size_t b = 0; b < build->n_batches; b++)
        s->total_weight += build->batches[b * (s->width + 1)];
    for (size_t k = 0; k < s->width; k++) {
        double mean = 0, squares = 0;
        for (size_t b = 0; centred && b < build->n_batches; b++) {
            const double *batch = build->batches + b * (s->width + 1);
            mean += batch[0] / s->total_weight * batch[1 + k];
        }
        double centre = k == s->constant ? 0 : mean;
        for (size_t b = 0; b < build->n_batches; b++) {
            const double *batch = build->batches + b * (s->width + 1);
            squares += batch[0] / s->total_weight * (batch[1 + k] - centre) * (batch[1 + k] - centre);
        }
        for (size_t i = 0; i <= k; i++)
            squares += s->within[i * s->width + k] * s->within[i * s->width + k] / s->total_weight;
        s->centre[k] = centre;
        s->scale[k] = squares > 0 ? sqrt(squares) : 1;
    }
}

/* From here on every column is centred and scaled. */
static void standardise(struct build *build)
{
    struct mixed_sums *s = build->sums;
    find_centre_and_scale(build);
    for (size_t b = 0; b < build->n_batches; b++) {
        double *batch = build->batches + b * (s->width + 1);
        for (size_t k = 0; k < s->width; k++) {
            batch[1 + k] = (batch[1 + k] - s->centre[k]) / s->scale[k];
            s->column_sums[k] += batch[0] * batch[1 + k];
        }
    }
    for (size_t i = 0; i < s->width; i++)
        for (size_t k = i; k < s->width; k++)
            s->within[i * s->width + k] /= s->scale[k];
    for (size_t k = 0; k < s->width; k++)
        s->centre[k] += build->shift[k];
}

/* Counts the batches of each weight sum; batches beyond the list are left out of it. */
static void list_blocks(const struct build *build, struct mean_block *list, size_t *n_list)
{
    size_t stride = build->sums->width + 1;
    for (size_t b = 0; b < build->n_batches; b++) {
        double weight = build->batches[b * stride];
        size_t i = 0;
        while (i < *n_list && list[i].weight != weight)
            i++;
        if (weight == 0 || i == BLOCKS_SQUEEZED_MAX)
            continue;
        if (i == *n_list)
            list[(*n_list)++] = (struct mean_block){.weight = weight};
        list[i].n_batches++;
    }
}

static bool is_listed(const struct mean_block *list, size_t n_list, double weight)
{
    size_t i = 0;
    while (i < n_list && list[i].weight != weight)
        i++;
    return weight == 0 || i < n_list;
}

/* Rows of one block: the means as they are when few, else their triangle. */
static void fill_block(struct build *build, struct mean_block *block, double *rows)
{
    struct mixed_sums *s = build->sums;
    bool squeeze = block->n_batches > (double)s->width;
    block->n_rows = squeeze ? s->width : (size_t)block->n_batches;
    size_t next = 0;
    for (size_t b = 0; b < build->n_batches; b++) {
        const double *batch = build->batches + b * (s->width + 1);
        if (batch[0] != block->weight)
            continue;
        if (!squeeze) {
            memcpy(rows + s->width * next++, batch + 1, s->width * sizeof *rows);
            continue;
        }
        for (size_t k = 0; k < s->width; k++)
            build->block[k * TRIANGLE_BLOCK + next] = batch[1 + k];
        if (++next == TRIANGLE_BLOCK) {
            triangle_absorb(rows, s->width, build->block, next);
            next = 0;
        }
    }
    if (squeeze)
        triangle_absorb(rows, s->width, build->block, next);
}

static bool reserve_blocks(struct build *build, const struct mean_block *list, size_t n_list)
{
    struct mixed_sums *s = build->sums;
    size_t stride = s->width + 1, n_listed = 0, n_rows = 0;
    for (size_t i = 0; i < n_list; i++) {
        n_listed += (size_t)list[i].n_batches;
        n_rows += list[i].n_batches > (double)s->width ? s->width : (size_t)list[i].n_batches;
    }
    for (size_t b = 0; b < build->n_batches; b++)
        s->n_batches += build->batches[b * stride] > 0;
    size_t n_single = s->n_batches - n_listed;
    s->blocks = memory_new(n_list + n_single, sizeof *s->blocks);
    s->mean_rows = memory_new((n_rows + n_single) * s->width, sizeof *s->mean_rows);
    return s->blocks && s->mean_rows;
}

static bool squeeze_means(struct build *build)
{
    struct mixed_sums *s = build->sums;
    struct mean_block list[BLOCKS_SQUEEZED_MAX];
    size_t n_list = 0;
    list_blocks(build, list, &n_list);
    if (!reserve_blocks(build, list, n_list))
        return false;
    for (size_t i = 0; i < n_list; i++) {
        list[i].first_row = s->n_mean_rows;
        fill_block(build, &list[i], s->mean_rows + s->n_mean_rows * s->width);
        s->n_mean_rows += list[i].n_rows;
        s->blocks[s->n_blocks++] = list[i];
    }
    for (size_t b = 0; n_list == BLOCKS_SQUEEZED_MAX && b < build->n_batches; b++) {
        const double *batch = build->batches + b * (s->width + 1);
        if (is_listed(list, n_list, batch[0]))
            continue;
        s->blocks[s->n_blocks++] = (struct mean_block){batch[0], 1, s->n_mean_rows, 1};
        memcpy(s->mean_rows + s->width * s->n_mean_rows++, batch + 1, s->width * sizeof *batch);
    }
    return true;
}

static void gather_rows(struct build *build)
{
    memset(build->batches, 0, build->n_batches * (build->sums->width + 1) * sizeof *build->batches);
    for (size_t row = 0; row < build->sums->n_rows; row++)
        add_row(build, row);
    flush_block(build);
}

/* The same for rows whose batches share their design rows: within them only the response varies. */
static enum status gather_batches(struct build *build)
{
    const struct mixed_data *data = build->data;
    struct mixed_sums *s = build->sums;
    struct mixed_walk own = {0}, *walk = data->walk ? data->walk : &own;
    enum status status = mixed_walk_make(data, build->shift[s->n_terms], walk);
    for (size_t b = 0; status == STATUS_OK && b < build->n_batches; b++) {
        double *batch = build->batches + b * (s->width + 1);
        batch[0] = walk->batches[2 * b];
        const double *x = data->design + (batch[0] > 0 ? data->batch_design[b] : 0) * s->n_terms;
        for (size_t k = 0; k < s->n_terms; k++)
            batch[1 + k] = batch[0] > 0 ? x[k] - build->shift[k] : 0;
        batch[s->width] = walk->batches[2 * b + 1];
    }
    s->within[s->width * s->width - 1] = walk->within;
    mixed_walk_release(&own);
    return status;
}

static enum status gather(struct build *build)
{
    struct mixed_sums *s = build->sums;
    enum status status = STATUS_OK;
    double shift[MIXED_TERMS_MAX + 1] = {0};
    for (size_t k = 0; s->constant < s->n_terms && k < s->width; k++)
        if (k != s->constant)
            shift[k] = k < s->n_terms ? mixed_design_row(build->data, 0)[k] : build->data->response[0];
    build->shift = shift;
    if (walks(build->data, s))
        status = gather_batches(build);
    else
        gather_rows(build);
    if (status == STATUS_OK)
        standardise(build);
    build->shift = NULL;
    return status != STATUS_OK || squeeze_means(build) ? status : STATUS_MEMORY;
}

static bool reserve(struct build *build)
{
    struct mixed_sums *s = build->sums;
    s->centre = memory_new(3 * s->width, sizeof(double));
    s->within = memory_new(s->width * s->width, sizeof(double));
    build->batches = memory_resize(NULL, build->n_batches, (s->width + 1) * sizeof(double));
    build->block = memory_new(s->width * TRIANGLE_BLOCK, sizeof(double));
    if (!s->centre || !s->within || !build->batches || !build->block)
        return false;
    s->scale = s->centre + s->width;
    s->column_sums = s->centre + 2 * s->width;
    return true;
}

enum status mixed_sums_build(const struct mixed_data *data, bool use_batches, struct mixed_sums *sums,
                             struct problem *problem)
{
    *sums = (struct mixed_sums){.n_terms = data->n_terms, .width = data->n_terms + 1, .n_rows = data->n_rows,
                                .has_batches = use_batches && data->batch};
    if (data->n_terms == 0 || data->n_terms > MIXED_TERMS_MAX)
        return problem_set(problem, STATUS_NUMERIC, NULL, "a fit takes 1 to %d terms, not %zu", MIXED_TERMS_MAX,
                           data->n_terms);
    if (data->n_rows <= data->n_terms)
        return problem_set(problem, STATUS_TOO_FEW, NULL,
                           "%zu results for %zu terms leave nothing to judge the spread by", data->n_rows, data->n_terms);
    enum status status = inspect(data, sums, problem);
    if (status != STATUS_OK)
        return status;
    struct build build = {.data = data, .sums = sums, .n_batches = sums->has_batches ? data->n_batches : 1};
    status = reserve(&build) ? gather(&build) : STATUS_MEMORY;
    memory_free(build.batches);
    memory_free(build.block);
    return status == STATUS_OK ? status : problem_set(problem, status, NULL, "no memory left for a fit");
}

void mixed_sums_release(struct mixed_sums *sums)
{
    memory_free(sums->centre);
    memory_free(sums->within);
    memory_free(sums->blocks);
    memory_free(sums->mean_rows);
    *sums = (struct mixed_sums){0};
}
