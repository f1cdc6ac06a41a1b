#ifndef ANALYSIS_PROPERTY_SUMS_H
#define ANALYSIS_PROPERTY_SUMS_H

#include "analysis/sample.h"

/* What the rows of a mix say of a property. */
struct property_mix {
    double squares, log_squares;  /* about the batch means */
    bool positive;                /* every result has a logarithm; log_mean and log_squares hold only then */
    bool no_batch;                /* no row of it has a batch */
};

/*
 * Batches laid mix by mix, and mixes aggregate by aggregate, so that those of a mix, or of the mixes of an aggregate that have a
 * fraction, lie side by side.
 */
struct batch_order {
    uint32_t *batch;                /* of the set */
    uint32_t *mix;                  /* number of its mix among those of its aggregate that lie here; not to be used where the mix has no fraction */
    uint32_t *first, *n;            /* set->n_mixes: where the batches of a mix begin, and how many they are */
};

/* The results of a property by the set's mixes and by its batches; mean NULL: not made. */
struct property_batches {
    double *mean, *log_mean;        /* of the rows of each batch, as it lies in the order */
    uint32_t *n;                    /* of these rows, never 0 */
    struct property_mix *mixes;
    struct batch_order own;         /* where some batches have no results; else they lie as those of the set */
};

/*
 * The results that a settled selection takes, summed up by batches in one walk
 * over the rows a property: all that the means and curves of a long file need.
 * Zero-initialise; release with property_sums_release().
 */
struct property_sums {
    const struct specimen_set *set;
    struct batch_order all;         /* of all batches of the set */
    uint32_t *place;                /* where a batch lies there; while they are summed up */
    uint32_t *zeros;                /* as many as the largest mix has batches: the mix of each in a sample of one mix */
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
 * sample->sums and, of an aggregate whose results are all positive, log_sums stand for them. They lean on the sums, which must be
 * kept as long as the sample. STATUS_MEMORY; STATUS_TOO_FEW
 * without results, with no text: sample_take() says why.
 */
enum status property_sums_sample(const struct property_sums *sums, enum property property, uint32_t aggregate, uint32_t mix,
                                 struct sample *sample, struct problem *problem);

#endif
