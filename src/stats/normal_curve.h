#ifndef STATS_NORMAL_CURVE_H
#define STATS_NORMAL_CURVE_H

#include <math.h>

#define NORMAL_PI 3.14159265358979323846
#define NORMAL_ROOT_HALF 0.70710678118654752440  /* sqrt(1/2) */

/* The standard normal curve for use inside quadratures, where arguments are known to be finite. */
static inline double normal_density(double z)
{
    return exp(-0.5 * z * z) / sqrt(2 * NORMAL_PI);
}

static inline double normal_below(double z)
{
    return 0.5 * erfc(-z * NORMAL_ROOT_HALF);
}

static inline double normal_above(double z)
{
    return 0.5 * erfc(z * NORMAL_ROOT_HALF);
}

/* Chance of lying between low and high, without cancellation in either tail. */
static inline double normal_between(double low, double high)
{
    return low > 0 ? normal_above(low) - normal_above(high) : normal_below(high) - normal_below(low);
}

#endif
