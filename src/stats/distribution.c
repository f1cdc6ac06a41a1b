#include "stats/distribution.h"

#include <math.h>

/* The library that R's own distribution functions come from; its header is included nowhere else,
   because it claims short names and its functions print when their arguments are out of domain. */
#define MATHLIB_STANDALONE 1
#include <Rmath.h>

#include <stdbool.h>

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

double t_quantile(double probability, double df)
{
    return is_probability(probability) && df > 0 ? qt(probability, df, 1, 0) : NAN;
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

/*
 * By the beta quantile on the side that is not near 1, because the library's
 * own F quantile takes df2 above 400000 for infinite (5 digits are left then)
 * and cancels near 1 below.
 */
double f_quantile(double probability, double df1, double df2)
{
    if (!is_probability(probability) || !(df1 > 0) || !(df2 > 0))
        return NAN;
    if (isinf(df1))
        return isinf(df2) ? 1 : df2 / qchisq(probability, df2, 0, 0);
    if (isinf(df2))
        return qchisq(probability, df1, 1, 0) / df1;
    double share = qbeta(probability, df1 / 2, df2 / 2, 1, 0);
    double rest = share < 0.5 ? 1 - share : qbeta(probability, df2 / 2, df1 / 2, 0, 0);
    return share / rest * df2 / df1;
}

double f_tail(double f, double df1, double df2)
{
    if (isnan(f) || !(df1 > 0) || !(df2 > 0))
        return NAN;
    return f <= 0 ? 1 : pf(f, df1, df2, 0, 0);
}

double beta_quantile(double probability, double a, double b)
{
    if (!is_probability(probability) || !(a > 0) || !(b > 0) || isinf(a) || isinf(b))
        return NAN;
    return qbeta(probability, a, b, 1, 0);
}
