#include "analysis/comparison_parts.h"

#include "base/memory.h"
#include "stats/anova.h"

#include <math.h>
#include <stdio.h>

const char *comparison_method_word(enum comparison_method method)
{
    static const char *const words[] = {
        [COMPARISON_NONE] = "none", [COMPARISON_TUKEY_KRAMER] = "Tukey-Kramer", [COMPARISON_GAMES_HOWELL] = "Games-Howell",
        [COMPARISON_DUNNETT] = "Dunnett", [COMPARISON_WELCH] = "Welch with Bonferroni",
    };
    return words[method];
}

static enum status test_means(const struct batch_means *means, struct property_comparison *result)
{
    const struct grouped_data data = { means->value, means->group, means->n, means->n_groups };
    struct anova table;
    struct problem problem;
    result->equal_means_f = result->equal_means_df1 = result->equal_means_df2 = result->equal_means_p = NAN;
    enum status status = anova_one_way(&data, &table, &problem);
    if (status != STATUS_OK)
        return status == STATUS_MEMORY ? status : STATUS_OK;
    result->equal_means_f = table.f;
    result->equal_means_df1 = table.df_between;
    result->equal_means_df2 = table.df_within;
    result->equal_means_p = table.p;
    return STATUS_OK;
}

static enum status make_pairs(const struct batch_means *means, double confidence, struct property_comparison *result)
{
    const bool apart = result->pairs_method == COMPARISON_GAMES_HOWELL;
    if (means->n_groups > COMPARISON_MIXES_MAX)
        return STATUS_OK;
    result->pairs = memory_new(compare_pair_count(means->n_groups), sizeof *result->pairs);
    if (!result->pairs)
        return STATUS_MEMORY;
    enum status status = apart ? compare_games_howell(means->summary, means->n_groups, confidence, result->pairs)
                               : compare_tukey_kramer(means->summary, means->n_groups, confidence, result->pairs);
    result->n_pairs = status == STATUS_OK ? compare_pair_count(means->n_groups) : 0;
    return status;
}

/* Bonferroni: k differences each at confidence 1 - (1 - c) / k are sure together at c. */
static enum status welch_against(const struct batch_means *means, size_t control, double confidence,
                                 struct comparison *results)
{
    const double k = (double)(means->n_groups - 1);
    size_t n = 0;
    for (size_t group = 0; group < means->n_groups; group++) {
        if (group == control)
            continue;
        enum status status = compare_welch(&means->summary[group], &means->summary[control], COMPARE_TWO_SIDED,
                                           1 - (1 - confidence) / k, &results[n]);
        if (status != STATUS_OK)
            return status;
        results[n].a = group;
        results[n].b = control;
        results[n].p = fmin(1, k * results[n].p);
        n++;
    }
    return STATUS_OK;
}

static size_t group_of(const struct batch_means *means, uint32_t mix)
{
    for (size_t group = 0; group < means->n_groups; group++)
        if (means->mix_of[group] == mix)
            return group;
    return means->n_groups;
}

static enum status make_against(const struct batch_means *means, uint32_t reference, double confidence,
                                struct property_comparison *result)
{
    const size_t control = group_of(means, reference);
    if (control == means->n_groups)
        return STATUS_OK;
    result->against = memory_new(means->n_groups, sizeof *result->against);
    if (!result->against)
        return STATUS_MEMORY;
    enum status status = result->against_method == COMPARISON_WELCH
        ? welch_against(means, control, confidence, result->against)
        : compare_dunnett(means->summary, means->n_groups, control, COMPARE_TWO_SIDED, confidence, result->against);
    result->n_against = status == STATUS_OK ? means->n_groups - 1 : 0;
    return status;
}

/* Limits of ln a - ln b become limits of a - b: a - b = 2 sqrt(ab) sinh((ln a - ln b) / 2). */
static void turn_to_units(const struct batch_means *logs, const struct batch_means *means, struct comparison *comparison)
{
    const size_t a = comparison->a, b = comparison->b;
    const double scale = 2 * exp((logs->summary[a].mean + logs->summary[b].mean) / 2);
    comparison->lower = scale * sinh(comparison->lower / 2);
    comparison->upper = scale * sinh(comparison->upper / 2);
    comparison->difference = means->summary[a].mean - means->summary[b].mean;
}

static void name_mixes(const struct batch_means *judged, const struct batch_means *means, struct comparison *comparisons, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (judged != means)
            turn_to_units(judged, means, &comparisons[i]);
        comparisons[i].a = means->mix_of[comparisons[i].a];
        comparisons[i].b = means->mix_of[comparisons[i].b];
    }
}

static enum status make_families(const struct batch_means *judged, const struct batch_means *means,
                                 const struct mix_comparison *answer, struct property_comparison *result)
{
    enum status status = make_pairs(judged, answer->confidence, result);
    if (status == STATUS_OK)
        status = make_against(judged, answer->reference, answer->confidence, result);
    if (status == STATUS_MEMORY)
        return status;
    result->available = status == STATUS_OK;
    if (status != STATUS_OK)
        snprintf(result->reason, sizeof result->reason, "%s", status_text(status));
    name_mixes(judged, means, result->pairs, result->n_pairs);
    name_mixes(judged, means, result->against, result->n_against);
    return STATUS_OK;
}

static enum status judge(const struct batch_means *means, const struct mix_comparison *answer, struct property_comparison *result)
{
    struct batch_means logs = { 0 };
    bool possible = false;
    result->n_mixes = means->n_groups;
    result->n_batches = means->n;
    enum status status = test_means(means, result);
    if (status == STATUS_OK)
        status = comparison_choose_method(means, &logs, result, &possible);
    if (status == STATUS_OK && possible)
        status = make_families(result->log_scale ? &logs : means, means, answer, result);
    batch_means_release(&logs);
    return status;
}

enum status compare_property(const struct specimen_set *set, const struct comparison_question *question,
                             struct mix_comparison *answer, enum property property, struct problem *problem)
{
    struct property_comparison *result = &answer->property[property];
    struct batch_means means;
    result->property = property;
    enum status status = batch_means_take(set, question, answer->shown, property, &means, problem);
    if (status == STATUS_OK) {
        status = judge(&means, answer, result);
        if (status == STATUS_MEMORY)
            problem_set(problem, status, NULL, "no memory left to compare %zu mixes", means.n_groups);
    }
    batch_means_release(&means);
    return status;
}
