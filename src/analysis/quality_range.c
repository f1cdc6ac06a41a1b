#include "analysis/quality_flag.h"

#include "stats/distribution.h"
#include "stats/summary.h"

#include <math.h>

/* Single-operator variation of normal-weight concrete in a laboratory: a reference, not a limit for light concrete. */
static const struct {
    double cv_pct;
    const char *method;
} references[PROPERTY_COUNT] = {
    [PROPERTY_COMPRESSIVE_STRENGTH] = { 3.2, "ASTM C39, 100 x 200 mm cylinders made in a laboratory" },
    [PROPERTY_FLEXURAL_STRENGTH] = { 5.7, "ASTM C78, editions before 2018" },
    [PROPERTY_SPLITTING_STRENGTH] = { 5.0, "ASTM C496" },
};

double quality_reference_cv_pct(enum property property, const char **method)
{
    if (method)
        *method = references[property].method;
    return references[property].method ? references[property].cv_pct : NAN;
}

double quality_range_limit_pct(double cv_pct, size_t n)
{
    return n < 2 ? NAN : cv_pct * studentized_range_quantile(0.95, (double)n, INFINITY);
}

/* Mean density of these rows; NaN when none was weighed. */
static double density_of(const struct specimen_set *set, const size_t *rows, size_t n)
{
    double mean = 0, known = 0;
    for (size_t i = 0; i < n; i++) {
        const double density = specimen_set_value(set, rows[i], PROPERTY_DENSITY);
        if (!isnan(density)) {
            known++;
            mean += (density - mean) / known;
        }
    }
    return known > 0 ? mean : NAN;
}

static enum status name_batch(struct quality_run *run, const struct quality_finding *finding, size_t begin, size_t end)
{
    for (size_t i = begin; i < end; i++)
        run->set->flags[run->values.row[i]] |= FLAG_RANGE_WIDE;
    return quality_add(run->findings, finding) ? STATUS_OK : STATUS_MEMORY;
}

static double range_limit(struct quality_run *run, enum property property, size_t n)
{
    if (n > RANGE_FACTORS_KEPT)
        return quality_range_limit_pct(references[property].cv_pct, n);
    if (run->range_factor[n] == 0)
        run->range_factor[n] = quality_range_limit_pct(1, n);
    return references[property].cv_pct * run->range_factor[n];
}

static enum status judge_batch(struct quality_run *run, enum property property, uint32_t mix, size_t begin, size_t end)
{
    const struct companion_values *values = &run->values;
    struct quality_range_count *count = &run->findings->range[property];
    const struct summary summary = summary_of(values->value + begin, end - begin);
    struct quality_finding finding = {
        .kind = QUALITY_RANGE_WIDE, .property = property, .row = values->row[begin], .mix = mix,
        .batch = run->set->batch[values->row[begin]], .value = 100 * summary.range / summary.mean,
        .companions_mean = summary.mean, .p = NAN, .n = summary.n,
    };
    if (density_of(run->set, values->row + begin, end - begin) < QUALITY_LEAST_DENSITY_KG_M3) {
        count->n_not_established++;
        return STATUS_OK;
    }
    finding.limit_pct = range_limit(run, property, summary.n);
    count->n_batches++;
    if (!(finding.value > finding.limit_pct))
        return STATUS_OK;
    count->n_wide++;
    return name_batch(run, &finding, begin, end);
}

enum status quality_flag_ranges(struct quality_run *run, enum property property, uint32_t mix)
{
    const struct companion_values *values = &run->values;
    enum status status = STATUS_OK;
    if (!references[property].method)
        return STATUS_OK;
    for (size_t k = 0; status == STATUS_OK && k < values->n_batches; k++)
        if (values->start[k + 1] - values->start[k] >= 2)
            status = judge_batch(run, property, mix, values->start[k], values->start[k + 1]);
    return status;
}
