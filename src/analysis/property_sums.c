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

/* ---- how batches lie ---- */

static void order_release(struct batch_order *order)
{
    memory_free(order->batch);
    memory_free(order->mix);
    memory_free(order->first);
    memory_free(order->n);
    *order = (struct batch_order){ 0 };
}

static bool order_reserve(struct batch_order *order, const struct specimen_set *set, size_t n_batches)
{
    order->batch = memory_resize(NULL, n_batches, sizeof *order->batch);
    order->mix = memory_resize(NULL, n_batches, sizeof *order->mix);
    order->first = memory_new(set->n_mixes, sizeof *order->first);
    order->n = memory_new(set->n_mixes, sizeof *order->n);
    return order->batch && order->mix && order->first && order->n;
}

/* What of an aggregate has been laid. */
struct aggregate_laid { uint32_t batches, mixes; };

/* Mixes without a fraction lie behind all aggregates. */
static struct aggregate_laid *laid_of(struct aggregate_laid *laid, const struct specimen_set *set, size_t m)
{
    return &laid[isnan(set->mixes[m].aggregate_fraction) ? set->n_aggregates : set->mixes[m].aggregate];
}

/* Makes room side by side for the n batches of each mix, and numbers the mixes that have any. False when memory is out. */
static bool order_mixes(struct batch_order *order, const struct specimen_set *set)
{
    struct aggregate_laid *laid = memory_new(set->n_aggregates + 1, sizeof *laid);
    uint32_t all = 0;
    for (size_t m = 0; laid && m < set->n_mixes; m++)
        laid_of(laid, set, m)->batches += order->n[m];
    for (size_t a = 0; laid && a <= set->n_aggregates; a++) {
        const uint32_t begins = all;
        all += laid[a].batches;
        laid[a].batches = begins;
    }
    for (size_t m = 0; laid && m < set->n_mixes; m++) {
        struct aggregate_laid *at = laid_of(laid, set, m);
        order->first[m] = at->batches;
        for (uint32_t k = 0; k < order->n[m]; k++)
            order->mix[at->batches++] = at->mixes;
        at->mixes += order->n[m] > 0;
    }
    memory_free(laid);
    return laid != NULL;
}

/* All batches of the set. */
static bool order_batches(struct property_sums *sums)
{
    const struct specimen_set *set = sums->set;
    struct batch_order *all = &sums->all;
    uint32_t largest = 0;
    sums->place = memory_resize(NULL, set->n_batches, sizeof *sums->place);
    if (!sums->place || !order_reserve(all, set, set->n_batches))
        return false;
    for (size_t b = 0; b < set->n_batches; b++)
        all->n[set->batches[b].mix]++;
    for (size_t m = 0; m < set->n_mixes; m++)
        largest = all->n[m] > largest ? all->n[m] : largest;
    sums->zeros = memory_new(largest, sizeof *sums->zeros);
    if (!sums->zeros || !order_mixes(all, set))
        return false;
    /* Placing batches moves each start on to the mix's end; taking their number off restores it. */
    for (size_t b = 0; b < set->n_batches; b++) {
        const uint32_t k = all->first[set->batches[b].mix]++;
        all->batch[k] = (uint32_t)b;
        sums->place[b] = k;
    }
    for (size_t m = 0; m < set->n_mixes; m++)
        all->first[m] -= all->n[m];
    return true;
}

static size_t count_with_results(const struct property_batches *batches, size_t n_batches)
{
    size_t n = 0;
    for (size_t k = 0; k < n_batches; k++)
        n += batches->n[k] > 0;
    return n;
}

/* Where some batches have no results, those that have any move together, in an order of their own. */
static bool close_gaps(struct property_batches *batches, const struct property_sums *sums)
{
    const struct specimen_set *set = sums->set;
    const size_t n = count_with_results(batches, set->n_batches);
    size_t to = 0;
    if (n == set->n_batches)
        return true;
    if (!order_reserve(&batches->own, set, n))
        return false;
    for (size_t k = 0; k < set->n_batches; k++) {
        if (batches->n[k] == 0)
            continue;
        batches->mean[to] = batches->mean[k];
        batches->log_mean[to] = batches->log_mean[k];
        batches->n[to] = batches->n[k];
        batches->own.batch[to++] = sums->all.batch[k];
        batches->own.n[set->batches[sums->all.batch[k]].mix]++;
    }
    return order_mixes(&batches->own, set);
}

/* ---- sums ---- */

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

static void batches_release(struct property_batches *batches)
{
    memory_free(batches->mean);
    memory_free(batches->log_mean);
    memory_free(batches->n);
    memory_free(batches->mixes);
    order_release(&batches->own);
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
        youngest = fmin(youngest, specimen_set_age(set, from)); /* without ages neither changes */
        oldest = fmax(oldest, specimen_set_age(set, from));
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
    else if (!close_gaps(batches, sums))
        return STATUS_MEMORY;
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
    memory_free(sums->place);
    sums->place = NULL;
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
    order_release(&sums->all);
    memory_free(sums->zeros);
    *sums = (struct property_sums){ 0 };
}

static bool is_wanted(const struct property_sums *sums, uint32_t aggregate, uint32_t mix, uint32_t m)
{
    const struct set_mix *of_set = &sums->set->mixes[m];
    return mix != SAMPLE_ALL || (of_set->aggregate == aggregate && !isnan(of_set->aggregate_fraction));
}

/* Lends the n batches from `first` on, which are those of the sample's mixes. */
static void lend_batches(const struct property_sums *sums, const struct property_batches *batches, const struct batch_order *order,
                         size_t first, bool one_mix, struct sample *sample)
{
    double squares = 0, log_squares = 0;
    for (size_t i = 0; i < sample->n_mixes; i++) {
        const struct property_mix *mix = &batches->mixes[sample->mix_of[i]];
        squares += mix->squares;
        log_squares += mix->log_squares;
        sample->no_batch = sample->no_batch && mix->no_batch;
        sample->mix_x[i] = sums->set->mixes[sample->mix_of[i]].aggregate_fraction;
    }
    for (size_t k = first; k < first + sample->n_batches; k++)
        sample->n += batches->n[k];
    mixed_pool_lend(&sample->sums, batches->mean + first, batches->n + first, squares);
    if (sample->positive)
        mixed_pool_lend(&sample->log_sums, batches->log_mean + first, batches->n + first, log_squares);
    sample->batch_of = order->batch + first;
    sample->batch_mix = one_mix ? sums->zeros : order->mix + first;
}

static enum status sample_fill(const struct property_sums *sums, const struct property_batches *batches, uint32_t aggregate, uint32_t mix,
                               struct sample *sample)
{
    const struct batch_order *order = batches->own.batch ? &batches->own : &sums->all;
    const uint32_t from = mix != SAMPLE_ALL ? mix : 0, to = mix != SAMPLE_ALL ? mix + 1 : (uint32_t)sums->set->n_mixes;
    sample->mix_of = memory_new(to - from, sizeof *sample->mix_of);
    sample->mix_x = memory_new(to - from, sizeof *sample->mix_x);
    if (!sample->mix_of || !sample->mix_x)
        return STATUS_MEMORY;
    for (uint32_t m = from; m < to; m++) {
        if (!is_wanted(sums, aggregate, mix, m) || order->n[m] == 0)
            continue;
        sample->positive = sample->positive && batches->mixes[m].positive;
        sample->n_batches += order->n[m];
        sample->mix_of[sample->n_mixes++] = m;
    }
    if (sample->n_mixes == 0)
        return STATUS_TOO_FEW;
    lend_batches(sums, batches, order, order->first[sample->mix_of[0]], mix != SAMPLE_ALL, sample);
    return STATUS_OK;
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
