#include "stats/bootstrap.h"

#include "base/memory.h"
#include "stats/distribution.h"
#include "stats/random.h"
#include "stats/summary.h"

#include <math.h>
#include <pthread.h>

#define THREADS_MAX 64u

/* Units sorted by stratum: stratum s holds unit[start[s]] .. unit[start[s+1]-1]. */
struct strata {
    size_t n, n_units;
    uint32_t *unit;
    size_t *start;
};

static void strata_release(struct strata *strata)
{
    memory_free(strata->unit);
    memory_free(strata->start);
}

static uint32_t stratum_of(const struct bootstrap_plan *plan, size_t unit)
{
    return plan->stratum ? plan->stratum[unit] : 0;
}

static enum status strata_make(const struct bootstrap_plan *plan, struct strata *strata, struct problem *problem)
{
    *strata = (struct strata){ .n = plan->stratum ? plan->n_strata : 1, .n_units = plan->n_units };
    strata->unit = memory_new(plan->n_units, sizeof *strata->unit);
    strata->start = memory_new(strata->n + 2, sizeof *strata->start);
    if (!strata->unit || !strata->start)
        return problem_set(problem, STATUS_MEMORY, NULL, "no memory left to list the batches to draw from");
    for (size_t i = 0; i < plan->n_units; i++) {
        if (stratum_of(plan, i) >= strata->n)
            return problem_set(problem, STATUS_NUMERIC, NULL, "a unit belongs to no stratum");
        strata->start[stratum_of(plan, i) + 2]++;
    }
    for (size_t s = 2; s < strata->n + 2; s++)
        strata->start[s] += strata->start[s - 1];
    for (size_t i = 0; i < plan->n_units; i++) /* start[s+1] walks through stratum s and ends as start[s+1] */
        strata->unit[strata->start[stratum_of(plan, i) + 1]++] = (uint32_t)i;
    for (size_t s = 0; s < strata->n; s++)
        if (strata->start[s + 1] - strata->start[s] >= 2)
            return STATUS_OK;
    return problem_set(problem, STATUS_TOO_FEW, NULL, "resampling needs at least 2 batches that can stand for each other");
}

/* ---- drawing ---- */

struct share {
    const struct bootstrap_plan *plan;
    const struct strata *strata;
    bootstrap_statistic *statistic;
    void *context;
    double *replicates;          /* n_values x n_resamples, shared: each replicate writes its own places */
    size_t first, end;           /* replicates of this share */
    struct random_stream *stream;
    uint32_t *picked;
    double *values;
};

static bool share_open(struct share *share)
{
    share->stream = random_stream_new(share->plan->seed, share->first);
    share->picked = memory_new(share->plan->n_units, sizeof *share->picked);
    share->values = memory_new(share->plan->n_values, sizeof *share->values);
    return share->stream && share->picked && share->values;
}

static void share_close(struct share *share)
{
    random_stream_free(share->stream);
    memory_free(share->picked);
    memory_free(share->values);
}

static void draw_units(struct share *share)
{
    const struct strata *strata = share->strata;
    for (size_t s = 0; s < strata->n; s++) {
        size_t start = strata->start[s], size = strata->start[s + 1] - start;
        for (size_t i = 0; i < size; i++)
            share->picked[start + i] = strata->unit[start + random_below(share->stream, size)];
    }
}

static void compute(struct share *share, size_t n_units)
{
    size_t n_values = share->plan->n_values;
    for (size_t v = 0; v < n_values; v++)
        share->values[v] = NAN;
    if (share->statistic(share->picked, n_units, share->context, share->values))
        return;
    for (size_t v = 0; v < n_values; v++)
        share->values[v] = NAN;
}

static void *run_share(void *argument)
{
    struct share *share = argument;
    for (size_t r = share->first; r < share->end; r++) {
        random_stream_restart(share->stream, share->plan->seed, r);
        draw_units(share);
        compute(share, share->plan->n_units);
        for (size_t v = 0; v < share->plan->n_values; v++)
            share->replicates[v * share->plan->n_resamples + r] = share->values[v];
    }
    return NULL;
}

/* Every replicate has its own seed, so how they are shared out does not show in the result. */
static enum status run_shares(const struct share *whole, unsigned n_threads)
{
    struct share shares[THREADS_MAX];
    pthread_t threads[THREADS_MAX];
    bool started[THREADS_MAX] = { false }, opened = true;
    size_t n = whole->plan->n_resamples;
    for (unsigned i = 0; i < n_threads; i++) {
        shares[i] = *whole;
        shares[i].first = n * i / n_threads;
        shares[i].end = n * (i + 1) / n_threads;
        opened &= share_open(&shares[i]);
    }
    for (unsigned i = 1; opened && i < n_threads; i++)
        started[i] = pthread_create(&threads[i], NULL, run_share, &shares[i]) == 0;
    for (unsigned i = 0; opened && i < n_threads; i++) {
        if (started[i])
            pthread_join(threads[i], NULL);
        else
            run_share(&shares[i]); /* the first share, and those that got no thread */
    }
    for (unsigned i = 0; i < n_threads; i++)
        share_close(&shares[i]);
    return opened ? STATUS_OK : STATUS_MEMORY;
}

/* ---- estimate, acceleration, bias ---- */

/* Estimates without one unit of stratum s; left_out: size x n_values, row-major. */
static void leave_each_out(struct share *share, size_t s, double *left_out)
{
    const struct strata *strata = share->strata;
    size_t n_values = share->plan->n_values;
    for (size_t gone = strata->start[s]; gone < strata->start[s + 1]; gone++) {
        size_t n = 0;
        for (size_t i = 0; i < strata->n_units; i++)
            if (i != gone)
                share->picked[n++] = strata->unit[i];
        compute(share, n);
        for (size_t v = 0; v < n_values; v++)
            left_out[(gone - strata->start[s]) * n_values + v] = share->values[v];
    }
}

/* Adds one stratum's influence of each unit, squared and cubed. Davison and Hinkley 1997, equation 5.31. */
static void add_influence(const double *left_out, size_t size, size_t n_values, size_t v, double *square, double *cube)
{
    double mean = 0, n = (double)size, squares = 0, cubes = 0;
    for (size_t i = 0; i < size; i++)
        mean += left_out[i * n_values + v] / n;
    for (size_t i = 0; i < size; i++) {
        double influence = (n - 1) * (mean - left_out[i * n_values + v]);
        squares += influence * influence;
        cubes += influence * influence * influence;
    }
    *square += squares / (n * n);
    *cube += cubes / (n * n * n);
}

static enum status find_acceleration(struct share *share, struct bootstrap *result)
{
    const struct strata *strata = share->strata;
    size_t n_values = result->n_values;
    double *left_out = memory_new(result->n_units * n_values, sizeof *left_out);
    double *square = memory_new(n_values, sizeof *square);
    double *cube = memory_new(n_values, sizeof *cube);
    bool made = left_out && square && cube;
    for (size_t s = 0; made && s < strata->n; s++) {
        size_t size = strata->start[s + 1] - strata->start[s];
        if (size < 2)
            continue;
        leave_each_out(share, s, left_out);
        for (size_t v = 0; v < n_values; v++)
            add_influence(left_out, size, n_values, v, &square[v], &cube[v]);
    }
    for (size_t v = 0; made && v < n_values; v++)
        result->acceleration[v] = square[v] == 0 ? 0 : cube[v] / (6 * pow(square[v], 1.5));
    memory_free(left_out);
    memory_free(square);
    memory_free(cube);
    return made ? STATUS_OK : STATUS_MEMORY;
}

static enum status find_estimate(struct share *share, struct bootstrap *result)
{
    bool any = false;
    for (size_t i = 0; i < result->n_units; i++)
        share->picked[i] = share->strata->unit[i];
    compute(share, result->n_units);
    for (size_t v = 0; v < result->n_values; v++) {
        result->estimate[v] = share->values[v];
        any |= isfinite(share->values[v]);
    }
    return any ? STATUS_OK : STATUS_NUMERIC;
}

/* Numbers to the front in rising order, the rest dropped; share below the estimate, ties counted half. */
static void settle_value(struct bootstrap *result, size_t v)
{
    double *block = result->replicates + v * result->n_resamples, below = 0;
    size_t n = 0;
    for (size_t r = 0; r < result->n_resamples; r++)
        if (isfinite(block[r]))
            block[n++] = block[r];
    for (size_t r = n; r < result->n_resamples; r++)
        block[r] = NAN;
    summary_sort(block, n);
    for (size_t r = 0; r < n; r++)
        below += block[r] < result->estimate[v] ? 1 : block[r] == result->estimate[v] ? 0.5 : 0;
    result->n_usable[v] = n;
    result->bias[v] = n > 0 ? normal_quantile(below / (double)n) : NAN;
}

/* ---- the whole run ---- */

static bool allocate(struct bootstrap *result, const struct bootstrap_plan *plan, size_t n_strata)
{
    *result = (struct bootstrap){ .n_values = plan->n_values, .n_resamples = plan->n_resamples,
                                  .n_strata = n_strata, .n_units = plan->n_units };
    if (plan->n_resamples > SIZE_MAX / plan->n_values)
        return false;
    result->estimate = memory_new(plan->n_values, sizeof *result->estimate);
    result->replicates = memory_new(plan->n_values * plan->n_resamples, sizeof *result->replicates);
    result->n_usable = memory_new(plan->n_values, sizeof *result->n_usable);
    result->acceleration = memory_new(plan->n_values, sizeof *result->acceleration);
    result->bias = memory_new(plan->n_values, sizeof *result->bias);
    return result->estimate && result->replicates && result->n_usable && result->acceleration && result->bias;
}

static enum status resample(struct share *share, struct bootstrap *result, struct problem *problem)
{
    const struct bootstrap_plan *plan = share->plan;
    enum status status = share_open(share) ? find_estimate(share, result) : STATUS_MEMORY;
    if (status == STATUS_OK)
        status = find_acceleration(share, result);
    share_close(share);
    size_t n_threads = plan->n_threads > THREADS_MAX ? THREADS_MAX : plan->n_threads > 1 ? plan->n_threads : 1;
    if (n_threads > plan->n_resamples)
        n_threads = plan->n_resamples;
    if (status == STATUS_OK)
        status = run_shares(share, (unsigned)n_threads);
    for (size_t v = 0; status == STATUS_OK && v < plan->n_values; v++)
        settle_value(result, v);
    if (status == STATUS_NUMERIC)
        return problem_set(problem, status, NULL, "the batches as they are give no answer to resample");
    if (status == STATUS_MEMORY)
        return problem_set(problem, status, NULL, "no memory left for %zu resamples", plan->n_resamples);
    return status;
}

enum status bootstrap_run(const struct bootstrap_plan *plan, bootstrap_statistic *statistic, void *context,
                          struct bootstrap *result, struct problem *problem)
{
    *result = (struct bootstrap){ 0 };
    if (plan->n_resamples == 0 || plan->n_values == 0 || plan->n_units == 0)
        return problem_set(problem, STATUS_TOO_FEW, NULL, "there is nothing to resample");
    struct strata strata;
    enum status status = strata_make(plan, &strata, problem);
    if (status == STATUS_OK && !allocate(result, plan, strata.n))
        status = problem_set(problem, STATUS_MEMORY, NULL, "no memory left for %zu resamples", plan->n_resamples);
    if (status == STATUS_OK) {
        struct share share = { .plan = plan, .strata = &strata, .statistic = statistic, .context = context,
                               .replicates = result->replicates };
        status = resample(&share, result, problem);
    }
    strata_release(&strata);
    if (status != STATUS_OK)
        bootstrap_release(result);
    return status;
}

void bootstrap_release(struct bootstrap *result)
{
    memory_free(result->estimate);
    memory_free(result->replicates);
    memory_free(result->n_usable);
    memory_free(result->acceleration);
    memory_free(result->bias);
    *result = (struct bootstrap){ 0 };
}

/* ---- limits ---- */

/* Replicate at this level, between order statistics at (n + 1) p. */
static double replicate_at(const double *sorted, size_t n, double level, bool *at_edge)
{
    double position = ((double)n + 1) * level - 1;
    if (!(position > 0) || position >= (double)(n - 1)) {
        *at_edge = true;
        return position > 0 ? sorted[n - 1] : sorted[0];
    }
    size_t below = (size_t)position;
    return sorted[below] + (position - (double)below) * (sorted[below + 1] - sorted[below]);
}

/* Level of the replicates that stands for a limit of this normal deviate; NaN when the correction breaks down. */
static double corrected_level(double bias, double acceleration, double deviate)
{
    double moved = bias + deviate, shrink = 1 - acceleration * moved;
    return shrink > 0 ? 1 - normal_tail(bias + moved / shrink) : NAN;
}

/* Moves both levels as BCa does; leaves them and says false when its constants cannot be had. */
static bool correct_levels(const struct bootstrap *result, size_t value, double *low, double *high)
{
    double bias = result->bias[value], acceleration = result->acceleration[value];
    double bca_low = corrected_level(bias, acceleration, normal_quantile(*low));
    double bca_high = corrected_level(bias, acceleration, normal_quantile(*high));
    if (!isfinite(bias) || !(bca_low >= 0) || !(bca_high <= 1) || !(bca_low < bca_high))
        return false;
    *low = bca_low;
    *high = bca_high;
    return true;
}

struct bootstrap_limits bootstrap_limits(const struct bootstrap *result, size_t value,
                                         enum bootstrap_method method, double confidence)
{
    struct bootstrap_limits limits = { BOOTSTRAP_NONE, NAN, NAN, NAN, 0, false };
    if (value >= result->n_values || !(confidence > 0 && confidence < 1))
        return limits;
    size_t n = result->n_usable[value];
    const double *sorted = result->replicates + value * result->n_resamples;
    limits.share_usable = (double)n / (double)result->n_resamples;
    if (n < 2 || method == BOOTSTRAP_NONE)
        return limits;
    double low = (1 - confidence) / 2, high = 1 - low;
    limits.method = BOOTSTRAP_PERCENTILE;
    if (method == BOOTSTRAP_BCA && correct_levels(result, value, &low, &high))
        limits.method = BOOTSTRAP_BCA;
    if (method == BOOTSTRAP_EXPANDED) {
        limits.method = BOOTSTRAP_EXPANDED;
        low = normal_tail(t_quantile(high, (double)(result->n_units - result->n_strata)));
        high = 1 - low;
    }
    limits.lower = replicate_at(sorted, n, low, &limits.at_edge);
    limits.upper = replicate_at(sorted, n, high, &limits.at_edge);
    limits.std_error = summary_of(sorted, n).sd;
    return limits;
}
