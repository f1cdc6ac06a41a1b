#ifndef ANALYSIS_SRC_AGE_POINTS_H
#define ANALYSIS_SRC_AGE_POINTS_H

#include "analysis/growth_study.h"

/* A result on its way to a point. */
struct age_row { uint32_t mix, batch; double age_days, value; };

/* Means by batch and age of one mix, ages rising within each batch. */
struct age_points {
    uint32_t mix;
    double *age_days, *value; /* n_points, borrowed from the table */
    uint32_t *batch;          /* likewise: set index */
    size_t *n_results;        /* likewise: behind each point */
    size_t n_points, n_specimens, n_batches, n_ages;
};

/* The points of all mixes with two ages or more. Release with age_table_release(). */
struct age_table {
    struct age_row *rows;
    double *age_days, *value;
    uint32_t *batch;
    size_t *n_results;
    struct age_points *mixes;
    size_t n_mixes, n_single; /* n_single: mixes left out, with one age only */
};

/*
 * Gathers the results of a property that tell an age above 0 and are of the
 * moisture state and kind of specimen that are meant: those of a settled
 * selection, else settled here over all ages. Empty when the set does not have the property. STATUS_MEMORY.
 */
enum status age_table_make(const struct specimen_set *set, const struct selection *selection, enum property property,
                           struct age_table *table, struct problem_list *problems);
void age_table_release(struct age_table *table);

#endif
