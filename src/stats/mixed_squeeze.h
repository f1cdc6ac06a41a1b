#ifndef STATS_MIXED_SQUEEZE_H
#define STATS_MIXED_SQUEEZE_H

#include "stats/mixed_sums.h"

/*
 * A mean as a row of numbers: the sum of weights in its batch, how many such batches it is of, the sum of squares of their
 * responses about it, then `width` means. A batch without rows has a weight of 0.
 */
enum { OF_WEIGHT, OF_COUNT, OF_SQUARES, OF_MEANS };

/*
 * Fills blocks, mean_rows and n_batches of sums from n_means standardised means of OF_MEANS + width numbers.
 * block: work space, width columns of TRIANGLE_BLOCK. False when no memory is left.
 */
bool mixed_squeeze(struct mixed_sums *sums, const double *means, size_t n_means, double *block);

#endif
