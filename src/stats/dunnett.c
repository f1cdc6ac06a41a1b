#include "stats/dunnett.h"

#include "stats/normal_curve.h"
#include "stats/root.h"

#include <float.h>

#define REACH 8.5             /* sd of the control's deviate; 1e-17 lies beyond */
#define EXPONENT_FLOOR (-42.0)  /* e^-42: weights below are nothing */
#define UPPER_MAX 1e8         /* no critical value is looked for beyond */

static bool family_usable(const struct dunnett_family *family)
{
    if (family->n == 0 || !(family->df > 0))
        return false;
    for (size_t i = 0; i < family->n; i++)
        if (!(family->loading[i] >= 0 && family->loading[i] < 1))
            return false;
    return true;
}

/*
 * Chance that one deviate of sd `own` about +-shift is beyond x. The side that
 * is farther off is not asked for where it cannot change the last bit: its
 * share of the nearer one's chance is less than exp(-45).
 */
static double exceeds(double x, double shift, double own, bool two_sided)
{
    if (!two_sided)
        return normal_above((x - shift) / own);
    double near = (x - fabs(shift)) / own, far = (x + fabs(shift)) / own, nearer = fmax(near, 0);
    bool shows = far < 9 || far * far - nearer * nearer < 90;
    return normal_above(near) + (shows ? normal_above(far) : 0);
}

static double count_of(const struct dunnett_family *family, size_t i)
{
    return family->count ? family->count[i] : 1;
}

/* Sum of ln(1 - chance that T_i exceeds x), given the control's deviate z. */
static double log_none_exceeds(double x, double z, const struct dunnett_family *family)
{
    double sum = 0, term = 0;
    for (size_t i = 0; i < family->n; i++) {
        double loading = family->loading[i];
        if (i == 0 || loading != family->loading[i - 1]) {
            double own = sqrt((1 - loading) * (1 + loading));
            term = log1p(-fmin(1, exceeds(x, loading * z, own, family->two_sided)));
        }
        sum += count_of(family, i) * term;
    }
    return sum;
}

/* Step for the control's deviate: the steeper the others' chances run with it, the finer. */
static double deviate_step(const struct dunnett_family *family)
{
    double steepness = 1;
    for (size_t i = 0; i < family->n; i++) {
        double square = family->loading[i] * family->loading[i];
        steepness += count_of(family, i) * square / (1 - square);
    }
    return 0.6 / sqrt(steepness);
}

/* Chance that the largest exceeds x when the sd is known to be 1. */
static double tail_at(double x, const struct dunnett_family *family, double step)
{
    double sum = 0;
    for (double z = -REACH; z <= REACH; z += step)
        sum += normal_density(z) * -expm1(log_none_exceeds(x, z, family));
    return sum * step;
}

/* ln of the density of u = ln s at u, up to a constant, s = sd / sigma with df degrees of freedom. */
static double log_weight(double u, double df)
{
    return df * (u - expm1(2 * u) / 2);
}

double dunnett_tail(double d, const struct dunnett_family *family)
{
    if (!isfinite(d) || !family_usable(family) || (family->two_sided && d < 0))
        return NAN;
    double step = deviate_step(family);
    if (isinf(family->df))
        return fmin(1, tail_at(d, family, step));
    double df = family->df, width = 0.6 / sqrt(2 * df + 40), total = 0, sum = 0;
    for (int direction = -1; direction <= 1; direction += 2)
        for (int i = direction > 0; ; i++) {
            double u = direction * i * width, exponent = log_weight(u, df);
            if (exponent < EXPONENT_FLOOR)
                break;
            double weight = exp(exponent);
            total += weight;
            sum += weight * tail_at(d * exp(u), family, step);
        }
    return fmin(1, sum / total);
}

struct quantile_search { const struct dunnett_family *family; double tail; };

static double tail_excess(double d, void *context)
{
    const struct quantile_search *search = context;
    return log(dunnett_tail(d, search->family) / search->tail);
}

static struct root_point excess_at(double d, struct quantile_search *search)
{
    return (struct root_point){ d, tail_excess(d, search) };
}

double dunnett_quantile(double confidence, const struct dunnett_family *family)
{
    if (!(confidence > 0 && confidence < 1) || !family_usable(family))
        return NAN;
    struct quantile_search search = { family, 1 - confidence };
    struct root_point low = excess_at(0, &search), high = low;
    double quantile;
    if (low.value < 0) { /* one-sided only */
        for (low = excess_at(-4, &search); low.value < 0; low = excess_at(2 * low.x, &search))
            if (low.x < -UPPER_MAX)
                return NAN;
    } else {
        for (high = excess_at(4, &search); high.value > 0; high = excess_at(2 * high.x, &search)) {
            if (high.x > UPPER_MAX)
                return NAN;
            low = high;
        }
    }
    return root_within(tail_excess, &search, low, high, DBL_EPSILON * 64, &quantile) == STATUS_OK ? quantile : NAN;
}
