#ifndef ANALYSIS_TRIALS_H
#define ANALYSIS_TRIALS_H

#include "analysis/sample.h"

/*
 * Pass-or-fail trials of one mix (column `result`), with exact one-sided lower
 * bounds of the share that would pass. The bound by specimens holds when they
 * are independent; specimens of a batch share its luck, and the bound by
 * batches, which asks all of a batch to pass, holds in any case.
 */
struct mix_trials {
    uint32_t mix;                        /* set index */
    size_t n_specimens, n_passed;
    double at_least;                     /* 0 to 1, at the list's confidence */
    size_t n_batches, n_batches_passed;  /* 0 when a specimen's batch is not told */
    double batches_at_least;             /* NaN then */
};

/* Mixes with trials, in set order. Release with mix_trials_list_release(). */
struct mix_trials_list { struct mix_trials *items; size_t n_items; double confidence; };

/*
 * Trials of the aggregates that the selection names, whatever their age and
 * moisture. An empty list when there are none.
 * STATUS_MEMORY
 * Source: docs/methods/proportion.md
 */
enum status mix_trials_list_make(const struct specimen_set *set, const struct selection *selection, double confidence,
                                 struct mix_trials_list *list, struct problem *problem);
void mix_trials_list_release(struct mix_trials_list *list);

#endif
