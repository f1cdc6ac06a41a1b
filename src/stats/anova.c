#include "stats/anova.h"

#include "base/memory.h"
#include "stats/compensated.h"
#include "stats/distribution.h"
#include "stats/summary.h"

#include <math.h>

/* Per-group sums of distances from one origin near all values, so that differences of means keep their digits. */
struct group_sums {
    double origin;
    size_t *n;
    double *first;        /* value of each group */
    bool *varies;         /* not all values of the group are equal */
    double *mean;         /* of the distances */
    double *sum_squares;  /* about the group's own mean */
    struct compensated *total, *square, *distance;
};

static void group_sums_release(struct group_sums *sums)
{
    memory_free(sums->n);
    memory_free(sums->first);
    memory_free(sums->varies);
    memory_free(sums->mean);
    memory_free(sums->sum_squares);
    memory_free(sums->total);
    memory_free(sums->square);
    memory_free(sums->distance);
}

static bool group_sums_allocate(struct group_sums *sums, size_t n_groups)
{
    sums->n = memory_new(n_groups, sizeof *sums->n);
    sums->first = memory_new(n_groups, sizeof *sums->first);
    sums->varies = memory_new(n_groups, sizeof *sums->varies);
    sums->mean = memory_new(n_groups, sizeof *sums->mean);
    sums->sum_squares = memory_new(n_groups, sizeof *sums->sum_squares);
    sums->total = memory_new(n_groups, sizeof *sums->total);
    sums->square = memory_new(n_groups, sizeof *sums->square);
    sums->distance = memory_new(n_groups, sizeof *sums->distance);
    return sums->n && sums->first && sums->varies && sums->mean && sums->sum_squares && sums->total && sums->square &&
           sums->distance;
}

static void group_sums_fill(struct group_sums *sums, const struct grouped_data *data)
{
    sums->origin = summary_sum(data->values, data->n_values) / (double)data->n_values;
    for (size_t i = 0; i < data->n_values; i++) {
        uint32_t g = data->group[i];
        if (sums->n[g]++ == 0)
            sums->first[g] = data->values[i];
        sums->varies[g] |= data->values[i] != sums->first[g];
        compensated_add(&sums->total[g], data->values[i] - sums->origin);
    }
    for (size_t g = 0; g < data->n_groups; g++)
        sums->mean[g] = sums->n[g] ? compensated_value(&sums->total[g]) / (double)sums->n[g] : 0;
    for (size_t i = 0; i < data->n_values; i++) {
        uint32_t g = data->group[i];
        double d = (data->values[i] - sums->origin) - sums->mean[g];
        compensated_add(&sums->distance[g], d);
        compensated_add(&sums->square[g], d * d);
    }
    for (size_t g = 0; g < data->n_groups; g++) {
        if (!sums->varies[g])
            continue; /* no scatter at all, whatever rounding left behind */
        double rest = compensated_value(&sums->distance[g]);
        sums->sum_squares[g] = fmax(0, compensated_value(&sums->square[g]) - rest * rest / (double)sums->n[g]);
    }
}

static enum status check_values(const struct grouped_data *data, struct problem *problem)
{
    for (size_t i = 0; i < data->n_values; i++) {
        if (!isfinite(data->values[i]))
            return problem_set(problem, STATUS_NUMERIC, NULL, "a value is not a finite number");
        if (data->group[i] >= data->n_groups)
            return problem_set(problem, STATUS_NUMERIC, NULL, "a value belongs to no group");
    }
    return STATUS_OK;
}

static enum status group_sums_make(struct group_sums *sums, const struct grouped_data *data, struct problem *problem)
{
    *sums = (struct group_sums){ 0 };
    if (data->n_values == 0 || data->n_groups == 0)
        return problem_set(problem, STATUS_TOO_FEW, NULL, "there are no results to compare");
    enum status status = check_values(data, problem);
    if (status != STATUS_OK)
        return status;
    if (!group_sums_allocate(sums, data->n_groups)) {
        group_sums_release(sums);
        return problem_set(problem, STATUS_MEMORY, NULL, "no memory left for the group sums");
    }
    group_sums_fill(sums, data);
    return STATUS_OK;
}

static void add_up(const struct group_sums *sums, const struct grouped_data *data, struct anova *table)
{
    struct compensated total = { 0, 0 }, within = { 0, 0 }, between = { 0, 0 };
    double n = (double)data->n_values, squared_sizes = 0;
    for (size_t g = 0; g < data->n_groups; g++) {
        double size = (double)sums->n[g];
        compensated_add(&total, size * sums->mean[g]);
        compensated_add(&within, sums->sum_squares[g]);
        squared_sizes += size * size;
        table->n_groups += sums->n[g] > 0;
    }
    double mean = compensated_value(&total) / n;
    for (size_t g = 0; g < data->n_groups; g++) {
        double d = sums->mean[g] - mean;
        compensated_add(&between, (double)sums->n[g] * d * d);
    }
    table->n_values = data->n_values;
    table->mean = sums->origin + mean;
    table->ss_between = compensated_value(&between);
    table->ss_within = compensated_value(&within);
    table->df_between = (double)table->n_groups - 1;
    table->df_within = n - (double)table->n_groups;
    table->group_size = (n - squared_sizes / n) / table->df_between;
}

static void conclude(struct anova *table)
{
    table->ms_between = table->ss_between / table->df_between;
    table->ms_within = table->ss_within / table->df_within;
    table->f = table->ms_between / table->ms_within;
    table->p = table->ms_within > 0 ? f_tail(table->f, table->df_between, table->df_within) : 0;
    table->r_squared = table->ss_between / (table->ss_between + table->ss_within);
    table->residual_sd = sqrt(table->ms_within);
    double var_between = (table->ms_between - table->ms_within) / table->group_size;
    table->var_between_negative = var_between < 0;
    table->var_between = fmax(0, var_between);
}

static bool anything_varies(const struct grouped_data *data)
{
    for (size_t i = 1; i < data->n_values; i++)
        if (data->values[i] != data->values[0])
            return true;
    return false;
}

enum status anova_one_way(const struct grouped_data *data, struct anova *table, struct problem *problem)
{
    *table = (struct anova){ 0 };
    struct group_sums sums;
    enum status status = group_sums_make(&sums, data, problem);
    if (status != STATUS_OK)
        return status;
    add_up(&sums, data, table);
    group_sums_release(&sums);
    if (table->n_groups < 2)
        return problem_set(problem, STATUS_TOO_FEW, NULL, "a comparison needs at least 2 groups");
    if (table->df_within < 1)
        return problem_set(problem, STATUS_TOO_FEW, NULL, "a comparison needs a group with at least 2 results");
    if (!anything_varies(data))
        return problem_set(problem, STATUS_NUMERIC, NULL, "all results are equal, so nothing can be compared");
    conclude(table);
    return STATUS_OK;
}

static enum status check_welch(const struct group_sums *sums, size_t n_groups, size_t *n_used, struct problem *problem)
{
    *n_used = 0;
    for (size_t g = 0; g < n_groups; g++) {
        if (sums->n[g] == 0)
            continue;
        if (sums->n[g] < 2)
            return problem_set(problem, STATUS_TOO_FEW, NULL, "every group needs at least 2 results of its own");
        if (!(sums->sum_squares[g] > 0))
            return problem_set(problem, STATUS_NUMERIC, NULL, "a group has no scatter, so it cannot be weighed");
        ++*n_used;
    }
    if (*n_used < 2)
        return problem_set(problem, STATUS_TOO_FEW, NULL, "a comparison needs at least 2 groups");
    return STATUS_OK;
}

static double welch_weight(const struct group_sums *sums, size_t g)
{
    double n = (double)sums->n[g];
    return n > 0 ? n * (n - 1) / sums->sum_squares[g] : 0;
}

static struct welch_anova welch_from(const struct group_sums *sums, size_t n_groups, double n_used)
{
    double total = 0, mean = 0, between = 0, unevenness = 0;
    for (size_t g = 0; g < n_groups; g++)
        total += welch_weight(sums, g);
    for (size_t g = 0; g < n_groups; g++)
        mean += welch_weight(sums, g) / total * sums->mean[g];
    for (size_t g = 0; g < n_groups; g++) {
        if (sums->n[g] == 0)
            continue;
        double weight = welch_weight(sums, g), d = sums->mean[g] - mean, rest = 1 - weight / total;
        between += weight * d * d;
        unevenness += rest * rest / ((double)sums->n[g] - 1);
    }
    double spread = unevenness / (n_used * n_used - 1);
    struct welch_anova result = { .df1 = n_used - 1, .df2 = 1 / (3 * spread) };
    result.f = between / result.df1 / (1 + 2 * (n_used - 2) * spread);
    result.p = f_tail(result.f, result.df1, result.df2);
    return result;
}

enum status anova_welch(const struct grouped_data *data, struct welch_anova *result, struct problem *problem)
{
    *result = (struct welch_anova){ NAN, NAN, NAN, NAN };
    struct group_sums sums;
    enum status status = group_sums_make(&sums, data, problem);
    if (status != STATUS_OK)
        return status;
    size_t n_used;
    status = check_welch(&sums, data->n_groups, &n_used, problem);
    if (status == STATUS_OK)
        *result = welch_from(&sums, data->n_groups, (double)n_used);
    group_sums_release(&sums);
    return status;
}

struct precision anova_precision(const struct anova *table)
{
    const double limit = 2.8; /* 1.96 sqrt(2), rounded as ISO 5725-6 does */
    struct precision precision = {
        .mean = table->mean,
        .repeatability_sd = sqrt(table->ms_within),
        .between_sd = sqrt(table->var_between),
        .reproducibility_sd = sqrt(table->ms_within + table->var_between),
    };
    precision.repeatability_limit = limit * precision.repeatability_sd;
    precision.reproducibility_limit = limit * precision.reproducibility_sd;
    return precision;
}
