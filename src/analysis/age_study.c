#include "analysis/age_study.h"

#include "base/memory.h"

#include <math.h>

#define SAME_AGE_DAYS 0.5

/* Enters an age in rising order unless it is there; of too many the oldest is dropped. */
static void enter_age(double ages[AGES_MAX + 1], size_t *n_ages, double age)
{
    size_t at = *n_ages;
    for (size_t i = 0; i < *n_ages; i++)
        if (fabs(ages[i] - age) <= SAME_AGE_DAYS)
            return;
    for (; at > 0 && ages[at - 1] > age; at--)
        ages[at] = ages[at - 1];
    ages[at] = age;
    *n_ages += *n_ages < AGES_MAX ? 1 : 0;
}

static size_t list_ages(const struct specimen_set *set, enum property property, double ages[AGES_MAX + 1])
{
    size_t n_ages = 0;
    for (size_t i = 0; set->age_days && i < set->n; i++)
        if (set->age_days[i] > 0 && set->value[property][i] > 0)
            enter_age(ages, &n_ages, set->age_days[i]);
    return n_ages;
}

/* Room for every age and batch of each mix, by mix. */
static enum status make_room(const struct specimen_set *set, size_t n_ages, struct age_study *study)
{
    study->items = memory_new(set->n_mixes, sizeof *study->items);
    if (!study->items)
        return STATUS_MEMORY;
    for (uint32_t mix = 0; mix < set->n_mixes; mix++) {
        struct age_series *series = &study->items[study->n_items++];
        const size_t most = n_ages * set->mixes[mix].n_batches;
        series->mix = mix;
        series->means = memory_new(n_ages, sizeof *series->means);
        series->ages = memory_new(most, sizeof *series->ages);
        series->values = memory_new(most, sizeof *series->values);
        if (!series->means || !series->ages || !series->values)
            return STATUS_MEMORY;
    }
    return STATUS_OK;
}

/* The batch means of one age go to their mixes. */
static enum status enter_results(const struct sample *sample, double age, struct age_study *study)
{
    double *sums = memory_new(sample->n_batches, sizeof *sums);
    size_t *counts = memory_new(sample->n_batches, sizeof *counts);
    uint32_t *mixes = memory_new(sample->n_batches, sizeof *mixes);
    bool enough = sums && counts && mixes;
    for (size_t i = 0; enough && i < sample->n; i++) {
        sums[sample->batch[i]] += sample->y[i];
        counts[sample->batch[i]]++;
        mixes[sample->batch[i]] = sample->mix_of[sample->mix[i]];
    }
    for (size_t j = 0; enough && j < sample->n_batches; j++) {
        struct age_series *series = &study->items[mixes[j]];
        if (series->n_means == 0 || series->means[series->n_means - 1].age_days != age)
            series->means[series->n_means++] = (struct age_mean){ .age_days = age };
        struct age_mean *mean = &series->means[series->n_means - 1];
        const double value = sums[j] / (double)counts[j];
        mean->n_specimens += counts[j];
        mean->n_batches++;
        mean->mean += (value - mean->mean) / (double)mean->n_batches;
        series->ages[series->n_values] = age;
        series->values[series->n_values++] = value;
    }
    memory_free(sums);
    memory_free(counts);
    memory_free(mixes);
    return enough ? STATUS_OK : STATUS_MEMORY;
}

static enum status gather(const struct specimen_set *set, const struct selection *selection, const double *ages, size_t n_ages,
                          struct age_study *study)
{
    enum status status = STATUS_OK;
    for (size_t i = 0; status == STATUS_OK && i < n_ages; i++) {
        struct selection at_age = *selection;
        struct sample sample = { 0 };
        struct problem none_there;
        at_age.age_days = ages[i];
        enum status taken = sample_take(set, &at_age, SAMPLE_ALL, SAMPLE_ALL, study->property, SAMPLE_PREDICTOR_NONE, &sample, &none_there);
        if (taken == STATUS_OK)
            status = enter_results(&sample, ages[i], study);
        else if (taken == STATUS_MEMORY)
            status = taken;
        sample_release(&sample);
    }
    return status;
}

static void series_release(struct age_series *series)
{
    memory_free(series->means);
    memory_free(series->ages);
    memory_free(series->values);
}

/* Keeps what was tested at two ages or more. */
static void keep_series(struct age_study *study)
{
    size_t kept = 0;
    for (size_t i = 0; i < study->n_items; i++) {
        if (study->items[i].n_means < 2)
            series_release(&study->items[i]);
        else
            study->items[kept++] = study->items[i];
    }
    study->n_items = kept;
}

enum status age_study_make(const struct specimen_set *set, const struct selection *selection, enum property property,
                           struct age_study *study, struct problem *problem)
{
    double ages[AGES_MAX + 1];
    *study = (struct age_study){ .property = property };
    if (property >= PROPERTY_COUNT || !set->value[property])
        return STATUS_OK;
    const size_t n_ages = list_ages(set, property, ages);
    if (n_ages < 2)
        return STATUS_OK;
    enum status status = make_room(set, n_ages, study);
    if (status == STATUS_OK)
        status = gather(set, selection, ages, n_ages, study);
    if (status == STATUS_OK) {
        keep_series(study);
        return status;
    }
    age_study_release(study);
    return problem_set(problem, status, NULL, "no memory left to follow the strength with age");
}

void age_study_release(struct age_study *study)
{
    for (size_t i = 0; i < study->n_items; i++)
        series_release(&study->items[i]);
    memory_free(study->items);
    *study = (struct age_study){ 0 };
}
