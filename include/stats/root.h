#ifndef STATS_ROOT_H
#define STATS_ROOT_H

#include "base/status.h"

#include <stddef.h>

/* A function of one variable; context is the caller's and is not touched. NaN means "no value here". */
typedef double root_function(double x, void *context);

/*
 * The x between low and high where the function is zero, by Brent's method.
 * The function must have opposite signs (or a zero) at the two ends.
 *
 * tolerance  wanted half-width of the last bracket, in the unit of x; 0 asks for all digits
 *
 * STATUS_NUMERIC  no change of sign, a NaN on the way, or low >= high; *root is NaN then
 * Source: R. P. Brent, Algorithms for Minimization without Derivatives, 1973, chapter 4
 */
enum status root_between(root_function *function, void *context, double low, double high,
                         double tolerance, double *root);

/* A point of a function. */
struct root_point { double x, value; };

/* root_between() where the function's values at both ends are known already: it is not asked for them again. */
enum status root_within(root_function *function, void *context, struct root_point low, struct root_point high, double tolerance,
                        double *root);

/* A closed stretch of the x axis. */
struct root_interval { double low, high; };

/*
 * Where function >= 0 on [low, high], as stretches in rising order. The axis
 * is walked in n_steps equal steps (100 or more: in 50 or more strides, and in
 * every step where they tell of an edge or a turn), then every edge is pinned
 * to within tolerance; the ends given back always satisfy function >= 0 themselves, so
 * a demand met at an end is truly met. NaN counts as "not met". A stretch
 * narrower than one stride can be missed between two grid points, except that
 * a local maximum seen on the grid is looked into.
 *
 * intervals  room for `capacity`; found says how many there are, which may be
 *            more than were kept (STATUS_NUMERIC then)
 *
 * STATUS_NUMERIC  n_steps 0 or above ROOT_STEPS_MAX, low > high, or more stretches than capacity
 */
#define ROOT_STEPS_MAX 500
enum status root_nonnegative(root_function *function, void *context, double low, double high, size_t n_steps,
                             double tolerance, struct root_interval *intervals, size_t capacity, size_t *found);

/*
 * The x in [low, high] with the smallest value: grid of n_steps (of 100
 * or more only about the lowest of 50 or more strides), then Brent's minimiser round the best grid point; ends are candidates too. Ties go to
 * the smaller x. NaN values are passed over.
 *
 * STATUS_NUMERIC  no finite value on the grid; *x is NaN then
 * Source: Brent 1973, chapter 5
 */
enum status root_minimum(root_function *function, void *context, double low, double high, size_t n_steps,
                         double tolerance, double *x);

#endif
