#include "analysis/quality_flag.h"

#include "stats/distribution.h"

#include <math.h>

/*
 * Specimens named one after the other: one in a small family, where naming a
 * second mostly follows from having taken out the first; one more for each
 * SPECIMENS_PER_OUTLIER, up to MOST_OUTLIERS, which no longer is a slip.
 */
#define SPECIMENS_PER_OUTLIER 15
#define MOST_OUTLIERS 3

/*
 * A family is what is tested together: specimens about the means of their
 * batches; when every batch holds one specimen, specimens about their common
 * mean. Named outliers are passed over.
 */
struct family {
    const struct companion_values *values;
    const bool *taken;
    bool lone; /* one specimen a batch */
};

struct centre {
    size_t n;
    double mean;
};

static size_t family_parts(const struct family *family)
{
    return family->lone ? 1 : family->values->n_batches;
}

static size_t part_begin(const struct family *family, size_t part)
{
    return family->values->start[part];
}

static size_t part_end(const struct family *family, size_t part)
{
    return family->lone ? family->values->n : family->values->start[part + 1];
}

static struct centre part_centre(const struct family *family, size_t begin, size_t end)
{
    const double *value = family->values->value;
    struct centre centre = { 0, 0 };
    for (size_t i = begin; i < end; i++)
        if (!family->taken[i]) {
            centre.n++;
            centre.mean += (value[i] - centre.mean) / (double)centre.n;
        }
    return centre;
}

/* What a family comes to: its farthest specimen and the scatter behind it. */
struct extreme {
    size_t at, part, n_compared;
    double sum_squares, distance; /* distance from the part's mean over sqrt(1 - 1/n) */
    double centre;                /* mean of its part */
    size_t part_n, df;
};

static void look_at_part(const struct family *family, size_t part, struct extreme *extreme)
{
    const double *value = family->values->value;
    const size_t begin = part_begin(family, part), end = part_end(family, part);
    const struct centre centre = part_centre(family, begin, end);
    if (centre.n < 2)
        return;
    const double shrink = sqrt(1 - 1 / (double)centre.n);
    extreme->df += centre.n - 1;
    extreme->n_compared += centre.n == 2 ? 1 : centre.n; /* the two of a pair are equally far out */
    for (size_t i = begin; i < end; i++) {
        const double error = value[i] - centre.mean;
        if (family->taken[i])
            continue;
        extreme->sum_squares += error * error;
        if (fabs(error) / shrink > extreme->distance) {
            extreme->distance = fabs(error) / shrink;
            extreme->at = i;
            extreme->part = part;
            extreme->centre = centre.mean;
            extreme->part_n = centre.n;
        }
    }
}

static struct extreme family_extreme(const struct family *family)
{
    const size_t n_parts = family_parts(family);
    struct extreme extreme = { .distance = -1 };
    for (size_t part = 0; part < n_parts; part++)
        look_at_part(family, part, &extreme);
    return extreme;
}

/*
 * Chance of a specimen at least as far out: r = distance / s; with the
 * specimen itself taken out of s it follows Student's t on df - 1, times the
 * specimens compared. For one batch of n this is Grubbs' test.
 */
static double extreme_p(const struct extreme *extreme)
{
    const double df = (double)extreme->df;
    const double left = extreme->sum_squares - extreme->distance * extreme->distance;
    if (!(extreme->sum_squares > 0))
        return 1;
    if (left <= 1e-12 * extreme->sum_squares)
        return 0;
    const double t = extreme->distance / sqrt(left / (df - 1));
    return fmin(1, (double)extreme->n_compared * t_two_sided_p(t, df - 1));
}

/*
 * Readings that were rounded can all agree but one; a step of the rounding is
 * no outlier. The step is the smallest difference between neighbours, or the
 * printed one when that is smaller.
 */
static double family_step(const struct family *family, enum property property)
{
    const struct companion_values *values = family->values;
    double step = property_row(property)->si_step;
    for (size_t i = 1; i < values->n; i++) {
        const double gap = fabs(values->value[i] - values->value[i - 1]);
        if (gap > 1e-9 * fabs(values->value[i]))
            step = fmin(step, gap);
    }
    return step;
}

static double mean_of_others(const struct extreme *extreme, double value)
{
    const double n = (double)extreme->part_n;
    return (n * extreme->centre - value) / (n - 1);
}

static bool has_single_batches(const struct companion_values *values)
{
    return values->n_batches == values->n;
}

size_t quality_outlier_df(const struct companion_values *values)
{
    size_t parts = has_single_batches(values) ? 1 : values->n_batches;
    return values->n > parts ? values->n - parts : 0;
}

static enum status name_outlier(struct quality_run *run, enum property property, uint32_t mix, size_t at,
                                struct quality_finding finding)
{
    finding.property = property;
    finding.mix = mix;
    finding.row = run->values.row[at];
    finding.value = run->values.value[at];
    finding.batch = run->set->batch[finding.row];
    run->set->flags[finding.row] |= FLAG_OUTLIER;
    run->taken[at] = true;
    return quality_add(run->findings, &finding) ? STATUS_OK : STATUS_MEMORY;
}

/* The two of a pair lie equally far from their mean: nothing tells which is wrong, so both are named. */
static enum status name_extreme(struct quality_run *run, enum property property, uint32_t mix,
                                const struct family *family, const struct extreme *extreme, double p)
{
    enum status status = STATUS_OK;
    const size_t begin = part_begin(family, extreme->part), end = part_end(family, extreme->part);
    for (size_t i = begin; status == STATUS_OK && i < end; i++) {
        if (run->taken[i] || (extreme->part_n > 2 && i != extreme->at))
            continue;
        struct quality_finding finding = { .p = p, .n = extreme->part_n };
        finding.companions_mean = mean_of_others(extreme, run->values.value[i]);
        status = name_outlier(run, property, mix, i, finding);
    }
    return status;
}

enum status quality_flag_outliers(struct quality_run *run, enum property property, uint32_t mix, double alpha)
{
    const struct family family = { &run->values, run->taken, has_single_batches(&run->values) };
    size_t most = run->values.n / SPECIMENS_PER_OUTLIER;
    enum status status = STATUS_OK;
    most = most < 1 ? 1 : most > MOST_OUTLIERS ? MOST_OUTLIERS : most;
    for (size_t i = 0; i < run->values.n; i++)
        run->taken[i] = false;
    for (size_t named = 0; status == STATUS_OK && named < most; named++) {
        const struct extreme extreme = family_extreme(&family);
        if (extreme.df < OUTLIER_LEAST_DF)
            break;
        const double value = run->values.value[extreme.at], p = extreme_p(&extreme);
        if (p > alpha || fabs(value - mean_of_others(&extreme, value)) < 2 * family_step(&family, property))
            break;
        status = name_extreme(run, property, mix, &family, &extreme, p);
    }
    return status;
}
