#ifndef STATS_GROWTH_H
#define STATS_GROWTH_H

#include "stats/nonlinear.h"

/* How something grows with time towards a limit. */
enum growth_law {
    GROWTH_HYPERBOLIC,        /* limit * t / (half_time + t) */
    GROWTH_EXPONENTIAL,       /* limit * exp(-(time_constant / t)^shape) */
    GROWTH_ROOT_EXPONENTIAL,  /* limit * exp(-sqrt(time_constant / t)): the same with shape 1/2 */
    GROWTH_LAW_COUNT
};
#define GROWTH_PARAMETERS_MAX 3

const char *growth_law_word(enum growth_law law);      /* "hyperbolic" */
const char *growth_law_formula(enum growth_law law);   /* "limit * t / (half_time + t)" */
size_t growth_law_parameters(enum growth_law law);     /* 2 or 3 */
const char *growth_law_parameter(enum growth_law law, size_t index); /* "limit", "half_time" ... */

/* Value of the law; NaN for t < 0. */
double growth_law_value(enum growth_law law, const double *parameter, double t);

struct growth_fit {
    enum growth_law law;
    double t_min, t_max;      /* range of the data */
    struct nonlinear_fit fit; /* parameters in the order of growth_law_parameter() */
};

/*
 * Fits the law to n results y > 0 at times t > 0 (one unit each), each result
 * counting alike; starting values are found from the data.
 * STATUS_TOO_FEW  fewer distinct times than parameters, or no df left
 * STATUS_NUMERIC  a time or value not above 0, no convergence, no limit in
 *                 sight (the data still rise in a straight line)
 * STATUS_MEMORY
 * Source: docs/methods/strength-with-age.md
 */
enum status growth_fit_estimate(enum growth_law law, const double *t, const double *y, size_t n,
                                struct growth_fit *fit, struct problem *problem);
void growth_fit_release(struct growth_fit *fit);

/*
 * Many results at few times: all that a least squares fit asks of them, since their squares about the mean at their time are the
 * same for every curve. growth_fit_estimate() pools results by itself; fewer than these, or at more times, it takes one by one.
 */
#define GROWTH_RESULTS_MANY 500
#define GROWTH_TIMES_MOST 512
struct growth_times {
    size_t n_times, n_results;
    double t[GROWTH_TIMES_MOST], mean[GROWTH_TIMES_MOST], n[GROWTH_TIMES_MOST];
    double squares;
};

/* False when they are too few, or at too many times. */
bool growth_times_pool(struct growth_times *times, const double *t, const double *y, size_t n);

/* Takes a result out again that is among them. */
void growth_times_take_out(struct growth_times *times, double t, double y);

/* Fits the law of `whole` to most of the results that it was fitted to, from its constants on. Statuses as growth_fit_estimate(). */
enum status growth_fit_again(const struct growth_fit *whole, const struct growth_times *times, struct growth_fit *fit, struct problem *problem);

/* Curve at t with its two-sided confidence limits (delta method on ln value, so that limits stay above 0). */
struct growth_value { double estimate, std_error, lower, upper; bool outside; /* t beyond the data */ };
struct growth_value growth_fit_at(const struct growth_fit *fit, double t, double confidence);

#endif
