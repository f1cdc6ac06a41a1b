#ifndef STATS_MIXED_POOL_H
#define STATS_MIXED_POOL_H

#include "stats/mixed.h"

/*
 * Whether there are no rows, or batches share their design rows and are many, so that one look at the rows, and few cells, serve
 * every design. Where data->pool is NULL the caller lends one for the time.
 */
bool mixed_pool_wanted(const struct mixed_data *data);

/*
 * Walks over the rows unless that was done already; of batches that were put in, finds the cells.
 * STATUS_NUMERIC  a response is not finite or a batch is not there; which, is for the caller to say. Or there are no rows, and the
 *                 batches that were put in are none, or were pooled for another batch_design
 * STATUS_MEMORY
 */
enum status mixed_pool_make(const struct mixed_data *data, struct mixed_pool *pool);

#endif
