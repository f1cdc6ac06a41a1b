#ifndef STATS_MIXED_WALK_H
#define STATS_MIXED_WALK_H

#include "stats/mixed.h"

/* Walks over the rows unless that was done already. The rows have been checked. STATUS_MEMORY */
enum status mixed_walk_make(const struct mixed_data *data, double shift, struct mixed_walk *walk);

#endif
