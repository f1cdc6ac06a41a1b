#include "analysis/comparison_parts.h"

#include "base/memory.h"
#include "stats/distribution.h"
#include "stats/root.h"

#include <math.h>
#include <stdio.h>

#define STEPS 400
#define STRETCHES_MAX 8
#define FRACTION_TOLERANCE 1e-10
#define STEP_OF_SLOPE 1e-4          /* of the tested range */
#define LEAST_BATCHES_OF_CORRELATION 4

/* Both curves of one aggregate over the range that both were tested in. */
struct trade {
    const struct curve *strength, *density;
    const struct sample *strength_rows, *density_rows;
    double target, low, high;
};

static double surplus(double x, void *context)
{
    const struct trade *trade = context;
    return curve_value(trade->strength, x) - trade->target;
}

static double density_at(double x, void *context)
{
    const struct trade *trade = context;
    return curve_value(trade->density, x);
}

static double shortfall(double x, void *context)
{
    return -surplus(x, context);
}

static double slope_at(const struct trade *trade, const struct curve *curve, double x)
{
    const double step = STEP_OF_SLOPE * (trade->high - trade->low);
    const double before = fmax(trade->low, x - step), after = fmin(trade->high, x + step);
    return (curve_value(curve, after) - curve_value(curve, before)) / (after - before);
}

/* Mean residual of each batch of the set about a curve; count 0 where it has none. */
static void batch_residuals(const struct curve *curve, const struct sample *rows, double *mean, double *count)
{
    for (size_t i = 0; i < rows->n; i++) {
        const uint32_t batch = rows->batch_of[rows->batch[i]];
        count[batch]++;
        mean[batch] += (rows->y[i] - curve_value(curve, sample_x(rows, i)) - mean[batch]) / count[batch];
    }
}

static double correlation(const double *a, const double *count_a, const double *b, const double *count_b, size_t n)
{
    double aa = 0, bb = 0, ab = 0, met = 0;
    for (size_t i = 0; i < n; i++)
        if (count_a[i] > 0 && count_b[i] > 0) {
            met++;
            aa += a[i] * a[i];
            bb += b[i] * b[i];
            ab += a[i] * b[i];
        }
    return met >= LEAST_BATCHES_OF_CORRELATION && aa > 0 && bb > 0 ? ab / sqrt(aa * bb) : 0;
}

/* A batch that came out heavy mostly came out strong: how far the luck of the two curves goes together. */
static enum status common_luck(const struct specimen_set *set, const struct trade *trade, double *luck)
{
    double *strength = memory_new(set->n_batches, sizeof *strength), *strength_n = memory_new(set->n_batches, sizeof *strength_n);
    double *density = memory_new(set->n_batches, sizeof *density), *density_n = memory_new(set->n_batches, sizeof *density_n);
    const bool enough = strength && strength_n && density && density_n;
    if (enough) {
        batch_residuals(trade->strength, trade->strength_rows, strength, strength_n);
        batch_residuals(trade->density, trade->density_rows, density, density_n);
        *luck = correlation(strength, strength_n, density, density_n, set->n_batches);
    }
    memory_free(strength);
    memory_free(strength_n);
    memory_free(density);
    memory_free(density_n);
    return enough ? STATUS_OK : STATUS_MEMORY;
}

/*
 * Density where the strength curve meets the target: an error of the strength
 * moves the crossing, and with it the density by D'/S' of that error; an error
 * of the density adds to it.
 */
static void crossing_error(const struct trade *trade, double luck, struct aggregate_at_target *result)
{
    const double x = result->aggregate_fraction;
    const double rate = slope_at(trade, trade->density, x) / slope_at(trade, trade->strength, x);
    double own, own_df, other, other_df;
    if (!curve_variance(trade->density, x, &own, &own_df) || !curve_variance(trade->strength, x, &other, &other_df) || !isfinite(rate))
        return;
    const double moved = rate * rate * other, together = own + moved;
    const double total = together - 2 * luck * rate * sqrt(own * other);
    result->std_error = sqrt(fmax(0, total));
    result->df = together > 0 ? together * together / (own * own / own_df + moved * moved / other_df) : NAN;
}

static void set_interval(struct aggregate_at_target *result, double confidence)
{
    const double reach = t_quantile(0.5 + confidence / 2, result->df) * result->std_error;
    result->lower = result->density_kg_m3 - reach;
    result->upper = result->density_kg_m3 + reach;
}

/* The lightest fraction at or above the target; NaN when none is. */
static double lightest_fraction(struct trade *trade)
{
    struct root_interval stretches[STRETCHES_MAX];
    size_t found = 0;
    double least = INFINITY, lightest = NAN;
    (void)root_nonnegative(surplus, trade, trade->low, trade->high, STEPS, FRACTION_TOLERANCE, stretches, STRETCHES_MAX, &found); /* what it kept is enough */
    for (size_t i = 0; i < found && i < STRETCHES_MAX; i++) {
        double x = NAN;
        (void)root_minimum(density_at, trade, stretches[i].low, stretches[i].high, STEPS / 4, FRACTION_TOLERANCE, &x);
        if (isnan(x) && stretches[i].low <= stretches[i].high) /* the stretch is one point */
            x = stretches[i].low;
        if (!isnan(x) && density_at(x, trade) < least) {
            least = density_at(x, trade);
            lightest = x;
        }
    }
    return lightest;
}

/* The lightest point inside a range is a crossing unless the curve there lies above the target. */
static enum status find_point(const struct specimen_set *set, struct trade *trade, double confidence,
                              struct aggregate_at_target *result)
{
    double x = lightest_fraction(trade), luck = 0, best;
    enum status status = STATUS_OK;
    if (isnan(x)) {
        result->reach = REACH_NOWHERE;
        (void)root_minimum(shortfall, trade, trade->low, trade->high, STEPS, FRACTION_TOLERANCE, &best);
        result->best = curve_value(trade->strength, best);
        return STATUS_OK;
    }
    result->aggregate_fraction = x;
    result->density_kg_m3 = density_at(x, trade);
    if (surplus(x, trade) > 1e-6 * trade->target) {
        double variance;
        result->reach = REACH_BEYOND;
        if (curve_variance(trade->density, x, &variance, &result->df))
            result->std_error = sqrt(variance);
    } else {
        result->reach = REACH_FOUND;
        status = common_luck(set, trade, &luck);
        if (status == STATUS_OK)
            crossing_error(trade, luck, result);
    }
    set_interval(result, confidence);
    return status;
}

static enum status no_curve(struct aggregate_at_target *result, const struct problem *problem)
{
    result->reach = REACH_NO_CURVE;
    snprintf(result->reason, sizeof result->reason, "%.200s", problem->text);
    return STATUS_OK;
}

static enum status weigh_curves(const struct specimen_set *set, double confidence, const struct curve_set *strength,
                                const struct curve_set *density, double target, struct aggregate_at_target *result)
{
    struct trade trade = {
        .strength = curve_set_chosen(strength), .density = curve_set_chosen(density),
        .strength_rows = &strength->sample, .density_rows = &density->sample, .target = target,
    };
    struct problem problem;
    trade.low = fmax(trade.strength->x_min, trade.density->x_min);
    trade.high = fmin(trade.strength->x_max, trade.density->x_max);
    result->strength_law = trade.strength->law;
    result->density_law = trade.density->law;
    if (trade.low < trade.high)
        return find_point(set, &trade, confidence, result);
    problem_set(&problem, STATUS_TOO_FEW, NULL, "strength and density were tested at different fractions");
    return no_curve(result, &problem);
}

/* Both curves of one aggregate; what cannot be fitted becomes the reason. */
static enum status weigh_aggregate(const struct specimen_set *set, const struct comparison_question *question,
                                   const struct comparison_target *target, struct aggregate_at_target *result)
{
    struct curve_set strength = { 0 }, density = { 0 };
    struct problem problem;
    enum status status = curve_set_fit(set, &question->selection, result->aggregate, target->property, PROPERTY_COUNT,
                                       question->law, &strength, &problem);
    if (status == STATUS_OK) {
        status = curve_set_fit(set, &question->selection, result->aggregate, PROPERTY_DENSITY, PROPERTY_COUNT,
                               question->law, &density, &problem);
        if (status == STATUS_OK)
            status = weigh_curves(set, question->confidence, &strength, &density, target->value, result);
        else if (status != STATUS_MEMORY)
            status = no_curve(result, &problem);
        curve_set_release(&density);
        curve_set_release(&strength);
        return status;
    }
    return status == STATUS_MEMORY ? status : no_curve(result, &problem);
}

/* Every pair of aggregates with a crossing, each with its own error, by the studentised range. */
static enum status compare_crossings(double confidence, struct target_comparison *result)
{
    size_t n = 0;
    for (size_t i = 0; i < result->n_aggregates; i++)
        n += result->aggregates[i].reach == REACH_FOUND && result->aggregates[i].std_error > 0 ? 1 : 0;
    result->pairs = memory_new(compare_pair_count(n), sizeof *result->pairs);
    if (!result->pairs)
        return STATUS_MEMORY;
    for (size_t i = 1; i < result->n_aggregates; i++)
        for (size_t j = 0; j < i; j++) {
            const struct aggregate_at_target *a = &result->aggregates[i], *b = &result->aggregates[j];
            if (a->reach != REACH_FOUND || b->reach != REACH_FOUND || !(a->std_error > 0) || !(b->std_error > 0))
                continue;
            const double va = a->std_error * a->std_error, vb = b->std_error * b->std_error;
            struct comparison *pair = &result->pairs[result->n_pairs++];
            *pair = (struct comparison){ .a = a->aggregate, .b = b->aggregate };
            pair->difference = a->density_kg_m3 - b->density_kg_m3;
            pair->std_error = sqrt(va + vb);
            pair->df = (va + vb) * (va + vb) / (va * va / a->df + vb * vb / b->df);
            compare_as_pair(pair, (double)n, confidence);
        }
    return STATUS_OK;
}

static bool is_shown(const struct specimen_set *set, const struct mix_comparison *answer, uint32_t aggregate)
{
    for (size_t mix = 0; mix < set->n_mixes; mix++)
        if (set->mixes[mix].aggregate == aggregate && answer->shown[mix])
            return true;
    return false;
}

enum status compare_at_target(const struct specimen_set *set, const struct comparison_question *question,
                              const struct mix_comparison *answer, const struct comparison_target *target,
                              struct target_comparison *result, struct problem *problem)
{
    enum status status = STATUS_OK;
    *result = (struct target_comparison){ .property = target->property, .value = target->value };
    result->aggregates = memory_new(set->n_aggregates, sizeof *result->aggregates);
    if (!result->aggregates)
        status = STATUS_MEMORY;
    for (uint32_t aggregate = 0; status == STATUS_OK && aggregate < set->n_aggregates; aggregate++) {
        if (!is_shown(set, answer, aggregate))
            continue;
        struct aggregate_at_target *at = &result->aggregates[result->n_aggregates++];
        *at = (struct aggregate_at_target){ .aggregate = aggregate, .strength_law = LAW_COUNT, .density_law = LAW_COUNT };
        at->aggregate_fraction = at->best = at->density_kg_m3 = at->std_error = at->df = at->lower = at->upper = NAN;
        status = weigh_aggregate(set, question, target, at);
    }
    if (status == STATUS_OK)
        status = compare_crossings(question->confidence, result);
    if (status == STATUS_MEMORY)
        problem_set(problem, status, NULL, "no memory left to compare %zu aggregates", set->n_aggregates);
    return status;
}
