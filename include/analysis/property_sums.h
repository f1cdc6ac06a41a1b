#ifndef ANALYSIS_PROPERTY_SUMS_H
#define ANALYSIS_PROPERTY_SUMS_H

#include "analysis/sample.h"

/* What the rows of a mix say of a property. */
struct property_mix {
    double squares, log_squares;  /* about the batch means */
    bool positive;                /* every result has a logarithm; log_mean and log_squares hold only then */
    bool no_batch;                /* no row of it has a batch */
};

/* The results of a property by the set's mixes and, mix by mix, by its batches; mean NULL: not made. */
struct property_batches {
    double *mean, *log_mean;        /* of batches that have rows, n > 0 */
    uint32_t *n;
    struct property_mix *mixes;
};

/*
 * The results that a settled selection takes, summed up by batches in one walk
 * over the rows a property: all that the means and curves of a long file need.
 * Zero-initialise; release with property_sums_release().
 */
struct property_sums {
    const struct specimen_set *set;
    uint32_t *order;                /* set->n_batches: batches mix by mix, */
    uint32_t *place;                /* and where a batch stands there */
    uint32_t *first;                /* set->n_mixes + 1: where a mix begins there */
    struct property_batches of[PROPERTY_COUNT];
};

/* Whether there are so many batches that their sums are worth making. Fewer are fitted row by row. */
bool property_sums_worth(const struct specimen_set *set, const struct selection *selection);

/*
 * Sums of each property with results. None are made when it is not worth it, or of a property whose results are
 * of ages near the settled one, but not near one another: those are sample_take()'s to refuse. STATUS_MEMORY
 */
enum status property_sums_make(struct property_sums *sums, const struct specimen_set *set, const struct selection *selection,
                               struct problem *problem);
void property_sums_release(struct property_sums *sums);

/*
 * Sample of a property that was summed up: of one mix (mix, aggregate SAMPLE_ALL) or of the mixes of an
 * aggregate that have a fraction (aggregate, mix SAMPLE_ALL), without rows:
 * sample->sums and, of an aggregate whose results are all positive, log_sums stand for them. STATUS_MEMORY; STATUS_TOO_FEW
 * without results, with no text: sample_take() says why.
 */
enum status property_sums_sample(const struct property_sums *sums, enum property property, uint32_t aggregate, uint32_t mix,
                                 struct sample *sample, struct problem *problem);

#endif
