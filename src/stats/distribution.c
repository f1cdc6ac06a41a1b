#include "stats/distribution.h"

#include "stats/root.h"

#include <float.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

/* The library that R's own distribution functions come from; its header is included nowhere else,
   because it claims short names and its functions print when their arguments are out of domain. */
#define MATHLIB_STANDALONE 1
#include <Rmath.h>

#include <stdbool.h>

/* exp of this is near the ends of the doubles; quantiles further out are 0 or infinite. */
static const double LOG_LIMIT = 700;

static bool is_probability(double p)
{
    return p >= 0 && p <= 1; /* false for NaN */
}

double normal_quantile(double probability)
{
    return is_probability(probability) ? qnorm(probability, 0, 1, 1, 0) : NAN;
}

double normal_tail(double z)
{
    return isnan(z) ? NAN : pnorm(z, 0, 1, 0, 0);
}

/* A quantile, by what it is of; zeros are of nothing. */
struct t_kept { double probability, df, quantile; };
#define T_KEPT 512 /* a power of two */

static size_t t_kept_at(double probability, double df)
{
    uint64_t bits[2];
    memcpy(&bits[0], &probability, sizeof bits[0]);
    memcpy(&bits[1], &df, sizeof bits[1]);
    return (size_t)((bits[0] * 3 + bits[1]) * UINT64_C(0x9E3779B97F4A7C15) >> 40) % T_KEPT;
}

/* The bounds of an answer and its charts ask for the same quantiles again and again, and each takes as long as a thousand sums. */
double t_quantile(double probability, double df)
{
    static _Thread_local struct t_kept kept[T_KEPT];
    if (!is_probability(probability) || !(df > 0))
        return NAN;
    struct t_kept *at = &kept[t_kept_at(probability, df)];
    if (at->probability != probability || at->df != df)
        *at = (struct t_kept){ probability, df, qt(probability, df, 1, 0) };
    return at->quantile;
}

double t_two_sided_p(double t, double df)
{
    if (isnan(t) || !(df > 0))
        return NAN;
    return fmin(1, 2 * pt(-fabs(t), df, 1, 0));
}

double chi_square_quantile(double probability, double df)
{
    return is_probability(probability) && df > 0 && isfinite(df) ? qchisq(probability, df, 1, 0) : NAN;
}

double chi_square_tail(double x, double df)
{
    if (isnan(x) || !(df > 0) || !isfinite(df))
        return NAN;
    return x <= 0 ? 1 : pchisq(x, df, 0, 0);
}

double f_tail(double f, double df1, double df2)
{
    if (isnan(f) || !(df1 > 0) || !(df2 > 0))
        return NAN;
    return f <= 0 ? 1 : pf(f, df1, df2, 0, 0);
}

/* An F distribution and the tail, lower or upper, whose quantile is wanted. */
struct wanted { double df1, df2, tail; int lower; };

static double tail_excess(double log_f, void *context)
{
    const struct wanted *wanted = context;
    double tail = pf(exp(log_f), wanted->df1, wanted->df2, wanted->lower, 0);
    return log(fmax(tail, DBL_MIN) / wanted->tail);
}

/*
 * ln of the F quantile by root finding on the smaller tail: the library's own
 * quantiles take df2 above 400000 for infinite (5 digits are left then), and
 * print complaints for small df.
 */
static double log_f_quantile(double probability, double df1, double df2)
{
    int lower = probability <= 0.5;
    struct wanted wanted = {df1, df2, lower ? probability : 1 - probability, lower};
    double from = 0, to = 0, step = 0.25, at_start = tail_excess(0, &wanted), log_f;
    double way = (at_start > 0) == (lower != 0) ? -1 : 1;
    while (fabs(to) < LOG_LIMIT && (tail_excess(to, &wanted) > 0) == (at_start > 0)) {
        from = to;
        to += way * step;
        step *= 2;
    }
    if (fabs(to) >= LOG_LIMIT)
        return way * INFINITY;
    bool found = root_between(tail_excess, &wanted, fmin(from, to), fmax(from, to), 0, &log_f) == STATUS_OK;
    return found ? log_f : NAN;
}

double f_quantile(double probability, double df1, double df2)
{
    if (!is_probability(probability) || !(df1 > 0) || !(df2 > 0))
        return NAN;
    if (probability == 0 || probability == 1)
        return probability == 0 ? 0 : INFINITY;
    if (isinf(df1))
        return isinf(df2) ? 1 : df2 / qchisq(probability, df2, 0, 0);
    if (isinf(df2))
        return qchisq(probability, df1, 1, 0) / df1;
    return exp(log_f_quantile(probability, df1, df2));
}

double beta_quantile(double probability, double a, double b)
{
    if (!is_probability(probability) || !(a > 0) || !(b > 0) || isinf(a) || isinf(b))
        return NAN;
    if (probability == 0 || probability == 1)
        return probability;
    /* odds of the beta are a / b times F with 2a and 2b degrees of freedom */
    double odds = exp(log_f_quantile(probability, 2 * a, 2 * b)) * a / b;
    return isinf(odds) ? 1 : odds / (1 + odds);
}
