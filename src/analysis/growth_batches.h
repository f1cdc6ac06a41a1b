#ifndef ANALYSIS_SRC_GROWTH_BATCHES_H
#define ANALYSIS_SRC_GROWTH_BATCHES_H

#include "analysis/age_points.h"

/*
 * Fits a law again without each batch in turn, where batches were tested at
 * several ages, so that law->without tells how far the batches' luck moves it.
 * STATUS_MEMORY. Source: docs/methods/strength-with-age.md
 */
enum status growth_leave_batches_out(const struct age_points *points, struct age_law *law);
void growth_batches_release(struct age_law *law);

/* Jackknife variance of n values, each found without one batch; NaN with fewer than two. */
double growth_batches_variance(const struct age_law *law, double (*value)(const struct growth_fit *fit, double at), double at);

/* Puts the interval of `value` (the law at an age) on what the batches tell, where they were tested at several ages. */
void growth_batches_interval(const struct age_law *law, double age_days, double confidence, struct growth_value *value, double *df);

#endif
