#include "analysis/comparison_parts.h"

#include "base/memory.h"

#include <math.h>
#include <stdio.h>

/* Fewer batches tell nothing about a mix's own scatter: two lie equally far from their middle, whatever it is. */
#define LEAST_OWN_BATCHES 3

static const struct spread_test no_test = { NAN, NAN, NAN, NAN };

/* Groups of at least `least` batches that do not all agree, numbered anew. */
static struct grouped_data large_groups(const struct batch_means *means, size_t least, double *values, uint32_t *groups)
{
    struct grouped_data data = { values, groups, 0, 0 };
    for (uint32_t group = 0; group < means->n_groups; group++) {
        if (means->summary[group].n < least || !(means->summary[group].variance > 0))
            continue;
        for (size_t i = 0; i < means->n; i++)
            if (means->group[i] == group) {
                values[data.n_values] = means->value[i];
                groups[data.n_values++] = (uint32_t)data.n_groups;
            }
        data.n_groups++;
    }
    return data;
}

static enum status test_spread(const struct batch_means *means, struct spread_test *median, struct spread_test *bartlett)
{
    struct problem problem;
    double *values = memory_new(means->n, sizeof *values);
    uint32_t *groups = memory_new(means->n, sizeof *groups);
    enum status by_median = values && groups ? STATUS_OK : STATUS_MEMORY, by_bartlett = by_median;
    *median = *bartlett = no_test;
    if (by_median == STATUS_OK) {
        struct grouped_data data = large_groups(means, LEAST_OWN_BATCHES, values, groups);
        by_median = data.n_groups < 2 ? STATUS_TOO_FEW : spread_levene(&data, SPREAD_MEDIAN, median, &problem);
        data = large_groups(means, 2, values, groups);
        by_bartlett = data.n_groups < 2 ? STATUS_TOO_FEW : spread_bartlett(&data, bartlett, &problem);
    }
    if (by_median != STATUS_OK)
        *median = no_test;
    if (by_bartlett != STATUS_OK)
        *bartlett = no_test;
    memory_free(values);
    memory_free(groups);
    return by_median == STATUS_MEMORY || by_bartlett == STATUS_MEMORY ? STATUS_MEMORY : STATUS_OK;
}

static bool doubted(const struct spread_test *median, const struct spread_test *bartlett)
{
    return median->p < COMPARISON_DOUBT || bartlett->p < COMPARISON_DOUBT_BARTLETT;
}

/* Whether each mix can be judged by its own scatter. */
static bool each_has_scatter(const struct batch_means *means)
{
    for (size_t i = 0; i < means->n_groups; i++)
        if (means->summary[i].n < LEAST_OWN_BATCHES || !(means->summary[i].variance > 0))
            return false;
    return true;
}

static bool all_above_zero(const struct batch_means *means)
{
    for (size_t i = 0; i < means->n; i++)
        if (!(means->value[i] > 0))
            return false;
    return true;
}

/* False: says why nothing can be compared. */
static bool can_compare(const struct batch_means *means, struct property_comparison *result)
{
    const struct pooled_sd pooled = summary_pooled_sd(means->summary, means->n_groups);
    if (means->n_groups >= 2 && pooled.df > 0 && pooled.sd > 0)
        return true;
    snprintf(result->reason, sizeof result->reason, "%s",
             means->n_groups < 2    ? "fewer than two mixes have it"
             : !(pooled.df > 0)     ? "no mix has two batches, so nothing tells how batches differ: cast again"
                                    : "the batches of each mix agree to the last digit: there is no scatter to judge by");
    return false;
}

static void name_doubt(struct property_comparison *result, const char *consequence)
{
    const bool by_median = result->spread.p < COMPARISON_DOUBT;
    snprintf(result->reason, sizeof result->reason, "the mixes do not scatter alike (%s p = %.2g)%s",
             by_median ? "Brown-Forsythe" : "Bartlett", by_median ? result->spread.p : result->bartlett.p, consequence);
}

/* As logarithms, when they scatter alike there: the common case, scatter in proportion to the mean. */
static enum status try_logarithms(const struct batch_means *means, struct batch_means *logs, struct property_comparison *result)
{
    struct spread_test median, bartlett;
    if (!all_above_zero(means))
        return STATUS_OK;
    enum status status = batch_means_logarithms(means, logs);
    if (status == STATUS_OK)
        status = test_spread(logs, &median, &bartlett);
    result->log_scale = status == STATUS_OK && !doubted(&median, &bartlett);
    return status;
}

enum status comparison_choose_method(const struct batch_means *means, struct batch_means *logs,
                                     struct property_comparison *result, bool *possible)
{
    result->spread = result->bartlett = no_test;
    result->pairs_method = COMPARISON_TUKEY_KRAMER;
    result->against_method = COMPARISON_DUNNETT;
    *possible = can_compare(means, result);
    if (!*possible) {
        result->pairs_method = result->against_method = COMPARISON_NONE;
        return STATUS_OK;
    }
    enum status status = test_spread(means, &result->spread, &result->bartlett);
    if (status != STATUS_OK || !doubted(&result->spread, &result->bartlett))
        return status;
    status = try_logarithms(means, logs, result);
    if (result->log_scale) {
        name_doubt(result, " but do so in proportion to their means, so ratios are judged");
    } else if (each_has_scatter(means)) {
        result->pairs_method = COMPARISON_GAMES_HOWELL;
        result->against_method = COMPARISON_WELCH;
        name_doubt(result, ", so each is judged by its own scatter");
    } else {
        name_doubt(result, ", but not every mix has three batches, so one scatter is taken for all: mixes that scatter much look "
                           "surer than they are");
    }
    return status;
}
