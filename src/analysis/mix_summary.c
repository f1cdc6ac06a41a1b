#include "analysis/mix_summary.h"

#include "base/memory.h"
#include "base/tasks.h"
#include "base/text.h"
#include "stats/fieller.h"
#include "stats/summary.h"

#include <math.h>
#include <string.h>

/* Rows of one property grouped by mix, and room for the fit of one mix. */
struct mix_rows {
    const struct specimen_set *set;
    struct sample sample;
    size_t *first;        /* set->n_mixes + 1: where a mix begins */
    double *y;            /* grouped by mix */
    uint32_t *batch;      /* likewise: index in the set, then number within the mix */
    uint32_t *same_row;   /* set->n_batches zeros: every batch has the one row of the design */
    uint32_t *known;      /* set->n_batches: number within its mix + 1, 0 = not met */
    bool *no_batch;       /* set->n_mixes: no row of the mix has a batch */
};

static void mix_rows_release(struct mix_rows *rows)
{
    sample_release(&rows->sample);
    memory_free(rows->first);
    memory_free(rows->y);
    memory_free(rows->batch);
    memory_free(rows->same_row);
    memory_free(rows->known);
    memory_free(rows->no_batch);
}

static enum status mix_rows_reserve(struct mix_rows *rows, struct problem *problem)
{
    size_t n = rows->sample.n;
    rows->first = memory_new(rows->set->n_mixes + 1, sizeof *rows->first);
    rows->y = memory_new(n, sizeof *rows->y);
    rows->batch = memory_new(n, sizeof *rows->batch);
    rows->same_row = memory_new(rows->set->n_batches, sizeof *rows->same_row);
    rows->known = memory_new(rows->set->n_batches, sizeof *rows->known);
    rows->no_batch = memory_new(rows->set->n_mixes, sizeof *rows->no_batch);
    if (rows->first && rows->y && rows->batch && rows->same_row && rows->known && rows->no_batch)
        return STATUS_OK;
    return problem_set(problem, STATUS_MEMORY, NULL, "no memory left for the means of %zu mixes", rows->set->n_mixes);
}

static void mix_rows_count(struct mix_rows *rows)
{
    const struct sample *sample = &rows->sample;
    for (size_t i = 0; i < sample->n; i++)
        rows->first[specimen_set_mix(rows->set, sample->row[i]) + 1]++;
    for (size_t j = 0; j < rows->set->n_mixes; j++)
        rows->first[j + 1] += rows->first[j];
}

/* Placing rows moves each start on to the next; shifting back restores them. */
static void mix_rows_restore(struct mix_rows *rows)
{
    memmove(rows->first + 1, rows->first, rows->set->n_mixes * sizeof *rows->first);
    rows->first[0] = 0;
}

static void mix_rows_place_values(struct mix_rows *rows)
{
    const struct sample *sample = &rows->sample;
    for (size_t i = 0; i < sample->n; i++)
        rows->y[rows->first[specimen_set_mix(rows->set, sample->row[i])]++] = sample->y[i];
    mix_rows_restore(rows);
}

static void mix_rows_place_batches(struct mix_rows *rows)
{
    const struct sample *sample = &rows->sample;
    for (size_t i = 0; i < rows->set->n_mixes; i++)
        rows->no_batch[i] = true;
    for (size_t i = 0; i < sample->n; i++) {
        uint32_t mix = specimen_set_mix(rows->set, sample->row[i]);
        rows->batch[rows->first[mix]++] = sample->batch_of[sample->batch[i]];
        rows->no_batch[mix] = rows->no_batch[mix] && (rows->set->flags[sample->row[i]] & FLAG_NO_BATCH);
    }
    mix_rows_restore(rows);
}

static size_t mix_rows_number_batches(struct mix_rows *rows, size_t from, size_t to)
{
    size_t n_batches = 0;
    for (size_t i = from; i < to; i++) {
        uint32_t *known = &rows->known[rows->batch[i]];
        if (*known == 0)
            *known = (uint32_t)++n_batches;
        rows->batch[i] = *known - 1;
    }
    return n_batches;
}

/* Mean and, of one batch, scatter of the results. */
static struct summary summary_of_data(const struct mixed_data *data)
{
    if (data->response)
        return summary_of(data->response, data->n_rows);
    struct summary summary = { .n = data->n_rows };
    for (size_t b = 0; b < data->n_batches; b++) /* NOLINTNEXTLINE(clang-analyzer-core.NullDereference): data without a response have a pool */
        summary.mean += data->pool->batch_rows[b] / (double)data->n_rows * mixed_pool_mean(data->pool, b);
    summary.mean += data->pool->shift;
    summary.sd = data->n_rows > 1 ? sqrt(data->pool->squares / (double)(data->n_rows - 1)) : NAN;
    return summary;
}

/* With one batch there is a mean, and the scatter within that batch, but no bound. */
static void property_from_one_batch(struct mix_property *result, const struct mixed_data *data)
{
    struct summary summary = summary_of_data(data);
    result->mean = summary.mean;
    result->sd_specimen = summary.sd;
    problem_set(&result->curve.problem, STATUS_TOO_FEW, NULL, "one batch cannot tell how batches differ: at least 2 are needed");
}

static void property_from_fit(struct mix_property *result)
{
    static const double intercept[3] = { 1, 0, 0 };
    struct curve *curve = &result->curve;
    struct contrast contrast;
    curve->fitted = true;
    curve->residual_sd = sqrt(curve->fit.var_batch + curve->fit.var_specimen);
    mixed_fit_contrast(&curve->fit, intercept, &contrast);
    result->mean = contrast.estimate;
    result->std_error = contrast.std_error;
    result->df = contrast.df;
    result->sd_batch = curve->fit.has_batch_effect ? sqrt(curve->fit.var_batch) : NAN;
    result->sd_specimen = sqrt(curve->fit.var_specimen);
}

static void property_start(struct mix_property *result, const struct specimen_set *set, uint32_t mix, enum property property)
{
    struct curve *curve = &result->curve;
    result->available = true;
    result->mean = result->sd_batch = result->sd_specimen = result->std_error = result->df = NAN;
    curve->aggregate = set->mixes[mix].aggregate;
    curve->property = property;
    curve->predictor = PROPERTY_COUNT;
    curve->law = LAW_LINEAR;
    curve->x_min = curve->x_max = set->mixes[mix].aggregate_fraction;
    curve->aicc = curve->cross_validation_rmse = curve->r_squared = curve->residual_sd = NAN;
    curve->n_mixes = 1;
}

static enum status property_estimate(struct mix_property *result, struct mixed_data *data)
{
    static const char *const names[] = { "intercept" };
    static const double intercept[] = { 1 };
    struct curve *curve = &result->curve;
    data->n_terms = 1;
    data->design = intercept;
    data->term_names = names;
    data->no_leverage = true;
    result->n_specimens = curve->n_specimens = data->n_rows;
    result->n_batches = curve->n_batches = data->n_batches;
    if (data->n_batches < 2) {
        property_from_one_batch(result, data);
        return STATUS_OK;
    }
    enum status status = mixed_fit_estimate(data, MIXED_REML, &curve->fit, &curve->problem);
    if (status == STATUS_OK)
        property_from_fit(result);
    else if (status != STATUS_MEMORY)
        result->mean = summary_of_data(data).mean;
    return status == STATUS_MEMORY ? status : STATUS_OK;
}

static enum status property_estimate_rows(struct mix_property *result, struct mix_rows *rows, size_t from, size_t to)
{
    struct mixed_data data = { .n_rows = to - from, .batch_design = rows->same_row, .response = rows->y + from, .batch = rows->batch + from };
    data.n_batches = mix_rows_number_batches(rows, from, to);
    return property_estimate(result, &data);
}

static enum status summarise_rows(struct mix_summary_list *list, struct mix_rows *rows, enum property property,
                                  struct problem *problem)
{
    enum status status = mix_rows_reserve(rows, problem);
    if (status != STATUS_OK)
        return status;
    mix_rows_count(rows);
    mix_rows_place_values(rows);
    sample_release_values(&rows->sample); /* a long sample takes much memory, so each part goes as soon as it was used */
    mix_rows_place_batches(rows);
    sample_release(&rows->sample);
    for (uint32_t mix = 0; status == STATUS_OK && mix < list->n_items; mix++) {
        struct mix_property *result = &list->items[mix].property[property];
        if (rows->first[mix] == rows->first[mix + 1])
            continue;
        property_start(result, rows->set, mix, property);
        result->curve.all_no_batch = rows->no_batch[mix];
        status = property_estimate_rows(result, rows, rows->first[mix], rows->first[mix + 1]);
    }
    if (status != STATUS_OK)
        problem_set(problem, status, NULL, "no memory left for the means of %zu mixes", list->n_items);
    return status;
}

static enum status summarise_sums(struct mix_summary_list *list, const struct property_sums *sums, enum property property, struct problem *problem)
{
    enum status status = STATUS_OK;
    for (uint32_t mix = 0; status == STATUS_OK && mix < list->n_items; mix++) {
        struct mix_property *result = &list->items[mix].property[property];
        struct sample sample;
        status = property_sums_sample(sums, property, SAMPLE_ALL, mix, &sample, problem);
        if (status == STATUS_OK) {
            struct mixed_data data = { .n_rows = sample.n, .batch_design = sample.batch_mix, .n_batches = sample.n_batches, .pool = &sample.sums };
            property_start(result, sums->set, mix, property);
            result->curve.all_no_batch = sample.no_batch;
            status = property_estimate(result, &data);
            sample_release(&sample);
        }
        status = status == STATUS_TOO_FEW ? STATUS_OK : status;
    }
    if (status != STATUS_OK)
        problem_set(problem, status, NULL, "no memory left for the means of %zu mixes", list->n_items);
    return status;
}

static enum status summarise_property(const struct specimen_set *set, const struct selection *selection, enum property property,
                                      const struct property_sums *sums, struct mix_summary_list *list, struct problem *problem)
{
    struct mix_rows rows = { .set = set };
    if (!set->value[property])
        return STATUS_OK;
    if (sums->of[property].mean)
        return summarise_sums(list, sums, property, problem);
    enum status status = sample_take(set, selection, SAMPLE_ALL, SAMPLE_ALL, property, SAMPLE_PREDICTOR_NONE,
                                     &rows.sample, problem);
    if (status == STATUS_OK)
        status = summarise_rows(list, &rows, property, problem);
    mix_rows_release(&rows);
    return status == STATUS_TOO_FEW ? STATUS_OK : status;
}

static void compare_with_reference(struct mix_summary *summary, const struct mix_property *reference, double confidence)
{
    const struct mix_property *own = &summary->property[PROPERTY_DENSITY];
    summary->percent_lighter.available = own->available && reference->available;
    if (!summary->percent_lighter.available)
        return;
    double own_variance = own->std_error * own->std_error, reference_variance = reference->std_error * reference->std_error;
    double df = fieller_df(own->mean / reference->mean, own_variance, own->df, reference_variance, reference->df);
    struct fieller_input input = { own->mean, reference->mean, own_variance, reference_variance, 0, df };
    struct fieller_ratio ratio = fieller_percent_less(&input, confidence);
    summary->percent_lighter.estimate = 100 * (1 - own->mean / reference->mean);
    summary->percent_lighter.bounded = ratio.shape == FIELLER_BOUNDED;
    summary->percent_lighter.lower = summary->percent_lighter.bounded ? ratio.lower : NAN;
    summary->percent_lighter.upper = summary->percent_lighter.bounded ? ratio.upper : NAN;
}

static void compare_all(struct mix_summary_list *list, uint32_t reference, double confidence)
{
    for (size_t i = 0; i < list->n_items; i++) {
        struct mix_summary *summary = &list->items[i];
        summary->percent_lighter.estimate = summary->percent_lighter.lower = summary->percent_lighter.upper = NAN;
        if (reference != SAMPLE_ALL && i != reference)
            compare_with_reference(summary, &list->items[reference].property[PROPERTY_DENSITY], confidence);
    }
}

static enum status find_reference(const struct specimen_set *set, const struct mix_summary_list *list, const char *name,
                                  uint32_t *reference, struct problem *problem)
{
    *reference = mix_reference(set, list, name);
    if (!name || *reference != SAMPLE_ALL)
        return STATUS_OK;
    return problem_set(problem, STATUS_USAGE, NULL, "no mix '%s' in the results to count from: give --reference one of theirs", name);
}

struct summary_tasks {
    const struct specimen_set *set;
    struct selection selection; /* of every aggregate */
    const struct property_sums *sums;
    struct mix_summary_list *list;
    enum status status[PROPERTY_COUNT];
    struct problem problem[PROPERTY_COUNT];
};

static void run_task(void *context, size_t i)
{
    struct summary_tasks *tasks = context;
    tasks->status[i] = summarise_property(tasks->set, &tasks->selection, (enum property)i, tasks->sums, tasks->list, &tasks->problem[i]);
}

/* Properties are summed up beside each other where no samples of rows are needed: two of them would take much memory. */
static enum status summarise_all(const struct specimen_set *set, const struct selection *selection, const struct property_sums *sums,
                                 struct mix_summary_list *list, struct problem *problem)
{
    struct summary_tasks tasks = { .set = set, .selection = *selection, .sums = sums, .list = list };
    tasks.selection.n_aggregates = 0;
    tasks_run(PROPERTY_COUNT, sums->set && set->n >= ROWS_WORTH_HELP, run_task, &tasks);
    for (enum property property = 0; property < PROPERTY_COUNT; property++)
        if (tasks.status[property] != STATUS_OK) {
            *problem = tasks.problem[property];
            return tasks.status[property];
        }
    return STATUS_OK;
}

enum status mix_summary_list_from(const struct specimen_set *set, const struct selection *selection, const struct property_sums *sums,
                                  const char *reference_mix, double confidence, struct mix_summary_list *list, struct problem *problem)
{
    uint32_t reference;
    memset(list, 0, sizeof *list);
    list->items = memory_new(set->n_mixes, sizeof *list->items);
    if (!list->items)
        return problem_set(problem, STATUS_MEMORY, NULL, "no memory left for %zu mixes", set->n_mixes);
    list->n_items = set->n_mixes;
    for (uint32_t mix = 0; mix < list->n_items; mix++)
        list->items[mix].mix = mix;
    enum status status = summarise_all(set, selection, sums, list, problem);
    if (status == STATUS_OK)
        status = find_reference(set, list, reference_mix, &reference, problem);
    if (status == STATUS_OK)
        compare_all(list, reference, confidence);
    else
        mix_summary_list_release(list);
    return status;
}

enum status mix_summary_list_make(const struct specimen_set *set, const struct selection *selection,
                                  const char *reference_mix, double confidence,
                                  struct mix_summary_list *list, struct problem *problem)
{
    struct property_sums sums = { 0 };
    memset(list, 0, sizeof *list);
    enum status status = property_sums_make(&sums, set, selection, problem);
    if (status == STATUS_OK)
        status = mix_summary_list_from(set, selection, &sums, reference_mix, confidence, list, problem);
    property_sums_release(&sums);
    return status;
}

void mix_summary_list_release(struct mix_summary_list *list)
{
    for (size_t i = 0; i < list->n_items; i++)
        for (enum property property = 0; property < PROPERTY_COUNT; property++)
            mixed_fit_release(&list->items[i].property[property].curve.fit);
    memory_free(list->items);
    memset(list, 0, sizeof *list);
}

static uint32_t mix_named(const struct specimen_set *set, const char *name)
{
    for (uint32_t mix = 0; mix < set->n_mixes; mix++)
        if (strcmp(set->mixes[mix].name, name) == 0)
            return mix;
    for (uint32_t mix = 0; mix < set->n_mixes; mix++)
        if (text_same(set->mixes[mix].name, name))
            return mix;
    return SAMPLE_ALL;
}

uint32_t mix_reference(const struct specimen_set *set, const struct mix_summary_list *list, const char *name)
{
    uint32_t reference = SAMPLE_ALL;
    double heaviest = -INFINITY;
    if (name)
        return mix_named(set, name);
    for (uint32_t mix = 0; mix < list->n_items; mix++) {
        const struct mix_property *density = &list->items[mix].property[PROPERTY_DENSITY];
        if (set->mixes[mix].aggregate_fraction == 0 && density->available && density->mean > heaviest) {
            reference = mix;
            heaviest = density->mean;
        }
    }
    return reference;
}
