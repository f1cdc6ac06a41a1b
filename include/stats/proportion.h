#ifndef STATS_PROPORTION_H
#define STATS_PROPORTION_H

#include <stddef.h>

/* Share of passes, with exact binomial bounds. NaN for trials 0, passes > trials or confidence out of (0,1). */
struct proportion { double estimate, lower, upper; };

/* Two-sided limits at this confidence. Source: C. J. Clopper and E. S. Pearson, Biometrika 26 (1934) 404-413 */
struct proportion proportion_limits(size_t passes, size_t trials, double confidence);

/* One-sided: "at least this share would pass", "at most this share would pass". */
double proportion_lower(size_t passes, size_t trials, double confidence);
double proportion_upper(size_t passes, size_t trials, double confidence);

/* Trials that must all pass to show that at least `share` would, at this confidence; 0 out of domain. */
size_t proportion_trials_without_failure(double share, double confidence);

#endif
