#include "analysis/age_study.h"

#include "analysis/age_points.h"
#include "analysis/states.h"
#include "base/memory.h"

#include <string.h>

const struct age_mean *age_series_at(const struct age_series *series, double age_days)
{
    for (size_t i = 0; i < series->n_means; i++)
        if (age_same(series->means[i].age_days, age_days))
            return &series->means[i];
    return NULL;
}

/* The mean of an age, entered in rising order when it is new. */
static struct age_mean *mean_of(struct age_series *series, double age_days)
{
    const struct age_mean *known = age_series_at(series, age_days);
    if (known)
        return &series->means[known - series->means];
    size_t at = series->n_means;
    for (; at > 0 && series->means[at - 1].age_days > age_days; at--)
        series->means[at] = series->means[at - 1];
    series->means[at] = (struct age_mean){ .age_days = age_days };
    series->n_means++;
    return &series->means[at];
}

static enum status make_series(const struct age_points *points, struct age_series *series)
{
    series->mix = points->mix;
    series->means = memory_new(points->n_points, sizeof *series->means);
    series->ages = memory_new(points->n_points, sizeof *series->ages);
    series->values = memory_new(points->n_points, sizeof *series->values);
    if (!series->means || !series->ages || !series->values)
        return STATUS_MEMORY;
    series->n_values = points->n_points;
    memcpy(series->ages, points->age_days, points->n_points * sizeof *series->ages);
    memcpy(series->values, points->value, points->n_points * sizeof *series->values);
    for (size_t i = 0; i < points->n_points; i++) {
        struct age_mean *mean = mean_of(series, points->age_days[i]);
        mean->n_specimens += points->n_results[i];
        mean->n_batches++;
        mean->mean += (points->value[i] - mean->mean) / (double)mean->n_batches;
    }
    return STATUS_OK;
}

enum status age_study_make(const struct specimen_set *set, const struct selection *selection, enum property property,
                           struct age_study *study, struct problem *problem)
{
    *study = (struct age_study){ .property = property };
    if (property >= PROPERTY_COUNT)
        return STATUS_OK;
    struct age_table table;
    struct problem_list unheard = { 0 }; /* what the selection takes is said where it is settled */
    enum status status = age_table_make(set, selection, property, &table, &unheard);
    problem_list_release(&unheard);
    if (status == STATUS_OK && table.n_mixes > 0) {
        study->items = memory_new(table.n_mixes, sizeof *study->items);
        status = study->items ? STATUS_OK : STATUS_MEMORY;
    }
    for (size_t i = 0; status == STATUS_OK && i < table.n_mixes; i++)
        status = make_series(&table.mixes[i], &study->items[study->n_items++]);
    age_table_release(&table);
    if (status == STATUS_OK)
        return status;
    age_study_release(study);
    return problem_set(problem, status, NULL, "no memory left to follow the strength with age");
}

void age_study_release(struct age_study *study)
{
    for (size_t i = 0; study->items && i < study->n_items; i++) {
        memory_free(study->items[i].means);
        memory_free(study->items[i].ages);
        memory_free(study->items[i].values);
    }
    memory_free(study->items);
    *study = (struct age_study){ 0 };
}
