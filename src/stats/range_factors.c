#include "stats/normal_curve.h"
#include "stats/summary.h"

#include <stdbool.h>

#define FACTOR_N_MAX 1000
#define REACH 9.0            /* sd; the normal curve holds less than 1e-18 beyond */
#define STEP (1.0 / 8)       /* trapezoids over a smooth curve that dies at both ends: exact to rounding */
#define LOG_RANGE_LOW (-20.0)  /* ln of ranges too small to count ... */
#define LOG_RANGE_HIGH 3.0   /* ... and too large to occur */

static bool factor_has_n(size_t n)
{
    return n >= 2 && n <= FACTOR_N_MAX;
}

double summary_range_mean_factor(size_t n)
{
    if (!factor_has_n(n))
        return NAN;
    double sum = 0, count = (double)n;
    for (double z = -REACH; z <= REACH; z += STEP) /* STEP is a power of 2: no drift */
        sum += -expm1(count * log1p(-normal_below(z))) - pow(normal_below(z), count);
    return sum * STEP;
}

/* Chance that the range of n normal values exceeds r. */
static double range_tail(double r, double count)
{
    double sum = 0;
    for (double z = -REACH - r; z <= REACH; z += STEP)
        sum += normal_density(z) * pow(normal_between(z, z + r), count - 1);
    return 1 - count * sum * STEP;
}

double summary_range_sd_factor(size_t n)
{
    if (!factor_has_n(n))
        return NAN;
    double count = (double)n, sum = 0;
    for (double u = LOG_RANGE_LOW; u <= LOG_RANGE_HIGH; u += STEP) { /* mean square = integral of 2 r P(range > r) dr, r = e^u */
        double r = exp(u);
        sum += 2 * r * r * range_tail(r, count);
    }
    double mean = summary_range_mean_factor(n), mean_square = sum * STEP;
    return sqrt(mean_square - mean * mean);
}

double summary_sd_mean_factor(size_t n)
{
    if (!factor_has_n(n))
        return NAN;
    double count = (double)n;
    return sqrt(2 / (count - 1)) * exp(lgamma(count / 2) - lgamma((count - 1) / 2));
}
