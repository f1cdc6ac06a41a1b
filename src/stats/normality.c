#include "stats/normality.h"

#include "base/memory.h"
#include "stats/distribution.h"
#include "stats/summary.h"

#include <math.h>

#define SAMPLE_MAX 5000

/* Royston's fitted polynomials, constant term first. */
static const double first_weight[] = { 0, 0.221157, -0.147981, -2.07119, 4.434685, -2.706056 };
static const double second_weight[] = { 0, 0.042981, -0.293762, -1.752461, 5.682633, -3.582633 };
static const double small_offset[] = { -2.273, 0.459 };
static const double small_mean[] = { 0.544, -0.39978, 0.025054, -6.714e-4 };
static const double small_log_sd[] = { 1.3822, -0.77857, 0.062767, -0.0020322 };
static const double large_mean[] = { -1.5861, -0.31082, -0.083751, 0.0038915 };
static const double large_log_sd[] = { -0.4803, -0.082676, 0.0030302 };

#define EVALUATE(coefficients, x) evaluate((coefficients), sizeof(coefficients) / sizeof *(coefficients), (x))

static double evaluate(const double *coefficient, size_t n, double x)
{
    double value = 0;
    for (size_t i = n; i-- > 0;)
        value = value * x + coefficient[i];
    return value;
}

/* Weights of the n/2 largest values, largest first; the smallest have the same with the sign turned. */
static void set_weights(double *weight, size_t n)
{
    if (n == 3) {
        weight[0] = sqrt(0.5);
        return;
    }
    size_t half = n / 2, exact = n > 5 ? 2 : 1;
    double count = (double)n, squares = 0, rest = 1, left;
    for (size_t i = 0; i < half; i++) { /* expected normal scores, Blom's approximation */
        weight[i] = -normal_quantile(((double)i + 1 - 0.375) / (count + 0.25));
        squares += 2 * weight[i] * weight[i];
    }
    double length = sqrt(squares), x = 1 / sqrt(count), outer[2];
    outer[0] = EVALUATE(first_weight, x) + weight[0] / length;
    outer[1] = EVALUATE(second_weight, x) + weight[1] / length;
    left = squares;
    for (size_t i = 0; i < exact; i++) {
        left -= 2 * weight[i] * weight[i];
        rest -= 2 * outer[i] * outer[i];
        weight[i] = outer[i];
    }
    double factor = sqrt(left / rest);
    for (size_t i = exact; i < half; i++)
        weight[i] /= factor;
}

/* 1 - W: share of the scatter that the straight line through the normal scores leaves over. */
static double left_over(const double *sorted, size_t n, const double *weight)
{
    double slope = 0, weight_squares = 0, scatter = summary_sum_squares(sorted, n);
    for (size_t i = 0; i < n / 2; i++) {
        slope += weight[i] * (sorted[n - 1 - i] - sorted[i]);
        weight_squares += 2 * weight[i] * weight[i];
    }
    double both = sqrt(weight_squares * scatter);
    return (both - slope) * (both + slope) / (weight_squares * scatter);
}

static double chance(double rest, size_t n)
{
    const double pi = 3.14159265358979323846;
    double count = (double)n;
    if (n == 3) /* exact */
        return fmax(0, 6 / pi * (asin(sqrt(1 - rest)) - asin(sqrt(0.75))));
    double y = log(rest), mean, sd;
    if (n <= 11) {
        double offset = EVALUATE(small_offset, count);
        if (y >= offset)
            return 0;
        y = -log(offset - y);
        mean = EVALUATE(small_mean, count);
        sd = exp(EVALUATE(small_log_sd, count));
    } else {
        mean = EVALUATE(large_mean, log(count));
        sd = exp(EVALUATE(large_log_sd, log(count)));
    }
    return normal_tail((y - mean) / sd);
}

enum status normality_shapiro_wilk(const double *values, size_t n, struct normality *result)
{
    *result = (struct normality){ NAN, NAN };
    if (n < 3)
        return STATUS_TOO_FEW;
    struct summary summary = summary_of(values, n);
    if (n > SAMPLE_MAX || !(summary.range > 0))
        return STATUS_NUMERIC;
    double *sorted = memory_new(n, sizeof *sorted), *weight = memory_new(n / 2, sizeof *weight);
    if (sorted && weight) {
        for (size_t i = 0; i < n; i++)
            sorted[i] = (values[i] - summary.mean) / summary.range;
        summary_sort(sorted, n);
        set_weights(weight, n);
        double rest = fmax(0, left_over(sorted, n, weight));
        *result = (struct normality){ 1 - rest, rest > 0 ? chance(rest, n) : 1 };
    }
    enum status status = sorted && weight ? STATUS_OK : STATUS_MEMORY;
    memory_free(sorted);
    memory_free(weight);
    return status;
}
