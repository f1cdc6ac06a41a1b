#ifndef ANALYSIS_SRC_QUALITY_FLAG_H
#define ANALYSIS_SRC_QUALITY_FLAG_H

#include "analysis/companions.h"
#include "analysis/quality.h"

/* Batches are small: range factors up to this number of companions are computed once. */
#define RANGE_FACTORS_KEPT 32

/* A judgement of the whole set under way. */
struct quality_run {
    struct specimen_set *set;
    struct quality_findings *findings;
    struct companion_values values;
    bool *taken;       /* values.n: named as an outlier before */
    double least_density; /* of the group at hand, kg/m3; INFINITY: none was weighed */
    size_t capacity;   /* of values and taken */
    double range_factor[RANGE_FACTORS_KEPT + 1]; /* by companions; 0 = not computed yet */
};

bool quality_add(struct quality_findings *findings, const struct quality_finding *finding);

/* Least degrees of freedom for the outlier test: below, one specimen hides or makes an outlier by luck. */
#define OUTLIER_LEAST_DF 4

/* Degrees of freedom that the companions in run->values leave about their centres. */
size_t quality_outlier_df(const struct companion_values *values);

/* Flags specimens of run->values that stand out at this chance of a false alarm. STATUS_MEMORY. */
enum status quality_flag_outliers(struct quality_run *run, enum property property, uint32_t mix, double alpha);

/* Flags batches of run->values whose range passes the limit, and counts them. */
void quality_flag_ranges(struct quality_run *run, enum property property);

#endif
