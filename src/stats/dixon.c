#include "stats/normal_curve.h"
#include "stats/outlier.h"
#include "stats/root.h"
#include "stats/summary.h"

#include <stdbool.h>

#define DIXON_N_MAX 30
#define MIDDLE_REACH 7.0          /* of the middle of the two ends: its sd is below 1 */
#define MIDDLE_STEP (1.0 / 8)
#define LOG_RANGE_LOW (-20.0)       /* ln of the range: ranges below weigh less than e^-40 */
#define LOG_RANGE_HIGH 3.0
#define LOG_RANGE_STEP (1.0 / 12)

/*
 * Chance that no value lies within low_gap (share of the range) of the
 * smallest nor within high_gap of the largest of n normal values. Given the
 * ends a and b, the n - 2 others lie between them independently:
 * n (n-1) * integral of f(a) f(b) [F(b - high_gap r) - F(a + low_gap r)]^(n-2),
 * with r = b - a and the middle as coordinates, r as e^u.
 */
static double gap_chance(double low_gap, double high_gap, size_t n)
{
    double count = (double)n, sum = 0;
    for (double u = LOG_RANGE_LOW; u <= LOG_RANGE_HIGH; u += LOG_RANGE_STEP) {
        double r = exp(u), inner = 0;
        for (double middle = -MIDDLE_REACH; middle <= MIDDLE_REACH; middle += MIDDLE_STEP) {
            double a = middle - r / 2, b = middle + r / 2;
            double between = normal_between(a + low_gap * r, b - high_gap * r);
            inner += normal_density(a) * normal_density(b) * pow(fmax(0, between), count - 2);
        }
        sum += inner * r;
    }
    return count * (count - 1) * sum * MIDDLE_STEP * LOG_RANGE_STEP;
}

static bool n_usable(size_t n)
{
    return n >= 3 && n <= DIXON_N_MAX;
}

double outlier_dixon_p(double ratio, size_t n, bool two_sided)
{
    if (!n_usable(n) || !(ratio >= 0 && ratio <= 1))
        return NAN;
    if (ratio == 1)
        return 0;
    double p = gap_chance(ratio, 0, n);
    if (two_sided) /* either gap, less both; both fit only when they leave room */
        p = 2 * p - (ratio < 0.5 ? gap_chance(ratio, ratio, n) : 0);
    return fmin(1, p);
}

struct dixon_search { size_t n; double alpha; bool two_sided; };

static double dixon_excess(double ratio, void *context)
{
    const struct dixon_search *search = context;
    return outlier_dixon_p(ratio, search->n, search->two_sided) - search->alpha;
}

double outlier_dixon_critical(size_t n, double alpha, bool two_sided)
{
    if (!n_usable(n) || !(alpha > 0 && alpha < 1))
        return NAN;
    struct dixon_search search = { n, alpha, two_sided };
    double critical;
    return root_between(dixon_excess, &search, 0, 1, 1e-13, &critical) == STATUS_OK ? critical : NAN;
}

/* The two smallest, the two largest, and where the ends are. */
struct ends { double lowest, second_lowest, second_highest, highest; size_t at_lowest, at_highest; };

static struct ends find_ends(const double *values, size_t n)
{
    struct ends ends = { INFINITY, INFINITY, -INFINITY, -INFINITY, 0, 0 };
    for (size_t i = 0; i < n; i++) {
        double x = values[i];
        if (x < ends.lowest) {
            ends.second_lowest = ends.lowest;
            ends.lowest = x;
            ends.at_lowest = i;
        } else
            ends.second_lowest = fmin(ends.second_lowest, x);
        if (x > ends.highest) {
            ends.second_highest = ends.highest;
            ends.highest = x;
            ends.at_highest = i;
        } else
            ends.second_highest = fmax(ends.second_highest, x);
    }
    return ends;
}

enum status outlier_dixon(const double *values, size_t n, enum outlier_side side, struct outlier *result)
{
    *result = (struct outlier){ 0, NAN, NAN };
    if (n < 3)
        return STATUS_TOO_FEW;
    struct summary summary = summary_of(values, n);
    if (!(summary.range > 0) || n > DIXON_N_MAX)
        return STATUS_NUMERIC;
    struct ends ends = find_ends(values, n);
    double low = (ends.second_lowest - ends.lowest) / summary.range;
    double high = (ends.highest - ends.second_highest) / summary.range;
    bool take_low = side == OUTLIER_LOW || (side == OUTLIER_EITHER && low > high);
    result->index = take_low ? ends.at_lowest : ends.at_highest;
    result->statistic = take_low ? low : high;
    result->p = outlier_dixon_p(result->statistic, n, side == OUTLIER_EITHER);
    return STATUS_OK;
}
