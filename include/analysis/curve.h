#ifndef ANALYSIS_CURVE_H
#define ANALYSIS_CURVE_H

#include "analysis/property_sums.h"
#include "stats/mixed.h"

enum law {
    LAW_LINEAR, LAW_QUADRATIC, LAW_EXPONENTIAL, LAW_EXPONENTIAL_QUADRATIC, LAW_POWER,
    LAW_COUNT, LAW_AUTO = LAW_COUNT
};
const char *law_word(enum law law);      /* "exponential-quadratic" */
const char *law_formula(enum law law);   /* "ln y = a + b x + c x^2" */
bool law_find(const char *word, enum law *law);
bool law_is_log(enum law law);
size_t law_terms(enum law law);
/* Terms of the law at x: 1, x, x^2 or 1, ln x. */
void law_design(enum law law, double x, double terms[3]);
/* Coefficient name for term j: "intercept", name, "name^2", "ln name". */
void law_term_name(enum law law, size_t term, const char *predictor, char *out, size_t size);

/* How an assured value is defined (design: `--assurance`). */
enum assurance_kind { ASSURANCE_MEAN, ASSURANCE_NEXT_BATCH, ASSURANCE_FRACTILE, ASSURANCE_COUNT };
const char *assurance_word(enum assurance_kind kind);
bool assurance_find(const char *word, enum assurance_kind *kind);
struct assurance {
    enum assurance_kind kind;
    double confidence;          /* one-sided, 0.95 */
    double fractile;            /* 0.05 */
    double specimens_per_batch; /* m, 3 */
};

/* One law fitted to one property of one aggregate. Owns its fit. */
struct curve {
    uint32_t aggregate;         /* index in the set; SAMPLE_ALL for a general fit */
    enum property property;
    enum property predictor;    /* PROPERTY_COUNT: aggregate fraction */
    enum law law;
    bool chosen, fitted;        /* fitted false: problem says why */
    bool doubtful;              /* not monotone within the tested range */
    bool shape_untested;        /* as many terms as values of the predictor: nothing tells the shape between them */
    bool all_no_batch;          /* no batch column: optimistic */
    size_t n_specimens, n_batches, n_mixes;
    double x_min, x_max;        /* tested range */
    double aicc;                /* on the scale of y (Jacobian counted), ML, batch variance counted */
    double cross_validation_rmse; /* of specimens whose batch is left out, on the scale of y; NaN when a batch cannot be spared */
    double r_squared, residual_sd; /* on the fit's scale; residual_sd: total sd of one specimen */
    struct lack_of_fit lack_of_fit;
    struct mixed_fit fit;
    struct problem problem;
};

/* All laws tried for one property of one aggregate; curves[i].law == i; chosen is LAW_COUNT when none fitted. */
struct curve_set {
    struct curve curves[LAW_COUNT];
    enum law chosen;
    struct sample sample;       /* the data behind it; empty after curve_set_choose */
};

/*
 * Fits the law, or all that apply for LAW_AUTO (power only when all x > 0, log
 * laws only when all y > 0), and marks the choice: smallest AICc, ties
 * within 2 by leave-one-batch-out error; of two values of the predictor the
 * most cautious law (half way a strength lowest, another property highest). Laws not asked for stay unfitted.
 * A reference mix counts as the end point of a curve only when its aggregate
 * is that curve's aggregate.
 * STATUS_TOO_FEW  no law can be fitted (problem says what is missing)
 * STATUS_NUMERIC  ... because the numbers do not allow it
 * STATUS_INPUT    several ages or moisture states (sample_take)
 * STATUS_MEMORY
 * Source: docs/methods/laws.md
 */
enum status curve_set_fit(const struct specimen_set *set, const struct selection *selection,
                          uint32_t aggregate, enum property property, enum property predictor,
                          enum law law, struct curve_set *curves, struct problem *problem);

/*
 * Fits all laws against the aggregate fraction to go by one: `law`, or for
 * LAW_AUTO the one that curve_set_fit() would choose. What only a reader
 * compares is not worked out: lack of fit of the laws not chosen, errors of
 * the laws that the choice does not lie between (NaN). The data, which can be
 * long, are let go: curve_set_sample() gathers them again. Statuses as above; a
 * law asked for that cannot be fitted gives its own.
 * sums: by the same selection, to fit them where they were made; or NULL.
 */
enum status curve_set_choose(const struct specimen_set *set, const struct selection *selection, const struct property_sums *sums,
                             uint32_t aggregate, enum property property, enum law law, struct curve_set *curves, struct problem *problem);
void curve_set_release(struct curve_set *curves);

/* The data behind a set of curves once more, by the selection that it was fitted with; sums as above. Statuses of sample_take(). */
enum status curve_set_sample(const struct specimen_set *set, const struct selection *selection, const struct property_sums *sums,
                             const struct curve_set *curves, struct sample *sample, struct problem *problem);
const struct curve *curve_set_chosen(const struct curve_set *curves); /* NULL when none */

/* Estimate at x on the property's own scale (for log laws: the median). */
double curve_value(const struct curve *curve, double x);

/*
 * Bound at x: below (side -1, for a target) or above (side +1, for a limit).
 * NaN when the bound cannot be had (too few batches). Source: docs/methods/assured-values.md
 */
double curve_bound(const struct curve *curve, double x, const struct assurance *assurance, int side);

/*
 * Chance that the mean of m specimens of a new batch at x is at or above value
 * (side -1, a target) or at or below it (side +1, a limit): Student's t of the
 * prediction. NaN when it cannot be had.
 */
double curve_chance(const struct curve *curve, double x, double value, double specimens_per_batch, int side);

/* Variance of the estimate at x on the scale of y (log laws: by the delta method) and its df; false when it cannot be had. */
bool curve_variance(const struct curve *curve, double x, double *variance, double *df);

/* Two-sided confidence limits of the curve at x. */
void curve_confidence(const struct curve *curve, double x, double confidence, double *lower, double *upper);

/* One coefficient with its test; the row of `fit --json`. */
struct coefficient_row { char name[80]; double estimate, std_error, df, t, p, lower, upper; };
void curve_coefficient(const struct curve *curve, size_t term, double confidence, struct coefficient_row *row);

/*
 * The same with y and the predictor in other units: a unit is worth so many base units (1 for the aggregate fraction). On a
 * logarithm another unit of y moves the intercept; another unit of x moves that of the power law and scales the terms of others.
 */
struct curve_units { double x, y; };
void curve_coefficient_in(const struct curve *curve, size_t term, struct curve_units units, double confidence, struct coefficient_row *row);

#endif
