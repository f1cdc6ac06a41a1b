#include "stats/scale_average.h"

#include "stats/normal_curve.h"

#include <gsl/gsl_integration.h>
#include <math.h>

enum { SPLITS_MAX = 40 };

/* ln Gamma(a) - [(a - 1/2) ln a - a + ln(2 pi) / 2] for a >= 15, to the last digit. Source: Abramowitz and Stegun 6.1.41 */
static double stirling_rest(double a)
{
    double r = 1 / (a * a);
    return (1.0 / 12 - r * (1.0 / 360 - r * (1.0 / 1260 - r * (1.0 / 1680 - r * (1.0 / 1188 - r * 691.0 / 360360))))) / a;
}

struct scale_density scale_density_of(double df)
{
    double a = df / 2;
    int sign;
    if (a >= 15) /* ln Gamma itself would cancel against a ln a */
        return (struct scale_density){df, log(2) + log(a / (2 * NORMAL_PI)) / 2 - stirling_rest(a)};
    return (struct scale_density){df, log(2) + a * log(a) - a - lgamma_r(a, &sign)};
}

/* x - (e^2x - 1) / 2, which starts with -x^2 */
static double exponent(double x)
{
    if (fabs(x) > 0.1)
        return x - expm1(2 * x) / 2;
    double term = x, sum = 0;
    for (int k = 2; k < 16; k++) {
        term *= 2 * x / k;
        sum -= term;
    }
    return sum;
}

double scale_density_at(const struct scale_density *density, double x)
{
    return exp(density->log_constant + density->df * exponent(x));
}

/* Closed forms that lie outside the exact points. */
void scale_range(double df, double depth, double *low, double *high)
{
    double q = depth / df;
    *low = -(q + sqrt(q));
    *high = fmin(sqrt(q), log1p(2 * q + 2 * sqrt(2 * q)) / 2);
}

double scale_step(double df, double bend)
{
    return 0.6 / sqrt(2 * df + bend * bend + 30);
}

bool scale_grid_lay(struct scale_grid *grid, double df, double bend)
{
    struct scale_density density = scale_density_of(df);
    double low, high;
    scale_range(df, SCALE_DEPTH, &low, &high);
    double step = scale_step(df, bend), n = ceil((high - low) / step);
    if (n >= SCALE_NODES)
        return false;
    grid->n = (size_t)n + 1;
    for (size_t i = 0; i < grid->n; i++) {
        double x = low + (double)i * step;
        grid->s[i] = exp(x);
        grid->weight[i] = step * scale_density_at(&density, x);
    }
    return true;
}

struct average { struct scale_density density; scale_function *function; void *context; double total; };

static double weighted(double x, void *context)
{
    const struct average *average = context;
    double density = scale_density_at(&average->density, x);
    return density > 0 ? density * average->function(exp(x), average->context) : 0;
}

/* Halves the stretch until the rule is exact to rounding, or what is left cannot matter. */
static double integrate(struct average *average, double low, double high, int splits)
{
    gsl_function rule = {weighted, average};
    double result, error, size, variation;
    gsl_integration_qk21(&rule, low, high, &result, &error, &size, &variation);
    if (error <= fmax(2e-14 * size, 1e-17 * average->total) || splits == 0)
        return result;
    average->total = fmax(average->total, size);
    double middle = (low + high) / 2;
    return integrate(average, low, middle, splits - 1) + integrate(average, middle, high, splits - 1);
}

double scale_average(double df, scale_function *function, void *context, double feature, double bend, double depth)
{
    static const double steps[] = {-40, -8, 0, 8, 40};
    struct average average = {scale_density_of(df), function, context, 0};
    double low, high, sum = 0;
    scale_range(df, depth, &low, &high);
    double from = low;
    bool mode_passed = false;
    for (size_t i = 0; i <= sizeof steps / sizeof *steps; i++) {
        bool last = i == sizeof steps / sizeof *steps;
        double to = last ? high : fmin(high, feature + steps[i] / bend);
        if (!(to > from)) /* NaN too */
            continue;
        if (!mode_passed && to > 0) {
            mode_passed = true;
            sum += from < 0 ? integrate(&average, from, 0, SPLITS_MAX) : 0;
            from = fmax(from, 0);
        }
        sum += integrate(&average, from, to, SPLITS_MAX);
        from = to;
    }
    return sum;
}
