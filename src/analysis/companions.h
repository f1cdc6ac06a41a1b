#ifndef ANALYSIS_SRC_COMPANIONS_H
#define ANALYSIS_SRC_COMPANIONS_H

#include "specimen/specimen_set.h"

/* Rows of one mix that may be compared with each other: one age, one moisture state, one shape and loading; batch by batch. Borrows. */
struct companion_group {
    const uint32_t *row, *batch;
    size_t n_rows;
};

/* All groups of one mix. */
struct companion_mix {
    uint32_t mix;
    const struct companion_group *groups;
    size_t n_groups;
    size_t most_rows; /* in any group */
};

/* Called for each mix in set order. */
typedef enum status companion_visit(const struct companion_mix *mix, void *context);

/* Walks the mixes of a set; ages within half a day are one. STATUS_MEMORY, or what visit returns first. */
enum status companions_walk(const struct specimen_set *set, companion_visit *visit, void *context);

/* Rows of a set listed by mix, for walks over some of its mixes. Borrows the set; release with companions_release(). */
struct companions {
    const struct specimen_set *set;
    uint32_t *stretch;            /* by mix: the first row of each stretch of rows of one batch */
    size_t *first_stretch;        /* n_mixes + 1: where a mix begins there */
    size_t *first_row;            /* n_mixes + 1: how many rows all mixes before it have */
    size_t most;                  /* rows of the largest mix */
};
/* False when memory is out; release it all the same. */
bool companions_make(const struct specimen_set *set, struct companions *companions);
void companions_release(struct companions *companions);

/* Walks the mixes from..to-1. Several threads may, each over its own. */
enum status companions_walk_some(const struct companions *companions, uint32_t from, uint32_t to, companion_visit *visit, void *context);

/*
 * Results of one property in a group, those without left out; batch k holds
 * value[start[k]] to value[start[k + 1] - 1]. The arrays are the caller's:
 * most_rows each, start one more.
 */
struct companion_values {
    double *value;
    uint32_t *row;
    uint32_t *start;
    size_t n, n_batches;
};
void companion_values_take(const struct specimen_set *set, const struct companion_group *group,
                           enum property property, struct companion_values *values);

/*
 * Asks the processor for what row[i] of n has a little further on: rows of a mix lie apart, and the columns of a long file in slow
 * memory. Walks over one mix after the other took half as long again without.
 */
#define COMPANIONS_AHEAD 24
#define COMPANION_EXPECT(column, row, i, n) \
    ((i) + COMPANIONS_AHEAD < (n) ? __builtin_prefetch(&(column)[(row)[(i) + COMPANIONS_AHEAD]]) : (void)0)

#endif
