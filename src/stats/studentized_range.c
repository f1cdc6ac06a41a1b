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

/*
 * ln of the tail of the range of normal deviates by polynomials on pieces of
 * one sd each: for many q of one family. It is smooth enough for 14 digits.
 */
enum { PIECES = 40, TERMS = 16, CURVE_FROM = 16 };
#define PIECE_WIDTH 1.0
struct range_curve { double term[PIECES][TERMS]; };

/* Grid over the largest of the means: z, its normal integral, and n phi(z) Phi(z)^(n-1) dz. */
struct range {
    double q, others;
    size_t n_nodes;
    double z[NODES], below[NODES], weight[NODES];
    const struct range_curve *curve; /* NULL: none laid */
};

/* Clenshaw's sum of Chebyshev polynomials. */
static double curve_at(const struct range_curve *curve, double w)
{
    size_t piece = (size_t)(w / PIECE_WIDTH);
    double x = 2 * (w / PIECE_WIDTH - (double)piece) - 1, next = 0, after = 0;
    for (size_t j = TERMS - 1; j > 0; j--) {
        double here = 2 * x * next - after + curve->term[piece][j];
        after = next;
        next = here;
    }
    return x * next - after + curve->term[piece][0];
}

/*
 * P(range of n normal deviates > w) = integral of n phi(z) [Phi(z)^(n-1) - (Phi(z) - Phi(z-w))^(n-1)] dz
 * by the trapezoid rule, which for such bell-shaped functions converges faster
 * than any power of the step; the bracket is formed without cancellation.
 */
static double range_above(double w, const struct range *range)
{
    double sum = 0;
    if (range->curve && w < PIECES * PIECE_WIDTH)
        return exp(curve_at(range->curve, w));
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

static void lay_curve(struct range_curve *curve, const struct range *range)
{
    for (size_t piece = 0; piece < PIECES; piece++) {
        double value[TERMS];
        for (size_t k = 0; k < TERMS; k++)
            value[k] = log(range_above(PIECE_WIDTH * ((double)piece + (1 + cos(NORMAL_PI * ((double)k + 0.5) / TERMS)) / 2), range));
        for (size_t j = 0; j < TERMS; j++) {
            double sum = 0;
            for (size_t k = 0; k < TERMS; k++)
                sum += value[k] * cos(NORMAL_PI * (double)j * ((double)k + 0.5) / TERMS);
            curve->term[piece][j] = (j ? 2 : 1) * sum / TERMS;
        }
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

/* One of many, or one alone: the range has its grid, and grid is NULL where none could be laid. */
static double tail_of(double q, double df, struct range *range, const struct scale_grid *grid)
{
    if (isnan(q))
        return NAN;
    if (q <= 0)
        return 1;
    if (isinf(q))
        return 0;
    range->q = q;
    return isinf(df) ? range_above(q, range) : studentized_above(df, range, grid);
}

void studentized_range_tails(const double *q, size_t n, double n_means, double df, double *tail)
{
    struct range range = { .q = 0 };
    struct range_curve curve;
    struct scale_grid grid;
    if (!(n_means > 2 && n_means <= MEANS_MAX) || !(df > 0) || n < CURVE_FROM) {
        for (size_t i = 0; i < n; i++)
            tail[i] = studentized_range_tail(q[i], n_means, df);
        return;
    }
    lay_grid(&range, n_means);
    lay_curve(&curve, &range);
    range.curve = &curve;
    bool has_grid = isfinite(df) && scale_grid_lay(&grid, df, RANGE_BEND);
    for (size_t i = 0; i < n; i++)
        tail[i] = tail_of(q[i], df, &range, has_grid ? &grid : NULL);
}

double studentized_range_tail(double q, double n_means, double df)
{
    if (isnan(q) || !(n_means >= 2 && n_means <= MEANS_MAX) || !(df > 0))
        return NAN;
    if (n_means == 2 && q > 0)
        return t_two_sided_p(q / sqrt(2), df);
    struct range range = {.q = q};
    struct scale_grid grid;
    lay_grid(&range, n_means);
    return tail_of(q, df, &range, isfinite(df) && scale_grid_lay(&grid, df, RANGE_BEND) ? &grid : NULL);
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
