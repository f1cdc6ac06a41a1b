#include "analysis/levels.h"

#include "base/memory.h"
#include "stats/summary.h"

#include <math.h>
#include <string.h>

#define LEVEL_TOLERANCE 1e-9

static size_t keep_different(double *sorted, size_t n)
{
    size_t kept = 0;
    for (size_t i = 0; i < n; i++)
        if (kept == 0 || sorted[i] - sorted[kept - 1] > LEVEL_TOLERANCE * fmax(1, fabs(sorted[i])))
            sorted[kept++] = sorted[i];
    return kept;
}

/* The last level at or below x: every x is at a level or a hair above it. */
static uint32_t level_of(const struct levels *levels, double x)
{
    size_t low = 0, high = levels->n_levels;
    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;
        if (levels->value[middle] <= x)
            low = middle;
        else
            high = middle;
    }
    return (uint32_t)low;
}

enum status levels_find(const double *x, size_t n, struct levels *levels)
{
    memset(levels, 0, sizeof *levels);
    levels->value = memory_new(n, sizeof *levels->value);
    levels->group = memory_new(n, sizeof *levels->group);
    if (!levels->value || !levels->group) {
        levels_release(levels);
        return STATUS_MEMORY;
    }
    if (n > 0)
        memcpy(levels->value, x, n * sizeof *x);
    summary_sort(levels->value, n);
    levels->n_levels = keep_different(levels->value, n);
    for (size_t i = 0; i < n; i++)
        levels->group[i] = level_of(levels, x[i]);
    return STATUS_OK;
}

void levels_release(struct levels *levels)
{
    memory_free(levels->value);
    memory_free(levels->group);
    memset(levels, 0, sizeof *levels);
}
