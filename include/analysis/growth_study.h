#ifndef ANALYSIS_GROWTH_STUDY_H
#define ANALYSIS_GROWTH_STUDY_H

#include "analysis/curve.h"
#include "stats/growth.h"

/* One law of growth with age, tried on one mix. */
struct age_law {
    bool fitted;
    struct growth_fit fit;
    double aicc;                 /* of the points; NaN with too few of them */
    char why_not[160];           /* "" when fitted */
    bool repeated;               /* batches were tested at several ages: their luck stays, so the points are not independent */
    struct growth_fit *without;  /* n_without: fits with each batch left out in turn, where repeated; none when one of them fails */
    size_t n_without;
};

/* A property of one mix over its ages. */
struct age_curve {
    uint32_t mix;                /* set index */
    enum property property;
    size_t n_specimens, n_batches, n_ages;
    size_t n_points;             /* means of batches at an age; specimens where no batch is told */
    struct age_law laws[GROWTH_LAW_COUNT];
    enum growth_law chosen;      /* GROWTH_LAW_COUNT: none could be fitted */
    struct growth_value at;      /* the chosen curve at the common age; NaN without one */
    double df;                   /* of its standard error there; NaN */
    double share, share_lower, share_upper; /* at that age, of the reference mix's curve, 1 = alike; NaN */
};

/* Curves of all mixes, a property after the other. Release with growth_study_release(). */
struct growth_study {
    struct age_curve *items;
    size_t n_items;
    double confidence;
    double age_days;             /* at which mixes are compared; NaN without a curve */
    uint32_t reference;          /* set index; SAMPLE_ALL: none */
};

struct age_question {
    const enum property *properties; /* n_properties */
    size_t n_properties;
    enum growth_law law;         /* GROWTH_LAW_COUNT: all that can be fitted, smallest AICc chosen */
    struct selection selection;  /* aggregates and moisture; an age is no selection here */
    double age_days;             /* at which mixes are compared; NaN: 28 days, or the nearest age that most curves hold */
    const char *reference_mix;   /* NULL: the first mix without light aggregate that has a curve */
    double confidence;
};

/*
 * Fits each property of each mix on age. Points are means of a batch at one
 * age; mixes with fewer than two ages are left out. Results are of one moisture
 * state and one kind of specimen, as by a settled selection, else settled over
 * all ages, which is said where there are several.
 *
 * STATUS_USAGE   no mix is named reference_mix
 * STATUS_MEMORY
 * Source: docs/methods/strength-with-age.md
 */
enum status growth_study_make(const struct specimen_set *set, const struct age_question *question, struct growth_study *study,
                           struct problem_list *problems);
void growth_study_release(struct growth_study *study);

/* How many curves there are. */
size_t growth_study_fitted(const struct growth_study *study);

/* Why the first law that was tried could not be fitted; "" when all were. */
const char *age_curve_why_not(const struct age_curve *curve);

/*
 * A constant of a fitted law with its interval: of least squares, or from the
 * fits without each batch where batches were tested at several ages (NaN where
 * these cannot be had).
 */
void age_law_constant(const struct age_law *law, size_t index, double confidence, struct coefficient_row *row);

#endif
