#include "analysis/comparison_parts.h"

#include "base/memory.h"

#include <math.h>
#include <stdio.h>

/* Means of the mixes of aggregates that have two mixes or more. */
struct line_rows {
    double *x, *y;
    uint32_t *group;
    size_t n;
    const char **names;       /* n_groups */
    double *low, *high;       /* n_groups: tested range of x */
};

static void line_rows_release(struct line_rows *rows)
{
    memory_free(rows->x);
    memory_free(rows->y);
    memory_free(rows->group);
    memory_free((void *)rows->names);
    memory_free(rows->low);
    memory_free(rows->high);
}

static bool line_rows_reserve(const struct specimen_set *set, struct line_rows *rows, struct line_comparison *result)
{
    rows->x = memory_new(set->n_mixes, sizeof *rows->x);
    rows->y = memory_new(set->n_mixes, sizeof *rows->y);
    rows->group = memory_new(set->n_mixes, sizeof *rows->group);
    rows->names = memory_new(set->n_aggregates, sizeof *rows->names);
    rows->low = memory_new(set->n_aggregates, sizeof *rows->low);
    rows->high = memory_new(set->n_aggregates, sizeof *rows->high);
    result->aggregates = memory_new(set->n_aggregates, sizeof *result->aggregates);
    return rows->x && rows->y && rows->group && rows->names && rows->low && rows->high && result->aggregates;
}

/* x and y of a mix; NaN when the mix is not shown or lacks one of them. */
static void mix_point(const struct specimen_set *set, const struct mix_comparison *answer, const struct line_comparison *result,
                      uint32_t mix, double *x, double *y)
{
    const struct mix_property *of = answer->means.items[mix].property;
    const struct mix_property *response = &of[result->property];
    *x = *y = NAN;
    if (!answer->shown[mix] || !response->available)
        return;
    if (result->predictor == PROPERTY_COUNT)
        *x = set->mixes[mix].aggregate_fraction;
    else if (of[result->predictor].available)
        *x = of[result->predictor].mean;
    *y = result->log_scale ? log(response->mean) : response->mean;
}

static bool take_aggregate(const struct specimen_set *set, const struct mix_comparison *answer, uint32_t aggregate,
                           struct line_rows *rows, struct line_comparison *result)
{
    const size_t begin = rows->n, group = result->n_aggregates;
    double low = INFINITY, high = -INFINITY;
    for (uint32_t mix = 0; mix < set->n_mixes; mix++) {
        double x, y;
        if (set->mixes[mix].aggregate != aggregate)
            continue;
        mix_point(set, answer, result, mix, &x, &y);
        if (!isfinite(x) || !isfinite(y))
            continue;
        low = fmin(low, x);
        high = fmax(high, x);
        rows->x[rows->n] = x;
        rows->y[rows->n] = y;
        rows->group[rows->n++] = (uint32_t)group;
    }
    if (rows->n - begin < 2 || !(high > low)) { /* one point has no line */
        rows->n = begin;
        return false;
    }
    rows->names[group] = set->aggregates[aggregate];
    rows->low[group] = low;
    rows->high[group] = high;
    result->aggregates[result->n_aggregates++] = aggregate;
    return true;
}

static enum status make_pairs(const struct line_rows *rows, double confidence, struct line_comparison *result)
{
    const size_t n = compare_pair_count(result->n_aggregates);
    result->pairs = memory_new(n, sizeof *result->pairs);
    result->apart = memory_new(n, sizeof *result->apart);
    if (!result->pairs || !result->apart)
        return STATUS_MEMORY;
    enum status status = ancova_compare(&result->lines, confidence, result->pairs);
    result->n_pairs = status == STATUS_OK ? n : 0;
    for (size_t i = 0; i < result->n_pairs; i++) {
        struct comparison *pair = &result->pairs[i];
        result->apart[i] = fmax(rows->low[pair->a], rows->low[pair->b]) > fmin(rows->high[pair->a], rows->high[pair->b]);
        pair->a = result->aggregates[pair->a];
        pair->b = result->aggregates[pair->b];
    }
    return status;
}

static enum status fit_lines(const struct line_rows *rows, double confidence, struct line_comparison *result,
                             struct problem *problem)
{
    const struct ancova_data data = { rows->x, rows->y, rows->group, rows->n, result->n_aggregates, rows->names };
    enum status status = ancova_fit(&data, &result->lines, problem);
    if (status == STATUS_OK)
        status = make_pairs(rows, confidence, result);
    if (status == STATUS_MEMORY)
        return status;
    result->available = status == STATUS_OK;
    result->parallel = !(result->lines.common_slope.p < COMPARISON_DOUBT);
    if (status != STATUS_OK)
        snprintf(result->reason, sizeof result->reason, "%.200s", problem->text);
    return STATUS_OK;
}

static enum status judge(const struct specimen_set *set, const struct mix_comparison *answer, struct line_rows *rows,
                         struct line_comparison *result, struct problem *problem)
{
    for (uint32_t aggregate = 0; aggregate < set->n_aggregates; aggregate++)
        (void)take_aggregate(set, answer, aggregate, rows, result);
    if (result->n_aggregates >= 2) {
        result->n_mixes = rows->n;
        return fit_lines(rows, answer->confidence, result, problem);
    }
    snprintf(result->reason, sizeof result->reason, "fewer than two aggregates have two mixes with %s and %s",
             property_row(result->property)->words,
             result->predictor == PROPERTY_COUNT ? "an aggregate fraction" : property_row(result->predictor)->words);
    return STATUS_OK;
}

static bool is_strength(enum property property)
{
    return property_row(property)->units == units_stress;
}

/* Strength at equal density; whatever else at equal aggregate fraction. */
enum status compare_lines(const struct specimen_set *set, const struct comparison_question *question,
                          struct mix_comparison *answer, enum property property, struct problem *problem)
{
    struct line_comparison *result = &answer->lines[property];
    struct line_rows rows = { 0 };
    (void)question;
    result->property = property;
    result->log_scale = is_strength(property);
    result->predictor = is_strength(property) && set->value[PROPERTY_DENSITY] ? PROPERTY_DENSITY : PROPERTY_COUNT;
    if (!set->value[property])
        return STATUS_OK;
    enum status status = line_rows_reserve(set, &rows, result) ? STATUS_OK : STATUS_MEMORY;
    if (status == STATUS_OK)
        status = judge(set, answer, &rows, result, problem);
    if (status == STATUS_MEMORY)
        problem_set(problem, status, NULL, "no memory left to compare %zu aggregates", set->n_aggregates);
    line_rows_release(&rows);
    return status;
}
