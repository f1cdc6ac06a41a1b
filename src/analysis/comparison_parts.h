#ifndef ANALYSIS_SRC_COMPARISON_PARTS_H
#define ANALYSIS_SRC_COMPARISON_PARTS_H

#include "analysis/comparison.h"

/* Batch means of one property of the mixes that are compared. Release with batch_means_release(). */
struct batch_means {
    size_t n, n_groups;
    double *value;       /* n */
    uint32_t *group;     /* n: 0 .. n_groups-1 */
    uint32_t *mix_of;    /* n_groups: set indices, rising */
    struct summary *summary; /* n_groups: of the batch means */
};
enum status batch_means_take(const struct specimen_set *set, const struct comparison_question *question,
                             const bool *shown, enum property property, struct batch_means *means, struct problem *problem);
void batch_means_release(struct batch_means *means);

/* The same as logarithms; all values must be above zero. STATUS_MEMORY. */
enum status batch_means_logarithms(const struct batch_means *means, struct batch_means *logs);

/*
 * Below this chance the scatter of the mixes is held to differ, and the slopes
 * of the aggregates likewise. Bartlett's test, which a single odd batch can
 * upset, has to be surer.
 */
#define COMPARISON_DOUBT 0.05
#define COMPARISON_DOUBT_BARTLETT 0.01

/*
 * Tests whether the mixes scatter alike and settles methods, log_scale and
 * reason. logs is filled when log_scale is set. possible is false when nothing
 * can be compared. STATUS_MEMORY.
 */
enum status comparison_choose_method(const struct batch_means *means, struct batch_means *logs,
                                     struct property_comparison *result, bool *possible);

/* The three parts; STATUS_MEMORY, STATUS_INPUT. What cannot be had is said inside. */
enum status compare_property(const struct specimen_set *set, const struct comparison_question *question,
                             struct mix_comparison *answer, enum property property, struct problem *problem);
enum status compare_lines(const struct specimen_set *set, const struct comparison_question *question,
                          struct mix_comparison *answer, enum property property, struct problem *problem);
enum status compare_at_target(const struct specimen_set *set, const struct comparison_question *question,
                              const struct mix_comparison *answer, const struct comparison_target *target,
                              struct target_comparison *result, struct problem *problem);

#endif
