#ifndef ANALYSIS_QUALITY_H
#define ANALYSIS_QUALITY_H

#include "analysis/mix_summary.h"

/*
 * Quality of testing: what the scatter of companion specimens says about the
 * weighing and breaking. Nothing here removes a row or alters a value.
 * Source of all: docs/methods/quality.md
 */

/* A specimen far from its companions: one to look at, and no proof of a fault. */
struct quality_finding {
    enum property property;
    size_t row;             /* set row of the specimen */
    uint32_t mix, batch;    /* set indices */
    double value;           /* base unit */
    double companions_mean; /* base unit: of the specimens it is held against */
    double p;               /* chance of one as far out in this mix when all is well */
    size_t n;               /* companions, the specimen itself counted */
};

/* How the batches of one property fared against the precision limit. */
struct quality_range_count {
    size_t n_batches;         /* with two companions or more, and a limit */
    size_t n_wide;            /* of those, beyond it */
    size_t n_not_established; /* below 800 kg/m3, where nobody established a limit */
};

/* Owns items; release with quality_findings_release(). */
struct quality_findings {
    struct quality_finding *items; /* outliers */
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
 * Sets FLAG_OUTLIER and FLAG_RANGE_WIDE in set->flags, lists the outliers and counts the batches.
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

/* Quality of testing of one property in one mix, base unit. NaN where it cannot be had. */
struct quality_mix {
    uint32_t mix;
    size_t n_specimens, n_batches;
    size_t n_sets;                   /* two companions or more of one batch and kind */
    double mean;
    double within_sd, within_df;     /* pooled over the sets */
    double within_cv_pct;            /* within_sd in % of the mean */
    double mean_range, range_sd;     /* mean range and that over d2; only when all sets have one size */
    double batch_sd;                 /* random-batch fit */
    double repeatability_sd;         /* same fit, specimens of one batch */
    double reproducibility_sd;       /* one specimen each of two batches */
    double repeatability_limit, reproducibility_limit; /* what two results differ by in at most 5 of 100 cases */
    size_t n_variances;              /* Cochran: batches held against each other; 0 = no test */
    uint32_t wildest_batch;
    double cochran, cochran_p;
};

/* A batch on the control chart. */
struct quality_point {
    uint32_t mix, batch;
    int32_t cast_on;                 /* days since 1970-01-01; INT32_MIN = not given */
    double mean;                     /* base unit */
    double shown;                    /* what is held against the limits */
    bool beyond;                     /* farther than 3 sigma: the only rule used */
};

/*
 * Individuals chart of batch means in order of casting. With one mix `shown`
 * is the mean itself; with several it is the deviation from the mix's mean in
 * %, scaled by sqrt(J / (J - 1)) for the J batches of the mix, which have one
 * mean between them. Sigma is the mean moving range over 1.128.
 */
struct quality_control {
    struct quality_point *points;
    size_t n_points, n_beyond;
    bool relative;                   /* shown is in % of the mix's mean */
    bool by_date;                    /* false: a batch without cast_on, so the order of the file stands */
    double centre, sigma, lower, upper; /* NaN with fewer than QUALITY_LEAST_POINTS points */
};
#define QUALITY_LEAST_POINTS 8

/* Owns its arrays; release with quality_release(). */
struct quality {
    enum property property;
    size_t n_specimens, n_batches, n_mixes;
    struct quality_mix *mixes;       /* n_mixes: those with results, set order */
    double within_cv_pct, within_df; /* pooled over all sets, each in % of its own mean */
    double batch_cv_pct, batch_df;   /* pooled over mixes, weighted by batches less one */
    double repeatability_limit_pct, reproducibility_limit_pct;
    const char *class_word;          /* of within_cv_pct by ACI 214R for laboratory trial batches; NULL where none holds */
    struct quality_control control;
};

/*
 * Rows as sample_take() takes them for the property; means are those of the
 * same selection. n_mixes is 0 when there are none.
 * STATUS_INPUT (several ages or states), STATUS_MEMORY
 */
enum status quality_measure(const struct specimen_set *set, const struct selection *selection,
                            const struct mix_summary_list *means, enum property property,
                            struct quality *quality, struct problem *problem);
void quality_release(struct quality *quality);

/* Class of a within-test CV of compressive strength, ACI 214R, laboratory trial batches: "excellent" to "poor". */
const char *quality_class(double within_cv_pct);

#endif
