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
static double density_of(const struct specimen_set *set, const uint32_t *rows, size_t n)
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

/* Whether the mean density of these rows lies where no limits are established; where no row of the group does, none can. */
static bool is_too_light(const struct quality_run *run, const uint32_t *rows, size_t n)
{
    return run->least_density < QUALITY_LEAST_DENSITY_KG_M3 && density_of(run->set, rows, n) < QUALITY_LEAST_DENSITY_KG_M3;
}

/* Whether the range lies so far below the limit that the last digits of the mean cannot matter. */
static bool is_plainly_narrow(const double *values, size_t n, double limit_pct)
{
    double least = values[0], most = values[0], sum = values[0];
    for (size_t i = 1; i < n; i++) {
        least = values[i] < least ? values[i] : least;
        most = values[i] > most ? values[i] : most;
        sum += values[i];
    }
    return least > 0 && 100 * (most - least) * (double)n < 0.999 * limit_pct * sum;
}

static double range_limit(struct quality_run *run, enum property property, size_t n)
{
    if (n > RANGE_FACTORS_KEPT)
        return quality_range_limit_pct(references[property].cv_pct, n);
    if (run->range_factor[n] == 0)
        run->range_factor[n] = quality_range_limit_pct(1, n);
    return references[property].cv_pct * run->range_factor[n];
}

static void judge_batch(struct quality_run *run, enum property property, size_t begin, size_t end)
{
    const struct companion_values *values = &run->values;
    struct quality_range_count *count = &run->findings->range[property];
    if (is_too_light(run, values->row + begin, end - begin)) {
        count->n_not_established++;
        return;
    }
    count->n_batches++;
    const double limit_pct = range_limit(run, property, end - begin);
    if (is_plainly_narrow(values->value + begin, end - begin, limit_pct))
        return;
    const struct summary summary = summary_of(values->value + begin, end - begin);
    if (!(100 * summary.range / summary.mean > limit_pct))
        return;
    count->n_wide++;
    for (size_t i = begin; i < end; i++)
        run->set->flags[values->row[i]] |= FLAG_RANGE_WIDE;
}

void quality_flag_ranges(struct quality_run *run, enum property property)
{
    const struct companion_values *values = &run->values;
    if (!references[property].method)
        return;
    for (size_t k = 0; k < values->n_batches; k++)
        if (values->start[k + 1] - values->start[k] >= 2)
            judge_batch(run, property, values->start[k], values->start[k + 1]);
}
