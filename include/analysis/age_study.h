#ifndef ANALYSIS_AGE_STUDY_H
#define ANALYSIS_AGE_STUDY_H

#include "analysis/sample.h"

/* One mix at one age. */
struct age_mean {
    double age_days, mean;      /* mean of the batch means, base unit */
    size_t n_specimens, n_batches;
};

/* A mix that was tested at two ages or more. */
struct age_series {
    uint32_t mix;
    struct age_mean *means;     /* n_means, youngest first */
    size_t n_means;
    double *ages, *values;      /* n_values batch means with their ages */
    size_t n_values;
};

/* A strength by mix and age, as measured; curves through it: growth_study.h. Release with age_study_release(). */
struct age_study {
    enum property property;
    struct age_series *items;   /* n_items, in set order */
    size_t n_items;
};

/*
 * The results of a property by mix and age: the points that growth_study.h
 * fits, of the moisture state and kind of specimen that the selection settled
 * on; ages within half a day are one. Empty when no mix was tested at two ages.
 * STATUS_MEMORY
 */
enum status age_study_make(const struct specimen_set *set, const struct selection *selection, enum property property,
                           struct age_study *study, struct problem *problem);
void age_study_release(struct age_study *study);

/* The mean of a mix at an age; NULL when it has none. */
const struct age_mean *age_series_at(const struct age_series *series, double age_days);

#endif
