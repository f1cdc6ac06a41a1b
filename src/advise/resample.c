#include "advise/resample.h"

#include "base/memory.h"
#include "base/tasks.h"
#include "stats/bootstrap.h"

#include <math.h>

#define RUNG 4 /* divides LADDER */
#define SHARE_WANTED 0.9 /* of resamples in which some fraction meets the demands; below it no limits are given */

/* The batch means of one curve, by unit. */
struct unit_means {
    double *mean;      /* on the fit's scale, widened about its mix; NaN when the unit has no result */
    double *weight;    /* 1 / variance of that mean, up to a factor */
    double *terms;     /* n_units x TERMS_MAX */
};

static enum status unit_means_reserve(struct unit_means *means, size_t n_units)
{
    means->mean = memory_new(n_units, sizeof *means->mean);
    means->weight = memory_new(n_units, sizeof *means->weight);
    means->terms = memory_new(n_units, TERMS_MAX * sizeof *means->terms);
    return means->mean && means->weight && means->terms ? STATUS_OK : STATUS_MEMORY;
}

static void unit_means_release(struct unit_means *means)
{
    memory_free(means->mean);
    memory_free(means->weight);
    memory_free(means->terms);
}

/* Sum over the specimens of a batch of a sample. */
struct batch_sum { double y, n, x; };

/* Of each batch, from the rows. NULL when memory is out. */
static struct batch_sum *batch_sums_make(const struct sample *sample, bool log_response)
{
    struct batch_sum *sums = memory_new(sample->n_batches, sizeof *sums);
    for (size_t i = 0; sums && i < sample->n; i++) {
        struct batch_sum *sum = &sums[sample->batch[i]];
        sum->y += log_response ? log(sample->y[i]) : sample->y[i];
        sum->n += 1;
        sum->x = sample_x(sample, i);
    }
    return sums;
}

/* Of one batch of a sample without rows. */
static struct batch_sum batch_sum_of(const struct sample *sample, size_t j, bool log_response)
{
    const struct mixed_pool *pool = log_response ? &sample->log_sums : &sample->sums;
    const double n = pool->batch_rows[j];
    return (struct batch_sum){ n * (mixed_pool_mean(pool, j) + pool->shift), n, sample->mix_x[sample->batch_mix[j]] };
}

/* Weighted means of the batches that make up each unit, on the fit's scale. sums: NULL for a sample without rows. */
static void add_batches(struct unit_means *means, const struct curve *curve, const struct sample *sample, const struct batch_sum *sums,
                        const struct unit_list *units)
{
    const struct mixed_fit *fit = &curve->fit;
    double whole = fit->var_batch + fit->var_specimen;
    for (size_t j = 0; j < sample->n_batches; j++) {
        size_t unit = units->unit_of[sample->batch_of[j]] - 1;
        const struct batch_sum sum = sums ? sums[j] : batch_sum_of(sample, j, law_is_log(curve->law));
        double weight = whole > 0 ? whole / (fit->var_batch + fit->var_specimen / sum.n) : 1;
        means->weight[unit] += weight;
        means->mean[unit] += weight * sum.y / sum.n;
        law_design(curve->law, sum.x, means->terms + unit * TERMS_MAX);
    }
    for (size_t unit = 0; unit < units->n_units; unit++)
        means->mean[unit] = means->weight[unit] > 0 ? means->mean[unit] / means->weight[unit] : NAN;
}

/*
 * Drawing n batches from n makes their mean vary by (n-1)/n too little;
 * widening the batches about their mix by sqrt(n/(n-1)) makes up for it.
 */
static void widen_mix(struct unit_means *means, size_t from, size_t to)
{
    double sum = 0, weights = 0, n = 0;
    for (size_t unit = from; unit < to; unit++) {
        if (isnan(means->mean[unit]))
            continue;
        sum += means->weight[unit] * means->mean[unit];
        weights += means->weight[unit];
        n++;
    }
    for (size_t unit = from; unit < to && n > 1; unit++)
        means->mean[unit] = sum / weights + sqrt(n / (n - 1)) * (means->mean[unit] - sum / weights);
}

static void share_fill(struct unit_share *share, double weight, double mean, const double *terms)
{
    double *matrix = share->part, *right = share->part + SHARE_MATRIX;
    for (size_t a = 0; a < TERMS_MAX; a++) {
        right[a] = weight * terms[a] * mean;
        for (size_t b = 0; b <= a; b++)
            *matrix++ = weight * terms[a] * terms[b];
    }
}

static enum status shares_fill(struct unit_share *shares, const struct curve *curve, const struct sample *sample,
                               const struct unit_list *units)
{
    struct batch_sum *sums = NULL;
    struct unit_means means = { 0 };
    enum status status = unit_means_reserve(&means, units->n_units);
    if (status == STATUS_OK && !sample->summed && !(sums = batch_sums_make(sample, law_is_log(curve->law))))
        status = STATUS_MEMORY;
    if (status == STATUS_OK)
        add_batches(&means, curve, sample, sums, units);
    for (size_t from = 0, to; status == STATUS_OK && from < units->n_units; from = to) {
        for (to = from + 1; to < units->n_units && units->stratum[to] == units->stratum[from]; to++)
            continue;
        widen_mix(&means, from, to);
    }
    for (size_t unit = 0; status == STATUS_OK && unit < units->n_units; unit++)
        if (!isnan(means.mean[unit]))
            share_fill(&shares[unit], means.weight[unit], means.mean[unit], means.terms + unit * TERMS_MAX);
    unit_means_release(&means);
    memory_free(sums);
    return status;
}

static double on_fit_scale(const struct curve *curve, double value)
{
    return law_is_log(curve->law) ? log(value) : value;
}

/* The distance bends so little that every RUNG-th point and straight lines between them will do. */
static void curve_climb(struct resample_curve *curve, const struct resample *resample, const struct recipe *recipe, enum property property)
{
    struct recipe at = *recipe;
    for (size_t i = 0; i <= LADDER; i++) {
        at.x = resample->low + (resample->high - resample->low) * (double)i / LADDER;
        double terms[TERMS_MAX];
        law_design(curve->curve->law, at.x, terms);
        curve->linear[i] = terms[1];
        curve->square[i] = terms[2];
        if (i % RUNG != 0)
            continue;
        double assured = recipe_assured(resample->search, &at, property, 1);
        curve->distance[i] = on_fit_scale(curve->curve, assured) - on_fit_scale(curve->curve, curve_value(curve->curve, at.x));
    }
    for (size_t i = 0; i <= LADDER; i++) {
        size_t below = i - i % RUNG;
        double part = (double)(i % RUNG) / RUNG;
        if (part > 0)
            curve->distance[i] = curve->distance[below] + part * (curve->distance[below + RUNG] - curve->distance[below]);
    }
}

static enum status curve_prepare(struct resample *resample, const struct recipe *recipe, enum property property,
                                 const struct sample *sample, const struct unit_list *units)
{
    struct resample_curve *curve = &resample->curves[resample->n_curves];
    curve->curve = recipe->curve[property];
    resample->n_curves++;
    curve->shares = memory_new(units->n_units, sizeof *curve->shares);
    enum status status = curve->shares ? shares_fill(curve->shares, curve->curve, sample, units) : STATUS_MEMORY;
    if (status != STATUS_OK)
        return status;
    curve_climb(curve, resample, recipe, property);
    return STATUS_OK;
}

static void add_demand(struct resample *resample, const struct demand *demand, bool is_limit, const size_t *curve_of)
{
    const struct search *search = resample->search;
    enum property property = demand_property(demand);
    struct resample_demand *added = &resample->demands[resample->n_demands++];
    double value = demand_property_value(search, demand);
    added->side = is_limit ? 1 : -1;
    added->curve = property == PROPERTY_COUNT ? resample->n_curves : curve_of[property];
    added->threshold = property == PROPERTY_COUNT ? value : on_fit_scale(resample->curves[added->curve].curve, value);
}

/* Whether the curve of a property is fitted to each draw. */
static bool curve_wanted(const struct search *search, const struct recipe *recipe, enum property property)
{
    bool is_limit, sought = search->request->seek == SEEK_STRONGEST ? property == search->answer->strength : property == PROPERTY_DENSITY;
    if (!recipe->curve[property])
        return false;
    for (size_t i = 0; i < search_demands(search); i++)
        sought = sought || demand_property(search_demand(search, i, &is_limit)) == property;
    return sought;
}

static enum status resample_prepare(struct resample *resample, const struct recipe *recipe, const struct sample *samples,
                                    const struct unit_list *units)
{
    const struct search *search = resample->search;
    size_t curve_of[PROPERTY_COUNT] = { 0 };
    resample->n_units = units->n_units;
    for (enum property property = 0; property < PROPERTY_COUNT; property++) {
        if (!curve_wanted(search, recipe, property))
            continue;
        curve_of[property] = resample->n_curves;
        enum status status = curve_prepare(resample, recipe, property, &samples[property], units);
        if (status != STATUS_OK)
            return status;
    }
    for (size_t i = 0; i < search_demands(search); i++) {
        bool is_limit;
        const struct demand *demand = search_demand(search, i, &is_limit);
        add_demand(resample, demand, is_limit, curve_of);
    }
    for (size_t i = 0; i <= LADDER && cost_needed(search); i++)
        resample->cost[i] = cost_at_fraction(search, recipe->aggregate, resample->low + (resample->high - resample->low) * (double)i / LADDER);
    resample->sought_curve = search->request->seek == SEEK_CHEAPEST ? resample->n_curves
        : curve_of[search->request->seek == SEEK_STRONGEST ? search->answer->strength : PROPERTY_DENSITY];
    return STATUS_OK;
}

static enum status resample_run(struct resample *resample, const struct unit_list *units, struct candidate *candidate,
                                struct problem *problem)
{
    const struct recommend_request *request = resample->search->request;
    struct bootstrap result;
    struct bootstrap_plan plan = {
        .n_units = units->n_units, .stratum = units->stratum, .n_strata = units->n_strata, .n_values = 1,
        .n_resamples = request->n_resamples, .seed = request->seed, .n_threads = request->n_threads,
    };
    enum status status = bootstrap_run(&plan, resample_best_fraction, resample, &result, problem);
    if (status != STATUS_OK)
        return status;
    struct bootstrap_limits limits = bootstrap_limits(&result, 0, BOOTSTRAP_EXPANDED, request->assurance.confidence);
    if (limits.share_usable >= SHARE_WANTED) {
        candidate->fraction_lower = limits.lower;
        candidate->fraction_upper = limits.upper;
    }
    if (limits.share_usable < 1)
        candidate_caution(candidate, "when the batches are drawn again, no fraction meets the demands in %.0f of 100 draws",
                          fmax(1, 100 * (1 - limits.share_usable)));
    resample->search->answer->draws = (struct fraction_draws){
        .values = result.replicates, .n_values = result.n_usable[0], .n_drawn = result.n_resamples,
        .candidate = (size_t)(candidate - resample->search->answer->candidates),
    };
    result.replicates = NULL; /* the answer's now */
    bootstrap_release(&result);
    return STATUS_OK;
}

struct sample_tasks {
    const struct search *search;
    const struct recipe *recipe;
    struct sample *samples;
    enum status status[PROPERTY_COUNT];
};

static void take_sample(void *context, size_t property)
{
    struct sample_tasks *tasks = context;
    const struct search *search = tasks->search;
    const struct recommendation *answer = search->answer;
    struct problem problem;
    if (curve_wanted(search, tasks->recipe, (enum property)property))
        tasks->status[property] = curve_set_sample(search->set, &answer->selection, &search->sums,
                                                   recommendation_curves(answer, tasks->recipe->aggregate, (enum property)property),
                                                   &tasks->samples[property], &problem);
}

/* Samples of the curves that are fitted to each draw, by property; the others stay empty. */
static enum status take_samples(const struct search *search, const struct recipe *recipe, struct sample *samples)
{
    struct sample_tasks tasks = { search, recipe, samples, { STATUS_OK } };
    enum status status = STATUS_OK;
    tasks_run(PROPERTY_COUNT, search->set->n >= ROWS_WORTH_HELP, take_sample, &tasks);
    for (size_t property = 0; property < PROPERTY_COUNT; property++)
        status = status == STATUS_OK ? tasks.status[property] : status;
    return status;
}

enum status resample_fraction(const struct search *search, const struct recipe *recipe, double low, double high,
                              struct candidate *candidate, struct problem *problem)
{
    struct unit_list units = { 0 };
    struct sample samples[PROPERTY_COUNT] = { 0 };
    struct resample *resample = memory_new(1, sizeof *resample);
    enum status status = resample ? STATUS_OK : STATUS_MEMORY;
    if (status == STATUS_OK) {
        *resample = (struct resample){ .search = search, .low = low, .high = high };
        status = take_samples(search, recipe, samples);
    }
    if (status == STATUS_OK)
        status = unit_list_make(&units, search->set, samples);
    if (status == STATUS_OK)
        status = resample_prepare(resample, recipe, samples, &units);
    for (enum property property = 0; property < PROPERTY_COUNT; property++)
        sample_release(&samples[property]);
    if (status == STATUS_OK)
        status = resample_run(resample, &units, candidate, problem);
    for (size_t c = 0; resample && c < resample->n_curves; c++)
        memory_free(resample->curves[c].shares);
    memory_free(resample);
    unit_list_release(&units);
    if (status == STATUS_MEMORY)
        return problem_set(problem, status, NULL, "no memory left to resample the batches");
    return STATUS_OK; /* with nothing to draw from there are no limits, and the answer stands */
}
