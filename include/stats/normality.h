#ifndef STATS_NORMALITY_H
#define STATS_NORMALITY_H

#include "base/status.h"

#include <stddef.h>

struct normality { double w, p; };

/*
 * Shapiro-Wilk test. values in any order, 3 to 5000 of them.
 * STATUS_TOO_FEW  n < 3
 * STATUS_NUMERIC  n > 5000, no scatter, or a value is not finite
 * STATUS_MEMORY
 * Source: P. Royston, Applied Statistics 44 (1995) 547-551 (algorithm AS R94); docs/methods/normality.md
 */
enum status normality_shapiro_wilk(const double *values, size_t n, struct normality *result);

#endif
