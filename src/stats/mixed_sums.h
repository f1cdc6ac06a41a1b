#ifndef STATS_MIXED_SUMS_H
#define STATS_MIXED_SUMS_H

#include "stats/mixed.h"

/* More terms than any recipe study has; bounds the work space on the stack. */
enum { MIXED_TERMS_MAX = 256 };

/* Batch means that share one sum of weights, squeezed to at most `width` rows by QR: the rows have their products, whatever their number. */
struct mean_block {
    double weight;    /* sum of the weights in each of these batches */
    double n_batches;
    size_t first_row, n_rows;
    bool squeezed;
};

/*
 * All that a random-batch fit needs to know of the rows, in columns that are
 * centred (when there is a constant term) and scaled: n_terms columns of the
 * design, then the response. For every variance ratio
 *   |y - Xb|^2 in the metric of the model = |within [b; -1]|^2 + sum over means of c |mean row [b; -1]|^2,
 * c = W / (1 + ratio W). So one look at the rows serves every ratio.
 */
struct mixed_sums {
    size_t n_terms, width;      /* width = n_terms + 1 */
    size_t n_rows, n_batches;   /* batches that have rows */
    bool has_batches;           /* false: all rows stand in one pseudo-batch, to be read at ratio 0 only */
    size_t constant;            /* index of the constant term, n_terms without one */
    double *centre, *scale;     /* width: column = centre + scale * stored; the constant term has centre 0 */
    double *column_sums;        /* width: weighted sums of the stored columns */
    double *within;             /* width^2 triangle of the deviations from batch means */
    struct mean_block *blocks;
    size_t n_blocks;
    double *mean_rows;          /* rows of `width` values, all blocks */
    size_t n_mean_rows;
    double total_weight, log_weights; /* sums of w and of ln w */
};

/* Checks the data and sums it up. Release in any case. */
enum status mixed_sums_build(const struct mixed_data *data, bool use_batches, struct mixed_sums *sums,
                             struct problem *problem);
void mixed_sums_release(struct mixed_sums *sums);

/* Name of a term for messages. */
const char *mixed_term_name(const struct mixed_data *data, size_t term, char *scratch, size_t size);

#endif
