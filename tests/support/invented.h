#ifndef TESTS_SUPPORT_INVENTED_H
#define TESTS_SUPPORT_INVENTED_H

#include "analysis/sample.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/*
 * A specimen set made in memory, row by row, with no file behind it. Names are
 * borrowed; aggregates, mixes and batches are entered when first met. A batch
 * NULL stands for a row without one.
 */
#define INVENTED_ROWS 6000
#define INVENTED_NAMES 200
#define INVENTED_NAME ((uint32_t)1 << 31) /* a batch is called by its number in the set, whatever name it was entered by */

struct invented {
    struct specimen_set set;
    uint32_t batch[INVENTED_ROWS];
    uint16_t flags[INVENTED_ROWS];
    uint8_t moisture[INVENTED_ROWS];
    double age_days[INVENTED_ROWS], value[PROPERTY_COUNT][INVENTED_ROWS];
    struct set_mix mixes[INVENTED_NAMES];
    struct set_batch batches[INVENTED_ROWS];
    const char *batch_names[INVENTED_ROWS];
    char *aggregates[INVENTED_NAMES];
};

static inline struct invented *invented_new(void)
{
    struct invented *study = calloc(1, sizeof *study);
    if (!study)
        abort();
    study->set = (struct specimen_set){
        .batch = study->batch, .flags = study->flags, .moisture = study->moisture,
        .mixes = study->mixes, .batches = study->batches, .aggregates = study->aggregates,
        .has_aggregate_column = true,
    };
    return study;
}

static inline uint32_t invented_aggregate(struct invented *study, const char *name)
{
    struct specimen_set *set = &study->set;
    for (uint32_t i = 0; i < set->n_aggregates; i++)
        if (strcmp(set->aggregates[i], name) == 0)
            return i;
    set->aggregates[set->n_aggregates] = (char *)(uintptr_t)name;
    return (uint32_t)set->n_aggregates++;
}

static inline uint32_t invented_mix(struct invented *study, const char *name, const char *aggregate, double fraction)
{
    struct specimen_set *set = &study->set;
    for (uint32_t i = 0; i < set->n_mixes; i++)
        if (strcmp(set->mixes[i].name, name) == 0)
            return i;
    set->mixes[set->n_mixes] = (struct set_mix){ name, invented_aggregate(study, aggregate), fraction, 0, 0 };
    set->has_fraction = set->has_fraction || !isnan(fraction);
    return (uint32_t)set->n_mixes++;
}

static inline uint32_t invented_batch(struct invented *study, uint32_t mix, const char *name)
{
    struct specimen_set *set = &study->set;
    for (uint32_t i = 0; name && i < set->n_batches; i++)
        if (set->batches[i].mix == mix && study->batch_names[i] && strcmp(study->batch_names[i], name) == 0)
            return i;
    study->batch_names[set->n_batches] = name;
    set->batches[set->n_batches] = (struct set_batch){ name ? INVENTED_NAME | (uint32_t)set->n_batches : 0, mix, INT32_MIN };
    set->has_batch_column = set->has_batch_column || name;
    return (uint32_t)set->n_batches++;
}

struct invented_row {
    const char *mix, *aggregate, *batch;
    double fraction, age_days;
    enum moisture moisture;
};

/* Returns the row's index; give its results with invented_value(). */
static inline size_t invented_add(struct invented *study, const struct invented_row *row)
{
    struct specimen_set *set = &study->set;
    if (set->n == INVENTED_ROWS)
        abort();
    size_t i = set->n++;
    study->batch[i] = invented_batch(study, invented_mix(study, row->mix, row->aggregate, row->fraction), row->batch);
    study->flags[i] = row->batch ? 0 : FLAG_NO_BATCH;
    study->moisture[i] = (uint8_t)row->moisture;
    study->age_days[i] = row->age_days;
    if (!isnan(row->age_days))
        set->age_days = study->age_days;
    for (size_t p = 0; p < PROPERTY_COUNT; p++)
        study->value[p][i] = NAN;
    return i;
}

static inline void invented_value(struct invented *study, size_t i, enum property property, double value)
{
    study->value[property][i] = value;
    study->set.value[property] = study->value[property];
}

#endif
