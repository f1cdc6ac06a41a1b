#include "stats/distribution.h"

#include "stats/normal_curve.h"
#include "stats/root.h"
#include "stats/scale_average.h"

#include <float.h>
#include <math.h>
#include <stdbool.h>

/* What lies beyond does not show in a probability that is good to 1e-13. */
#define DEPTH_NEAR 36.0
#define DEVIATE_NEAR 8.0

/* T = (Z + noncentrality) / s exceeds t, or does not, when s is given. */
struct given { double t, noncentrality; bool above; };

static double chance_given_scale(double s, void *context)
{
    const struct given *given = context;
    double z = given->t * s - given->noncentrality;
    return given->above ? normal_above(z) : normal_below(z);
}

/* One tail of T whatever its size and the arguments, to full relative accuracy down to about 1e-290. */
static double one_tail(double t, double df, double noncentrality, bool above)
{
    struct given given = {t, noncentrality, above};
    if (isinf(df))
        return chance_given_scale(1, &given);
    double feature = noncentrality / t > 0 ? log(noncentrality / t) : NAN;
    double bend = fabs(noncentrality) + 1;
    double tail = scale_average(df, chance_given_scale, &given, feature, bend, SCALE_DEPTH);
    if (tail < 1e-12) /* made by scales far from 1 */
        tail = scale_average(df, chance_given_scale, &given, feature, bend, SCALE_DEPTH_FULL);
    return fmin(tail, 1);
}

double noncentral_t_probability(double t, double df, double noncentrality)
{
    if (isnan(t) || !(df > 0) || !isfinite(noncentrality))
        return NAN;
    if (isinf(t))
        return t > 0 ? 1 : 0;
    return one_tail(t, df, noncentrality, false);
}

/* Trapezoids from where the chance begins to show to where scales no longer do. */
double noncentral_t_probability_near(double t, double df, double noncentrality)
{
    struct given given = {t, noncentrality, false};
    double low, high, sum = 0;
    if (!isfinite(t) || !(df > 0) || isinf(df) || !isfinite(noncentrality))
        return noncentral_t_probability(t, df, noncentrality);
    scale_range(df, DEPTH_NEAR, &low, &high);
    double at_low = t * exp(low) - noncentrality, at_high = t * exp(high) - noncentrality;
    if (fmax(at_low, at_high) < -DEVIATE_NEAR)
        return 0;
    if (fmin(at_low, at_high) > DEVIATE_NEAR)
        return 1;
    if (t > 0 && noncentrality > DEVIATE_NEAR)
        low = fmax(low, log((noncentrality - DEVIATE_NEAR) / t));
    double step = scale_step(df, fabs(noncentrality) + 3);
    if ((high - low) / step > SCALE_NODES)
        return noncentral_t_probability(t, df, noncentrality);
    struct scale_density density = scale_density_of(df);
    for (double x = low; x <= high; x += step)
        sum += step * scale_density_at(&density, x) * chance_given_scale(exp(x), &given);
    return fmin(sum, 1);
}

struct wanted { double df, noncentrality, log_tail; bool above, has_grid; struct scale_grid grid; };

static double log_tail_excess(double t, void *context)
{
    const struct wanted *wanted = context;
    struct given given = {t, wanted->noncentrality, wanted->above};
    double tail = 0;
    for (size_t i = 0; wanted->has_grid && i < wanted->grid.n; i++)
        tail += wanted->grid.weight[i] * chance_given_scale(wanted->grid.s[i], &given);
    if (!wanted->has_grid)
        tail = one_tail(t, wanted->df, wanted->noncentrality, wanted->above);
    return log(fmax(tail, DBL_MIN)) - wanted->log_tail; /* finite even where the tail is 0 to the machine */
}

/* Start from Z (1 + 1/(4 df))-corrected normal approximation. Source: Abramowitz and Stegun 26.7.10, solved for t */
static double first_guess(double z, double df, double noncentrality)
{
    double shrink = 1 - 1 / (4 * df), a = shrink * shrink - z * z / (2 * df);
    double root = noncentrality * noncentrality * z * z / (2 * df) + z * z * a;
    if (df < 1 || a < 0.05 || root < 0)
        return noncentrality + z;
    return (shrink * noncentrality + copysign(sqrt(root), z)) / a;
}

double noncentral_t_quantile(double probability, double df, double noncentrality)
{
    if (!(probability > 0 && probability < 1) || !(df > 0) || !isfinite(noncentrality))
        return NAN;
    double z = normal_quantile(probability);
    if (isinf(df))
        return noncentrality + z;
    struct wanted wanted = {.df = df, .noncentrality = noncentrality, .above = probability > 0.5};
    double tail = wanted.above ? 1 - probability : probability;
    wanted.log_tail = log(tail);
    wanted.has_grid = tail > 1e-9 && scale_grid_lay(&wanted.grid, df, fabs(noncentrality) + 3);
    double guess = first_guess(z, df, noncentrality), step = 0.02 * (fabs(guess) + 0.1);
    double at_guess = log_tail_excess(guess, &wanted), other = guess, at_other = at_guess, root;
    /* the upper tail falls with t, the lower one rises */
    double way = (at_guess > 0) == wanted.above ? 1 : -1;
    for (int i = 0; i < 1100 && (at_other > 0) == (at_guess > 0); i++, step *= 2) {
        other += way * step;
        at_other = log_tail_excess(other, &wanted);
    }
    double low = fmin(guess, other), high = fmax(guess, other);
    if (root_between(log_tail_excess, &wanted, low, high, 4 * DBL_EPSILON * fabs(guess), &root) != STATUS_OK)
        return NAN;
    return root;
}
