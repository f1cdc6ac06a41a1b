#include "stats/fieller.h"

#include "stats/distribution.h"

#include <math.h>

static const char *const shape_words[] = {
    [FIELLER_BOUNDED] = "bounded",   [FIELLER_OUTSIDE] = "outside",       [FIELLER_AT_LEAST] = "at least",
    [FIELLER_AT_MOST] = "at most",   [FIELLER_EVERYTHING] = "everything", [FIELLER_NONE] = "none",
};

const char *fieller_shape_word(enum fieller_shape shape)
{
    return (unsigned)shape <= FIELLER_NONE ? shape_words[shape] : "none";
}

static bool input_usable(const struct fieller_input *input, double confidence)
{
    double bound = input->variance_numerator * input->variance_denominator;
    return isfinite(input->numerator) && isfinite(input->denominator) && isfinite(input->covariance) &&
           isfinite(bound) && input->variance_numerator >= 0 && input->variance_denominator >= 0 &&
           input->covariance * input->covariance <= bound * (1 + 1e-9) && input->df > 0 && confidence > 0 && confidence < 1;
}

/* Both roots of square * r^2 - 2 half * r + rest, without cancellation. */
static void solve_quadratic(double square, double half, double rest, double *low, double *high)
{
    double root = sqrt(fmax(0, half * half - square * rest));
    double large = half >= 0 ? half + root : half - root;
    double one = large / square, other = large != 0 ? rest / large : 0;
    *low = fmin(one, other);
    *high = fmax(one, other);
}

/* The denominator is exactly at the edge of being told from zero: a half-line is left. */
static void solve_linear(double half, double rest, struct fieller_ratio *ratio)
{
    double edge = rest / (2 * half);
    ratio->shape = half > 0 ? FIELLER_AT_LEAST : half < 0 ? FIELLER_AT_MOST : FIELLER_EVERYTHING;
    ratio->lower = half > 0 ? edge : -INFINITY;
    ratio->upper = half < 0 ? edge : INFINITY;
}

/*
 * Ratios r with (a - r b)^2 <= t^2 Var(a - r b), that is
 * square r^2 - 2 half r + rest <= 0.
 */
static void solve(const struct fieller_input *input, double t, struct fieller_ratio *ratio)
{
    double a = input->numerator, b = input->denominator, t2 = t * t;
    double square = b * b - t2 * input->variance_denominator;
    double half = a * b - t2 * input->covariance;
    double rest = a * a - t2 * input->variance_numerator;
    if (square == 0) {
        solve_linear(half, rest, ratio);
        return;
    }
    if (square < 0 && half * half - square * rest <= 0) {
        ratio->shape = FIELLER_EVERYTHING;
        ratio->lower = -INFINITY;
        ratio->upper = INFINITY;
        return;
    }
    ratio->shape = square > 0 ? FIELLER_BOUNDED : FIELLER_OUTSIDE;
    solve_quadratic(square, half, rest, &ratio->lower, &ratio->upper);
}

struct fieller_ratio fieller_ratio(const struct fieller_input *input, double confidence)
{
    struct fieller_ratio ratio = { FIELLER_NONE, NAN, NAN, NAN, NAN, input->df };
    if (!input_usable(input, confidence) || (input->denominator == 0 && input->variance_denominator == 0))
        return ratio;
    double t = t_quantile(0.5 + confidence / 2, input->df);
    if (!isfinite(t))
        return ratio;
    ratio.estimate = input->denominator != 0 ? input->numerator / input->denominator : NAN;
    ratio.g = t * t * input->variance_denominator / (input->denominator * input->denominator);
    solve(input, t, &ratio);
    return ratio;
}

struct fieller_ratio fieller_percent_less(const struct fieller_input *input, double confidence)
{
    struct fieller_ratio ratio = fieller_ratio(input, confidence);
    double lower = ratio.lower;
    ratio.estimate = 100 * (1 - ratio.estimate);
    ratio.lower = 100 * (1 - ratio.upper);
    ratio.upper = 100 * (1 - lower);
    if (ratio.shape == FIELLER_AT_LEAST)
        ratio.shape = FIELLER_AT_MOST;
    else if (ratio.shape == FIELLER_AT_MOST)
        ratio.shape = FIELLER_AT_LEAST;
    return ratio;
}

double fieller_df(double ratio, double variance_numerator, double df_numerator,
                  double variance_denominator, double df_denominator)
{
    double second = ratio * ratio * variance_denominator, total = variance_numerator + second;
    if (!(total > 0))
        return NAN;
    return total * total / (variance_numerator * variance_numerator / df_numerator + second * second / df_denominator);
}

struct fieller_ratio fieller_two_samples(const struct fieller_sample *numerator, const struct fieller_sample *denominator,
                                         bool pooled, double confidence)
{
    struct fieller_ratio none = { FIELLER_NONE, NAN, NAN, NAN, NAN, NAN };
    double n1 = numerator->n, n2 = denominator->n;
    if (!(n1 >= 2 && n2 >= 2))
        return none;
    struct fieller_input input = { numerator->mean, denominator->mean, numerator->variance / n1,
                                   denominator->variance / n2, 0, n1 + n2 - 2 };
    if (pooled) {
        double variance = ((n1 - 1) * numerator->variance + (n2 - 1) * denominator->variance) / input.df;
        input.variance_numerator = variance / n1;
        input.variance_denominator = variance / n2;
    } else {
        double ratio = numerator->mean / denominator->mean;
        input.df = fieller_df(ratio, input.variance_numerator, n1 - 1, input.variance_denominator, n2 - 1);
    }
    return fieller_ratio(&input, confidence);
}

struct fieller_ratio fieller_inverse(const struct fieller_line *line, double response, double response_variance,
                                     double confidence)
{
    struct fieller_input input = { response - line->intercept, line->slope,
                                   line->variance_intercept + response_variance, line->variance_slope,
                                   -line->covariance, line->df };
    return fieller_ratio(&input, confidence);
}
