#include "analysis/comparison_parts.h"

#include "base/memory.h"

#include <math.h>
#include <string.h>

void batch_means_release(struct batch_means *means)
{
    memory_free(means->value);
    memory_free(means->group);
    memory_free(means->mix_of);
    memory_free(means->summary);
    memset(means, 0, sizeof *means);
}

/* Mixes that are shown and have the property, numbered in set order. */
static uint32_t *number_mixes(const struct specimen_set *set, const struct sample *sample, const bool *shown,
                              struct batch_means *means)
{
    uint32_t *number = memory_new(set->n_mixes, sizeof *number);
    if (!number)
        return NULL;
    for (size_t m = 0; m < sample->n_mixes; m++)
        number[sample->mix_of[m]] = shown[sample->mix_of[m]] ? 1 : 0;
    for (uint32_t mix = 0; mix < set->n_mixes; mix++)
        if (number[mix]) {
            means->mix_of[means->n_groups++] = mix;
            number[mix] = (uint32_t)means->n_groups;
        }
    return number;
}

static bool sum_up(const struct specimen_set *set, const struct sample *sample, const bool *shown, struct batch_means *means)
{
    uint32_t *number = number_mixes(set, sample, shown, means);
    double *mean = memory_new(sample->n_batches, sizeof *mean), *count = memory_new(sample->n_batches, sizeof *count);
    const bool enough = number && mean && count;
    for (size_t i = 0; enough && i < sample->n; i++) {
        const uint32_t batch = sample->batch[i];
        count[batch]++;
        mean[batch] += (sample->y[i] - mean[batch]) / count[batch];
    }
    for (size_t k = 0; enough && k < sample->n_batches; k++) {
        const uint32_t mix = number[set->batches[sample->batch_of[k]].mix];
        if (mix == 0)
            continue;
        means->value[means->n] = mean[k];
        means->group[means->n++] = mix - 1;
    }
    memory_free(number);
    memory_free(mean);
    memory_free(count);
    return enough;
}

static bool summarise(struct batch_means *means)
{
    double *grouped = memory_new(means->n, sizeof *grouped);
    size_t *first = memory_new(means->n_groups + 2, sizeof *first);
    const bool enough = grouped && first;
    /* counted one place too high, so that placing a group's values leaves its start where it belongs */
    for (size_t i = 0; enough && i < means->n; i++)
        first[means->group[i] + 2]++;
    for (size_t group = 0; enough && group < means->n_groups; group++)
        first[group + 2] += first[group + 1];
    for (size_t i = 0; enough && i < means->n; i++)
        grouped[first[means->group[i] + 1]++] = means->value[i];
    for (size_t group = 0; enough && group < means->n_groups; group++)
        means->summary[group] = summary_of(grouped + first[group], first[group + 1] - first[group]);
    memory_free(grouped);
    memory_free(first);
    return enough;
}

static bool fill(const struct specimen_set *set, const struct sample *sample, const bool *shown, struct batch_means *means)
{
    means->value = memory_new(sample->n_batches, sizeof *means->value);
    means->group = memory_new(sample->n_batches, sizeof *means->group);
    means->mix_of = memory_new(sample->n_mixes, sizeof *means->mix_of);
    means->summary = memory_new(sample->n_mixes, sizeof *means->summary);
    return means->value && means->group && means->mix_of && means->summary && sum_up(set, sample, shown, means) && summarise(means);
}

enum status batch_means_take(const struct specimen_set *set, const struct comparison_question *question,
                             const bool *shown, enum property property, struct batch_means *means, struct problem *problem)
{
    struct selection everything = question->selection;
    struct sample sample;
    everything.n_aggregates = 0; /* the reference may be of an aggregate that was not named */
    memset(means, 0, sizeof *means);
    enum status status = sample_take(set, &everything, SAMPLE_ALL, SAMPLE_ALL, property, SAMPLE_PREDICTOR_NONE, &sample, problem);
    if (status == STATUS_TOO_FEW)
        return STATUS_OK;
    if (status != STATUS_OK)
        return status;
    if (!fill(set, &sample, shown, means)) {
        batch_means_release(means);
        status = problem_set(problem, STATUS_MEMORY, NULL, "no memory left for the means of %zu batches", sample.n_batches);
    }
    sample_release(&sample);
    return status;
}

enum status batch_means_logarithms(const struct batch_means *means, struct batch_means *logs)
{
    *logs = (struct batch_means){ .n = means->n, .n_groups = means->n_groups };
    logs->value = memory_new(means->n, sizeof *logs->value);
    logs->group = memory_new(means->n, sizeof *logs->group);
    logs->mix_of = memory_new(means->n_groups, sizeof *logs->mix_of);
    logs->summary = memory_new(means->n_groups, sizeof *logs->summary);
    const bool enough = logs->value && logs->group && logs->mix_of && logs->summary;
    for (size_t i = 0; enough && i < means->n; i++) {
        logs->value[i] = log(means->value[i]);
        logs->group[i] = means->group[i];
    }
    for (size_t group = 0; enough && group < means->n_groups; group++)
        logs->mix_of[group] = means->mix_of[group];
    if (enough && summarise(logs))
        return STATUS_OK;
    batch_means_release(logs);
    return STATUS_MEMORY;
}
