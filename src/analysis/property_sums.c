#include "analysis/property_sums.h"

#include "analysis/row_filter.h"
#include "analysis/states.h"
#include "base/memory.h"
#include "base/tasks.h"
#include "stats/summary.h"

#include <math.h>
#include <string.h>

bool property_sums_worth(const struct specimen_set *set, const struct selection *selection)
{
    return selection->settled && set->n_batches >= MIXED_BATCHES_MANY;
}

/* Adds the rows from..to-1, which are of one batch. */
static void add_batch_rows(struct property_batches *batches, const struct property_sums *sums, const double *value, size_t from, size_t to)
{
    const struct specimen_set *set = sums->set;
    const uint32_t k = sums->place[set->batch[from]], m = specimen_set_mix(set, from);
    struct property_mix mix = batches->mixes[m];
    uint32_t n = batches->n[k];
    double mean = n > 0 ? batches->mean[k] : 0, log_mean = n > 0 ? batches->log_mean[k] : 0;
    for (size_t i = from; i < to; i++) {
        if (isnan(value[i]))
            continue;
        n++;
        mix.squares += mean_move(&mean, value[i], n);
        mix.positive = mix.positive && value[i] > 0;
        if (mix.positive)
            mix.log_squares += mean_move(&log_mean, log(value[i]), n);
        mix.no_batch = mix.no_batch && (set->flags[i] & FLAG_NO_BATCH);
    }
    batches->mixes[m] = mix;
    batches->mean[k] = mean;
    batches->log_mean[k] = log_mean;
    batches->n[k] = n;
}

static bool order_batches(struct property_sums *sums)
{
    const struct specimen_set *set = sums->set;
    uint32_t *first = sums->first = memory_new(set->n_mixes + 1, sizeof *first);
    sums->order = memory_resize(NULL, set->n_batches, sizeof *sums->order);
    sums->place = memory_resize(NULL, set->n_batches, sizeof *sums->place);
    if (!first || !sums->order || !sums->place)
        return false;
    for (size_t b = 0; b < set->n_batches; b++)
        first[set->batches[b].mix + 1]++;
    for (size_t m = 0; m < set->n_mixes; m++)
        first[m + 1] += first[m];
    /* Placing batches moves each start on to the next; shifting back restores them. */
    for (size_t b = 0; b < set->n_batches; b++) {
        const uint32_t k = first[set->batches[b].mix]++;
        sums->order[k] = (uint32_t)b;
        sums->place[b] = k;
    }
    memmove(first + 1, first, set->n_mixes * sizeof *first);
    first[0] = 0;
    return true;
}

static void batches_release(struct property_batches *batches)
{
    memory_free(batches->mean);
    memory_free(batches->log_mean);
    memory_free(batches->n);
    memory_free(batches->mixes);
    *batches = (struct property_batches){ 0 };
}

/* Adds the rows that pass. False when their ages are not one: all lie near the settled age, but not all near one another. */
static bool add_rows(struct property_batches *batches, const struct property_sums *sums, const struct row_filter *filter)
{
    const struct specimen_set *set = filter->set;
    double youngest = INFINITY, oldest = -INFINITY;
    for (size_t from = 0, to; from < set->n; from = to) {
        to = rows_alike(set, from);
        if (!row_filter_passes(filter, from))
            continue;
        for (size_t i = from, end; i < to; i = end) {
            end = specimen_set_batch_end(set, i, to);
            add_batch_rows(batches, sums, filter->value, i, end);
        }
        youngest = fmin(youngest, row_age(set, from)); /* without ages neither changes */
        oldest = fmax(oldest, row_age(set, from));
    }
    return !(youngest <= oldest) || age_same(youngest, oldest);
}

static enum status sum_up(struct property_batches *batches, const struct property_sums *sums, const struct selection *selection,
                          enum property property)
{
    const struct specimen_set *set = sums->set;
    const struct row_filter filter = row_filter_of(set, selection, property);
    batches->mean = memory_resize(NULL, set->n_batches, sizeof *batches->mean);
    batches->log_mean = memory_resize(NULL, set->n_batches, sizeof *batches->log_mean);
    batches->n = memory_resize(NULL, set->n_batches, sizeof *batches->n);
    batches->mixes = memory_new(set->n_mixes, sizeof *batches->mixes);
    if (!batches->mean || !batches->log_mean || !batches->n || !batches->mixes)
        return STATUS_MEMORY;
    for (size_t b = 0; b < set->n_batches; b++)
        batches->n[b] = 0; /* what is written before it is read costs half as many page faults */
    for (size_t m = 0; m < set->n_mixes; m++)
        batches->mixes[m].positive = batches->mixes[m].no_batch = true;
    if (!add_rows(batches, sums, &filter))
        batches_release(batches); /* sample_take() refuses to pool them, and says so */
    return STATUS_OK;
}

struct sums_task {
    struct property_sums *sums;
    const struct selection *selection;
    enum property properties[PROPERTY_COUNT];
    enum status status[PROPERTY_COUNT];
    size_t n;
};

static void run_task(void *context, size_t i)
{
    struct sums_task *task = context;
    enum property property = task->properties[i];
    task->status[i] = sum_up(&task->sums->of[property], task->sums, task->selection, property);
}

enum status property_sums_make(struct property_sums *sums, const struct specimen_set *set, const struct selection *selection,
                               struct problem *problem)
{
    struct sums_task task = { .sums = sums, .selection = selection };
    enum status status = STATUS_OK;
    if (!property_sums_worth(set, selection))
        return STATUS_OK;
    sums->set = set;
    if (!order_batches(sums))
        status = STATUS_MEMORY;
    for (enum property property = 0; status == STATUS_OK && property < PROPERTY_COUNT; property++)
        if (set->value[property])
            task.properties[task.n++] = property;
    tasks_run(task.n, true, run_task, &task);
    for (size_t i = 0; i < task.n; i++)
        status = task.status[i] == STATUS_OK ? status : task.status[i];
    if (status != STATUS_OK)
        problem_set(problem, status, NULL, "no memory left to sum up %zu batches", set->n_batches);
    return status;
}

void property_sums_release(struct property_sums *sums)
{
    for (enum property property = 0; property < PROPERTY_COUNT; property++)
        batches_release(&sums->of[property]);
    memory_free(sums->order);
    memory_free(sums->place);
    memory_free(sums->first);
    *sums = (struct property_sums){ 0 };
}

static bool is_wanted(const struct property_sums *sums, uint32_t aggregate, uint32_t mix, uint32_t m)
{
    const struct set_mix *of_set = &sums->set->mixes[m];
    return mix != SAMPLE_ALL || (of_set->aggregate == aggregate && !isnan(of_set->aggregate_fraction));
}

/* Room for a sample of so many batches and mixes; some may turn out to be without results. */
static bool sample_reserve(struct sample *sample, size_t n_batches, size_t n_mixes)
{
    sample->batch_mix = memory_resize(NULL, n_batches, sizeof *sample->batch_mix);
    sample->batch_of = memory_resize(NULL, n_batches, sizeof *sample->batch_of);
    sample->mix_of = memory_new(n_mixes, sizeof *sample->mix_of);
    sample->mix_x = memory_new(n_mixes, sizeof *sample->mix_x);
    sample->sums.batches = memory_resize(NULL, n_batches, sizeof *sample->sums.batches);
    if (sample->positive)
        sample->log_sums.batches = memory_resize(NULL, n_batches, sizeof *sample->log_sums.batches);
    return sample->batch_mix && sample->batch_of && sample->mix_of && sample->mix_x && sample->sums.batches
        && (!sample->positive || sample->log_sums.batches);
}

/* Adds a batch to the pool, as the first one of all or a later one. */
static inline void pool_add(struct mixed_pool *pool, size_t at, double mean, uint32_t n_rows)
{
    if (at == 0)
        pool->shift = mean;
    pool->batches[at] = (struct mixed_batch){ .mean = mean - pool->shift, .n_rows = n_rows };
}

/* Adds the batches of a mix that have results. */
static void take_mix(const struct property_sums *sums, const struct property_batches *batches, uint32_t m, struct sample *sample)
{
    size_t n = sample->n, at = sample->n_batches;
    for (uint32_t k = sums->first[m]; k < sums->first[m + 1]; k++) {
        if (batches->n[k] == 0)
            continue;
        n += batches->n[k];
        pool_add(&sample->sums, at, batches->mean[k], batches->n[k]);
        if (sample->positive)
            pool_add(&sample->log_sums, at, batches->log_mean[k], batches->n[k]);
        sample->batch_mix[at] = (uint32_t)sample->n_mixes;
        sample->batch_of[at++] = sums->order[k];
    }
    if (at == sample->n_batches)
        return;
    const struct property_mix *mix = &batches->mixes[m];
    sample->n = n;
    sample->n_batches = at;
    sample->sums.squares += mix->squares;
    sample->log_sums.squares += mix->log_squares;
    sample->no_batch = sample->no_batch && mix->no_batch;
    sample->mix_of[sample->n_mixes] = m;
    sample->mix_x[sample->n_mixes++] = sums->set->mixes[m].aggregate_fraction;
}

static enum status sample_fill(const struct property_sums *sums, const struct property_batches *batches, uint32_t aggregate, uint32_t mix,
                               struct sample *sample)
{
    const uint32_t from = mix != SAMPLE_ALL ? mix : 0, to = mix != SAMPLE_ALL ? mix + 1 : (uint32_t)sums->set->n_mixes;
    size_t n_batches = 0;
    for (uint32_t m = from; m < to; m++)
        if (is_wanted(sums, aggregate, mix, m)) {
            n_batches += sums->first[m + 1] - sums->first[m];
            sample->positive = sample->positive && batches->mixes[m].positive; /* as is a mix without results */
        }
    if (n_batches == 0)
        return STATUS_TOO_FEW;
    if (!sample_reserve(sample, n_batches, to - from))
        return STATUS_MEMORY;
    for (uint32_t m = from; m < to; m++)
        if (is_wanted(sums, aggregate, mix, m))
            take_mix(sums, batches, m, sample);
    return sample->n == 0 ? STATUS_TOO_FEW : STATUS_OK;
}

enum status property_sums_sample(const struct property_sums *sums, enum property property, uint32_t aggregate, uint32_t mix,
                                 struct sample *sample, struct problem *problem)
{
    *sample = (struct sample){ .summed = true, .positive = mix == SAMPLE_ALL, .no_batch = true };
    const enum status status = sample_fill(sums, &sums->of[property], aggregate, mix, sample);
    if (status == STATUS_OK)
        return STATUS_OK;
    sample_release(sample);
    if (status == STATUS_TOO_FEW)
        return status;
    return problem_set(problem, status, NULL, "no memory left for the batches of a sample");
}
