#include "stats/distribution.h"

#include "stats/normal_curve.h"
#include "stats/root.h"
#include "stats/scale_average.h"

#include <float.h>
#include <math.h>
#include <stdbool.h>
#include <stddef.h>

/* Beyond this many means the fixed grid below would be too coarse for the largest of them. */
static const double MEANS_MAX = 1e5;

/* The chance that the range passes q s bends over ln s on a scale of no less than 1/5. */
static const double RANGE_BEND = 5;

/* Smaller tails are not left to the grid over s. */
static const double FAR = 1e-12;

/* A share of a sum that cannot show in it, however many there are. */
static const double NOTHING = 1e-20;

enum { NODES = 200 };

/* Grid over the largest of the means: z, its normal integral, and n phi(z) Phi(z)^(n-1) dz. */
struct range { double q, others; size_t n_nodes; double z[NODES], below[NODES], weight[NODES]; };

/*
 * P(range of n normal deviates > w) = integral of n phi(z) [Phi(z)^(n-1) - (Phi(z) - Phi(z-w))^(n-1)] dz
 * by the trapezoid rule, which for such bell-shaped functions converges faster
 * than any power of the step; the bracket is formed without cancellation.
 */
static double range_above(double w, const struct range *range)
{
    double sum = 0;
    for (size_t i = 0; i < range->n_nodes; i++) {
        double share = normal_below(range->z[i] - w) / range->below[i];
        double add = share > 0 ? range->weight[i] * (share < 1 ? -expm1(range->others * log1p(-share)) : 1) : 0;
        if (add < 1e-17 * sum) /* past the top of the bell: this one and all after it do not show */
            break;
        sum += add;
    }
    return sum;
}

static void lay_grid(struct range *range, double n_means)
{
    double step = n_means > 100 ? 0.125 : 0.25, low = -9, high = 15;
    range->others = n_means - 1;
    range->n_nodes = 0;
    for (double z = low; z <= high; z += step) {
        size_t i = range->n_nodes;
        double below = normal_below(z);
        double weight = n_means * step * normal_density(z) * exp(range->others * log1p(-normal_above(z)));
        if (weight < 1e-60)
            continue;
        range->z[i] = z;
        range->below[i] = below;
        range->weight[i] = weight;
        range->n_nodes++;
    }
}

/*
 * A small tail comes from small s, far from the mode of the density, where no
 * grid laid beforehand reaches: the same rule, outwards from the mode until
 * what is left cannot show. A tail is 1 at most, so downwards what is left is
 * less than its weights.
 */
static double studentized_far(double df, const struct range *range)
{
    struct scale_density density = scale_density_of(df);
    double step = scale_step(df, RANGE_BEND), sum = 0, add = 0;
    for (size_t i = 0; ; i++) {
        double x = -(double)i * step, weight = step * scale_density_at(&density, x);
        if (!(weight > NOTHING * sum))
            break;
        sum += weight * range_above(range->q * exp(x), range);
    }
    for (double x = step; x == step || add > NOTHING * sum; x += step) {
        add = step * scale_density_at(&density, x) * range_above(range->q * exp(x), range);
        sum += add;
    }
    return sum;
}

static double studentized_above(double df, const struct range *range, const struct scale_grid *grid)
{
    double sum = 0, pairs = range->others * (range->others + 1) / 2;
    if (pairs * t_two_sided_p(range->q / sqrt(2), df) < FAR) /* no less than the tail of the range */
        grid = NULL;
    for (size_t i = 0; grid && i < grid->n; i++)
        if (grid->weight[i] > 1e-17 * sum) /* a tail is 1 at most: others do not show */
            sum += grid->weight[i] * range_above(range->q * grid->s[i], range);
    if (!grid || sum < FAR)
        sum = studentized_far(df, range);
    return fmin(sum, 1);
}

double studentized_range_tail(double q, double n_means, double df)
{
    if (isnan(q) || !(n_means >= 2 && n_means <= MEANS_MAX) || !(df > 0))
        return NAN;
    if (q <= 0)
        return 1;
    if (isinf(q))
        return 0;
    if (n_means == 2)
        return t_two_sided_p(q / sqrt(2), df);
    struct range range = {.q = q};
    struct scale_grid grid;
    lay_grid(&range, n_means);
    if (isinf(df))
        return range_above(q, &range);
    return studentized_above(df, &range, scale_grid_lay(&grid, df, RANGE_BEND) ? &grid : NULL);
}

struct wanted { struct range range; double df, log_tail; bool has_grid; struct scale_grid grid; };

static double log_tail_excess(double q, void *context)
{
    struct wanted *wanted = context;
    wanted->range.q = q;
    double tail = isinf(wanted->df) ? range_above(q, &wanted->range)
                                    : studentized_above(wanted->df, &wanted->range, wanted->has_grid ? &wanted->grid : NULL);
    return log(tail) - wanted->log_tail;
}

double studentized_range_quantile(double probability, double n_means, double df)
{
    if (!(probability > 0 && probability < 1) || !(n_means >= 2 && n_means <= MEANS_MAX) || !(df > 0))
        return NAN;
    /* one pair is exceeded less often than the range; all pairs together (Bonferroni) more often */
    double tail = 1 - probability, pairs = n_means * (n_means - 1) / 2, q;
    double low = -sqrt(2) * t_quantile(tail / 2, df), high = -sqrt(2) * t_quantile(tail / 2 / pairs, df);
    if (n_means == 2)
        return low;
    struct wanted wanted = {.df = df, .log_tail = log(tail)};
    lay_grid(&wanted.range, n_means);
    wanted.has_grid = isfinite(df) && scale_grid_lay(&wanted.grid, df, RANGE_BEND);
    if (root_between(log_tail_excess, &wanted, low, high, 4 * DBL_EPSILON * high, &q) != STATUS_OK)
        return NAN;
    return q;
}
