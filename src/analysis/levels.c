#include "analysis/levels.h"

#include "base/memory.h"
#include "stats/summary.h"

#include <math.h>
#include <string.h>

#define LEVEL_TOLERANCE 1e-9
#define FEW_LEVELS 32

static size_t keep_different(double *sorted, size_t n)
{
    size_t kept = 0;
    for (size_t i = 0; i < n; i++)
        if (kept == 0 || sorted[i] - sorted[kept - 1] > LEVEL_TOLERANCE * fmax(1, fabs(sorted[i])))
            sorted[kept++] = sorted[i];
    return kept;
}

/* Values without their repetitions, rising; out has room for n. Few are kept in order as they come, many are sorted. */
static size_t distinct_sorted(const double *x, size_t n, double *out)
{
    size_t kept = 0;
    for (size_t i = 0; i < n && kept <= FEW_LEVELS; i++) {
        size_t at = kept;
        while (at > 0 && out[at - 1] >= x[i])
            at--;
        if (at < kept && out[at] == x[i])
            continue;
        memmove(out + at + 1, out + at, (kept - at) * sizeof *out);
        out[at] = x[i];
        kept++;
    }
    if (kept <= FEW_LEVELS)
        return kept;
    memcpy(out, x, n * sizeof *x);
    summary_sort(out, n);
    return n;
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
    size_t n_distinct = distinct_sorted(x, n, levels->value);
    levels->n_levels = keep_different(levels->value, n_distinct);
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
