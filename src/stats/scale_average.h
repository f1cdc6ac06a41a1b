#ifndef STATS_SCALE_AVERAGE_H
#define STATS_SCALE_AVERAGE_H

#include <stdbool.h>
#include <stddef.h>

/*
 * Distributions "studentised" by an estimated sd are averages over
 * s = sqrt(chi-square(df) / df). The averages are taken over x = ln s, whose
 * density is smooth for every df:
 *   p(x) = 2 a^a e^-a / Gamma(a) * exp(df (x - (e^2x - 1) / 2)),  a = df / 2.
 */
struct scale_density { double df, log_constant; };

struct scale_density scale_density_of(double df);
double scale_density_at(const struct scale_density *density, double x);

/* The x on both sides of the mode 0 beyond which p is under e^-depth of its peak, or a little further out. */
void scale_range(double df, double depth, double *low, double *high);

/* How far into the tails of p, as -ln of p over its peak: serves averages above 1e-12, and down to 1e-290. */
#define SCALE_DEPTH 60.0
#define SCALE_DEPTH_FULL 700.0

enum { SCALE_NODES = 1200 };

/* Trapezoid nodes over x, good for many functions of one df: the average of f is the sum of weight * f(s). */
struct scale_grid { size_t n; double s[SCALE_NODES], weight[SCALE_NODES]; };

/* The step over x at which the trapezoid rule is exact to rounding for such functions. */
double scale_step(double df, double bend);

/*
 * Lays the grid for functions that bend on a scale of 1/bend in x (0: slowly).
 * For such smooth bells the trapezoid rule converges faster than any power of
 * the step. False when it would take more than SCALE_NODES; use scale_average() then.
 */
bool scale_grid_lay(struct scale_grid *grid, double df, double bend);

typedef double scale_function(double s, void *context);

/*
 * Average of function(s) >= 0 whatever its shape, by adaptive 21-point
 * Gauss-Kronrod rules to about 1e-14 of the result. The function may bend
 * within 8 / bend round x = feature (NaN: nowhere); cuts are laid there, since
 * a rule that sees only what lies outside would be content too soon.
 */
double scale_average(double df, scale_function *function, void *context, double feature, double bend, double depth);

#endif
