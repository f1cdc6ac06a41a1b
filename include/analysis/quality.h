#ifndef ANALYSIS_QUALITY_H
#define ANALYSIS_QUALITY_H

#include "analysis/sample.h"

/*
 * Quality of testing: what the scatter of companion specimens says about the
 * weighing and breaking. Nothing here removes a row or alters a value.
 * Source of all: docs/methods/quality.md
 */

enum quality_kind {
    QUALITY_OUTLIER,   /* a specimen far from its companions */
    QUALITY_RANGE_WIDE /* a batch whose range passes the precision limit */
};

/* One thing to look at. A limit that was passed is no proof of a fault. */
struct quality_finding {
    enum quality_kind kind;
    enum property property;
    size_t row;             /* set row of the specimen; of the batch's first one for a range */
    uint32_t mix, batch;    /* set indices */
    double value;           /* base unit; for a range: range in % of the batch mean */
    double companions_mean; /* base unit: of the specimens it is held against; for a range: the batch mean */
    double p;               /* outlier: chance of one as far out in this mix when all is well; NaN for a range */
    double limit_pct;       /* range: what 95 of 100 ranges stay within; NaN for an outlier */
    size_t n;               /* companions, the specimen or batch itself counted */
};

/* How the batches of one property fared against the precision limit. */
struct quality_range_count {
    size_t n_batches;         /* with two companions or more, and a limit */
    size_t n_wide;            /* of those, beyond it */
    size_t n_not_established; /* below 800 kg/m3, where nobody established a limit */
};

/* Owns items; release with quality_findings_release(). */
struct quality_findings {
    struct quality_finding *items;
    size_t n_items, capacity;
    struct quality_range_count range[PROPERTY_COUNT];
    size_t n_mixes_tested;    /* mixes with enough companions for the outlier test */
};

/* Within-test coefficient of variation of a method, %, and the method; NaN and NULL where none is known. */
double quality_reference_cv_pct(enum property property, const char **method);

/* Below this density the reference limits hold for nothing that was ever tested. */
#define QUALITY_LEAST_DENSITY_KG_M3 800.0

/* Range of n companions, % of their mean, that 95 of 100 batches stay within: q(0.95; n, infinity) times the CV. */
double quality_range_limit_pct(double cv_pct, size_t n);

/*
 * Sets FLAG_OUTLIER and FLAG_RANGE_WIDE in set->flags and lists why.
 * Only specimens of one mix, age, moisture state, shape and loading are compared. All
 * properties, ages and states of a mix share one chance of 5 % of any false
 * outlier flag in that mix.
 * STATUS_MEMORY
 */
enum status quality_flag(struct specimen_set *set, struct quality_findings *findings, struct problem *problem);
void quality_findings_release(struct quality_findings *findings);

/* Adds a doubt for each outlier, with its place. */
void quality_tell_outliers(const struct specimen_set *set, const struct quality_findings *findings, bool us,
                           struct problem_list *problems);

/* Adds a notice for each property whose batches passed the limit or could not be held against one. */
void quality_tell_ranges(const struct quality_findings *findings, struct problem_list *problems);

#endif
