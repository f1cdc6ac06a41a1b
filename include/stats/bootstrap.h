#ifndef STATS_BOOTSTRAP_H
#define STATS_BOOTSTRAP_H

#include "base/problem.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/*
 * Computes the figures of interest from some units (batches), which may
 * occur more than once or not at all.
 *
 * units, n_units  indices of the units to use, grouped by stratum in rising order
 * context         the caller's; shared by all threads, so only to be read
 * values          out, n_values of the plan; NaN = this one cannot be had
 *
 * Returns false when the whole resample gives no answer (a fit failed).
 */
typedef bool bootstrap_statistic(const uint32_t *units, size_t n_units, void *context, double *values);

/* What to resample. Units are drawn with replacement within their stratum, as many as it has. */
struct bootstrap_plan {
    size_t n_units;
    const uint32_t *stratum;   /* n_units, 0 .. n_strata-1, or NULL: all in one */
    size_t n_strata;           /* 0 or 1 with stratum NULL */
    size_t n_values;           /* figures a resample gives */
    size_t n_resamples;        /* 1999 is usual for 95 % limits */
    uint64_t seed;
    unsigned n_threads;        /* 0 or 1: none besides the caller's; the result is the same for any number */
};

/* Owns its arrays; release with bootstrap_release(). */
struct bootstrap {
    size_t n_values, n_resamples, n_strata, n_units;
    double *estimate;          /* n_values: from the units as they are */
    double *replicates;        /* n_values blocks of n_usable[v] values in rising order; block v starts at v * n_resamples */
    size_t *n_usable;          /* n_values: resamples that gave a number */
    double *acceleration;      /* n_values: from leaving out one unit at a time; NaN when that failed */
    double *bias;              /* n_values: z0, normal quantile of the share below the estimate; may be infinite */
};

/*
 * STATUS_TOO_FEW  fewer than 2 units in every stratum, or no resamples asked
 * STATUS_NUMERIC  the units as they are give no answer
 * STATUS_MEMORY
 * Source: Efron and Tibshirani, An Introduction to the Bootstrap, 1993,
 * chapters 13 and 14; strata: Davison and Hinkley, Bootstrap Methods and
 * their Application, 1997, section 5.3. docs/methods/bootstrap.md
 */
enum status bootstrap_run(const struct bootstrap_plan *plan, bootstrap_statistic *statistic, void *context,
                          struct bootstrap *result, struct problem *problem);
void bootstrap_release(struct bootstrap *result);

/* Which limits were given back. */
enum bootstrap_method {
    BOOTSTRAP_PERCENTILE,
    BOOTSTRAP_BCA,
    BOOTSTRAP_EXPANDED,   /* percentiles further out, by Student's t with n_units - n_strata df: for few units */
    BOOTSTRAP_NONE
};

struct bootstrap_limits {
    enum bootstrap_method method; /* what was used; NONE: lower and upper are NaN */
    double lower, upper;
    double std_error;             /* sd of the replicates */
    double share_usable;          /* of the resamples, 0 to 1 */
    bool at_edge;                 /* a limit fell on the most extreme replicate: more resamples are needed */
};

/*
 * Two-sided limits of figure number `value`. BCa is asked with method
 * BOOTSTRAP_BCA and falls back to percentiles (method says so) when its
 * constants cannot be had. Drawing n units from n makes their mean vary by
 * (n-1)/n too little in variance; BOOTSTRAP_EXPANDED leaves that to the
 * caller, who may widen the units about their stratum by sqrt(n/(n-1)).
 * confidence between 0 and 1.
 * Source: T. C. Hesterberg, American Statistician 69 (2015) 371-386 (expanded)
 */
struct bootstrap_limits bootstrap_limits(const struct bootstrap *result, size_t value,
                                         enum bootstrap_method method, double confidence);

#endif
