#ifndef ANALYSIS_SRC_LEVELS_H
#define ANALYSIS_SRC_LEVELS_H

#include "base/status.h"

#include <stddef.h>
#include <stdint.h>

/*
 * The different values among n numbers. Values that lie within 1e-9 of each
 * other are one (0.3 from a column, 3/10 from parts). Release with
 * levels_release().
 */
struct levels {
    size_t n_levels;
    double *value;   /* n_levels, rising */
    uint32_t *group; /* n: number of the level of each row */
};

/* STATUS_MEMORY */
enum status levels_find(const double *x, size_t n, struct levels *levels);
void levels_release(struct levels *levels);

#endif
