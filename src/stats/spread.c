#include "stats/spread.h"

#include "base/memory.h"
#include "stats/distribution.h"
#include "stats/summary.h"

#include <math.h>

/* Values gathered by group: group g holds value[start[g]] .. value[start[g+1]-1]. */
struct by_group { double *value; size_t *start; };

static void by_group_release(struct by_group *sorted)
{
    memory_free(sorted->value);
    memory_free(sorted->start);
}

static enum status by_group_make(const struct grouped_data *data, struct by_group *sorted, struct problem *problem)
{
    *sorted = (struct by_group){ NULL, NULL };
    if (data->n_values == 0)
        return problem_set(problem, STATUS_TOO_FEW, NULL, "there are no results to compare");
    for (size_t i = 0; i < data->n_values; i++)
        if (!isfinite(data->values[i]) || data->group[i] >= data->n_groups)
            return problem_set(problem, STATUS_NUMERIC, NULL, "a value is not a finite number or belongs to no group");
    sorted->value = memory_new(data->n_values, sizeof *sorted->value);
    sorted->start = memory_new(data->n_groups + 2, sizeof *sorted->start);
    if (!sorted->value || !sorted->start)
        return problem_set(problem, STATUS_MEMORY, NULL, "no memory left to gather results by group");
    for (size_t i = 0; i < data->n_values; i++)
        sorted->start[data->group[i] + 2]++;
    for (size_t g = 2; g < data->n_groups + 2; g++)
        sorted->start[g] += sorted->start[g - 1];
    for (size_t i = 0; i < data->n_values; i++)
        sorted->value[sorted->start[data->group[i] + 1]++] = data->values[i];
    return STATUS_OK;
}

/* ---- Levene, Brown and Forsythe ---- */

static void set_distances(const struct grouped_data *data, const struct by_group *sorted, enum spread_centre centre,
                          double *centres, double *distances)
{
    for (size_t g = 0; g < data->n_groups; g++) {
        double *values = sorted->value + sorted->start[g];
        size_t n = sorted->start[g + 1] - sorted->start[g];
        summary_sort(values, n);
        centres[g] = centre == SPREAD_MEDIAN ? summary_quantile(values, n, 0.5) : summary_of(values, n).mean;
    }
    for (size_t i = 0; i < data->n_values; i++)
        distances[i] = fabs(data->values[i] - centres[data->group[i]]);
}

static enum status test_distances(const struct grouped_data *data, const double *distances, struct spread_test *result,
                                  struct problem *problem)
{
    struct grouped_data moved = { distances, data->group, data->n_values, data->n_groups };
    struct anova table;
    enum status status = anova_one_way(&moved, &table, problem);
    if (status == STATUS_NUMERIC)
        return problem_set(problem, status, NULL, "the groups scatter by exactly the same, so scatter cannot be compared");
    if (status == STATUS_OK)
        *result = (struct spread_test){ table.f, table.df_between, table.df_within, table.p };
    return status;
}

enum status spread_levene(const struct grouped_data *data, enum spread_centre centre, struct spread_test *result,
                          struct problem *problem)
{
    *result = (struct spread_test){ NAN, NAN, NAN, NAN };
    struct by_group sorted;
    enum status status = by_group_make(data, &sorted, problem);
    if (status == STATUS_OK) {
        double *centres = memory_new(data->n_groups, sizeof *centres);
        double *distances = memory_new(data->n_values, sizeof *distances);
        if (centres && distances) {
            set_distances(data, &sorted, centre, centres, distances);
            status = test_distances(data, distances, result, problem);
        } else
            status = problem_set(problem, STATUS_MEMORY, NULL, "no memory left for distances from the centre");
        memory_free(centres);
        memory_free(distances);
    }
    by_group_release(&sorted);
    return status;
}

/* ---- Bartlett ---- */

struct bartlett_sums { double n_groups, df, weighted_variance, weighted_log, reciprocals; };

static enum status add_groups(const struct grouped_data *data, const struct by_group *sorted,
                              struct bartlett_sums *sums, struct problem *problem)
{
    for (size_t g = 0; g < data->n_groups; g++) {
        struct summary summary = summary_of(sorted->value + sorted->start[g], sorted->start[g + 1] - sorted->start[g]);
        if (summary.n < 2)
            continue;
        if (!(summary.variance > 0))
            return problem_set(problem, STATUS_NUMERIC, NULL, "a group has no scatter, so its logarithm cannot be taken");
        double df = (double)summary.n - 1;
        sums->n_groups++;
        sums->df += df;
        sums->weighted_variance += df * summary.variance;
        sums->weighted_log += df * log(summary.variance);
        sums->reciprocals += 1 / df;
    }
    if (sums->n_groups < 2)
        return problem_set(problem, STATUS_TOO_FEW, NULL, "comparing scatter needs 2 groups with at least 2 results each");
    return STATUS_OK;
}

enum status spread_bartlett(const struct grouped_data *data, struct spread_test *result, struct problem *problem)
{
    *result = (struct spread_test){ NAN, NAN, NAN, NAN };
    struct by_group sorted;
    struct bartlett_sums sums = { 0, 0, 0, 0, 0 };
    enum status status = by_group_make(data, &sorted, problem);
    if (status == STATUS_OK)
        status = add_groups(data, &sorted, &sums, problem);
    by_group_release(&sorted);
    if (status != STATUS_OK)
        return status;
    double statistic = sums.df * log(sums.weighted_variance / sums.df) - sums.weighted_log;
    double correction = 1 + (sums.reciprocals - 1 / sums.df) / (3 * (sums.n_groups - 1));
    result->statistic = fmax(0, statistic / correction);
    result->df1 = sums.n_groups - 1;
    result->p = chi_square_tail(result->statistic, result->df1);
    return STATUS_OK;
}
