#include "analysis/quality_measure.h"

#include "analysis/companions.h"
#include "base/memory.h"
#include "stats/distribution.h"
#include "stats/outlier.h"
#include "stats/summary.h"

#include <math.h>
#include <string.h>

/* Sums over the sets of companions of one mix. */
struct set_sums {
    size_t n_sets, size;            /* size 0: sets of several sizes */
    double squares, df, ranges;
    double relative_squares;        /* each set's in terms of its own mean */
};

struct measure {
    const struct specimen_set *set;
    const struct mix_summary_list *means;
    struct quality *quality;
    bool *wanted;                   /* set->n: rows of the sample */
    struct companion_values values;
    double *variance, *df;          /* set->n: of the sets of a mix, for Cochran */
    uint32_t *batch;                /* their batches */
    double relative_squares, relative_df, batch_squares;
    size_t factor_size;             /* size of the last sets whose factor was asked for: an integral, and mostly of one size */
    double factor;
};

const char *quality_class(double within_cv_pct)
{
    static const struct { double below_pct; const char *word; } classes[] = {
        { 2, "excellent" }, { 3, "very good" }, { 4, "good" }, { 5, "fair" },
    };
    for (size_t i = 0; i < sizeof classes / sizeof classes[0]; i++)
        if (within_cv_pct < classes[i].below_pct)
            return classes[i].word;
    return isnan(within_cv_pct) ? NULL : "poor";
}

static void measure_release(struct measure *run)
{
    memory_free(run->wanted);
    memory_free(run->values.value);
    memory_free(run->values.row);
    memory_free(run->values.start);
    memory_free(run->variance);
    memory_free(run->df);
    memory_free(run->batch);
}

/* Room for one mix of all rows. It is not zeroed, for then all of it would be touched. */
static bool measure_reserve(struct measure *run, const struct sample *sample)
{
    const size_t n = run->set->n;
    run->wanted = memory_new(n, sizeof *run->wanted);
    run->values.value = memory_resize(NULL, n, sizeof *run->values.value);
    run->values.row = memory_resize(NULL, n, sizeof *run->values.row);
    run->values.start = memory_resize(NULL, n + 1, sizeof *run->values.start);
    run->variance = memory_resize(NULL, n, sizeof *run->variance);
    run->df = memory_resize(NULL, n, sizeof *run->df);
    run->batch = memory_resize(NULL, n, sizeof *run->batch);
    run->quality->mixes = memory_new(sample->n_mixes, sizeof *run->quality->mixes);
    if (!run->wanted || !run->values.value || !run->values.row || !run->values.start || !run->variance || !run->df ||
        !run->batch || !run->quality->mixes)
        return false;
    for (size_t i = 0; i < sample->n; i++)
        run->wanted[sample->row[i]] = true;
    return true;
}

/* Groups hold one age and state each, so that the first row tells whether the group is meant. */
static bool group_wanted(const struct measure *run)
{
    return run->values.n > 0 && run->wanted[run->values.row[0]];
}

static void add_set(struct measure *run, struct set_sums *sums, size_t begin, size_t end)
{
    const struct summary summary = summary_of(run->values.value + begin, end - begin);
    const double df = (double)(summary.n - 1);
    if (summary.n < 2)
        return;
    run->variance[sums->n_sets] = summary.variance;
    run->df[sums->n_sets] = df;
    run->batch[sums->n_sets] = run->set->batch[run->values.row[begin]];
    sums->size = sums->n_sets == 0 || sums->size == summary.n ? summary.n : 0;
    sums->n_sets++;
    sums->squares += df * summary.variance;
    sums->df += df;
    sums->ranges += summary.range;
    sums->relative_squares += df * summary.variance / (summary.mean * summary.mean);
}

static void note_cochran(struct measure *run, const struct set_sums *sums, struct quality_mix *mix)
{
    struct outlier outlier;
    mix->cochran = mix->cochran_p = NAN;
    if (sums->n_sets < 2 || outlier_cochran(run->variance, run->df, sums->n_sets, &outlier) != STATUS_OK)
        return;
    mix->n_variances = sums->n_sets;
    mix->wildest_batch = run->batch[outlier.index];
    mix->cochran = outlier.statistic;
    mix->cochran_p = outlier.p;
}

static void note_fit(const struct mix_property *fitted, struct quality_mix *mix)
{
    const double multiplier = studentized_range_quantile(0.95, 2, INFINITY);
    mix->n_specimens = fitted->n_specimens;
    mix->n_batches = fitted->n_batches;
    mix->mean = fitted->mean;
    mix->batch_sd = fitted->sd_batch;
    /* without a batch effect the fit's scatter is that of all specimens, batches and testing together */
    mix->repeatability_sd = isnan(fitted->sd_batch) ? NAN : fitted->sd_specimen;
    mix->reproducibility_sd = hypot(mix->batch_sd, mix->repeatability_sd);
    mix->repeatability_limit = multiplier * mix->repeatability_sd;
    mix->reproducibility_limit = multiplier * mix->reproducibility_sd;
}

/* Mean range of sets of one size, in sd. */
static double range_factor(struct measure *run, size_t size)
{
    if (size != run->factor_size) {
        run->factor_size = size;
        run->factor = summary_range_mean_factor(size);
    }
    return run->factor;
}

static void note_sets(struct measure *run, const struct set_sums *sums, struct quality_mix *mix)
{
    mix->n_sets = sums->n_sets;
    mix->within_df = sums->df;
    mix->within_sd = sums->df > 0 ? sqrt(sums->squares / sums->df) : NAN;
    mix->within_cv_pct = 100 * mix->within_sd / mix->mean;
    mix->mean_range = sums->n_sets && sums->size ? sums->ranges / (double)sums->n_sets : NAN;
    mix->range_sd = sums->size ? mix->mean_range / range_factor(run, sums->size) : NAN;
}

static enum status visit_mix(const struct companion_mix *visited, void *context)
{
    struct measure *run = context;
    struct quality *quality = run->quality;
    struct set_sums sums = { 0 };
    bool any = false;
    for (size_t i = 0; i < visited->n_groups; i++) {
        companion_values_take(run->set, &visited->groups[i], quality->property, &run->values);
        if (!group_wanted(run))
            continue;
        any = true;
        for (size_t k = 0; k < run->values.n_batches; k++)
            add_set(run, &sums, run->values.start[k], run->values.start[k + 1]);
    }
    if (!any)
        return STATUS_OK;
    struct quality_mix *mix = &quality->mixes[quality->n_mixes++];
    mix->mix = visited->mix;
    note_fit(&run->means->items[visited->mix].property[quality->property], mix);
    note_sets(run, &sums, mix);
    note_cochran(run, &sums, mix);
    run->relative_squares += sums.relative_squares;
    run->relative_df += sums.df;
    if (!isnan(mix->batch_sd)) {
        const double df = (double)(mix->n_batches - 1), relative = mix->batch_sd / mix->mean;
        run->batch_squares += df * relative * relative;
        quality->batch_df += df;
    }
    return STATUS_OK;
}

static void pool(const struct measure *run)
{
    struct quality *quality = run->quality;
    const double multiplier = studentized_range_quantile(0.95, 2, INFINITY);
    quality->within_df = run->relative_df;
    quality->within_cv_pct = run->relative_df > 0 ? 100 * sqrt(run->relative_squares / run->relative_df) : NAN;
    quality->batch_cv_pct = quality->batch_df > 0 ? 100 * sqrt(run->batch_squares / quality->batch_df) : NAN;
    quality->repeatability_limit_pct = multiplier * quality->within_cv_pct;
    quality->reproducibility_limit_pct = multiplier * hypot(quality->within_cv_pct, quality->batch_cv_pct);
    if (quality->property == PROPERTY_COMPRESSIVE_STRENGTH)
        quality->class_word = quality_class(quality->within_cv_pct);
}

static enum status measure_sample(const struct specimen_set *set, const struct sample *sample,
                                  const struct mix_summary_list *means, struct quality *quality)
{
    struct measure run = { .set = set, .means = means, .quality = quality };
    enum status status = measure_reserve(&run, sample) ? companions_walk(set, visit_mix, &run) : STATUS_MEMORY;
    quality->n_specimens = sample->n;
    quality->n_batches = sample->n_batches;
    if (status == STATUS_OK) {
        pool(&run);
        status = quality_control_make(set, sample, quality);
    }
    measure_release(&run);
    return status;
}

enum status quality_measure(const struct specimen_set *set, const struct selection *selection,
                            const struct mix_summary_list *means, enum property property,
                            struct quality *quality, struct problem *problem)
{
    struct sample sample;
    *quality = (struct quality){ .property = property };
    enum status status = sample_take(set, selection, SAMPLE_ALL, SAMPLE_ALL, property, SAMPLE_PREDICTOR_NONE, &sample, problem);
    if (status == STATUS_TOO_FEW)
        return STATUS_OK;
    if (status != STATUS_OK)
        return status;
    status = measure_sample(set, &sample, means, quality);
    if (status != STATUS_OK) {
        quality_release(quality);
        problem_set(problem, status, NULL, "no memory left to measure the scatter of %zu results", sample.n);
    }
    sample_release(&sample);
    return status;
}

void quality_release(struct quality *quality)
{
    memory_free(quality->mixes);
    memory_free(quality->control.points);
    memset(quality, 0, sizeof *quality);
}
