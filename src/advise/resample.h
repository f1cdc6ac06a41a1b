#ifndef ADVISE_SRC_RESAMPLE_H
#define ADVISE_SRC_RESAMPLE_H

#include "advise/search.h"

/* Points of the ladder along the tested range on which demands are first looked at. */
#define LADDER 128
#define RUNGS (LADDER + 2) /* points 0 .. LADDER, and one for an even number: so two are worked out at once */
#define TERMS_MAX 3

/*
 * What is drawn: the batches behind the curves, grouped by mix. Beyond
 * UNITS_A_MIX batches of a mix several make up one unit, whose mean varies as
 * much less as there are more, so the answer is the same and the work bounded.
 * Release with unit_list_release().
 */
#define UNITS_A_MIX 40
#define UNITS_IN_ALL 4000
struct unit_list {
    uint32_t *stratum;      /* n_units: number of the mix */
    uint32_t *unit_of;      /* batches of the set: unit + 1, 0 = none */
    size_t n_units, n_strata;
};

/*
 * The batches that these samples (PROPERTY_COUNT, some empty) hold; others have no say in the curves.
 * STATUS_TOO_FEW  a mix has one batch only in a sample, or more mixes than UNITS_IN_ALL leaves two units each
 * STATUS_MEMORY
 */
enum status unit_list_make(struct unit_list *units, const struct specimen_set *set, const struct sample *samples);
void unit_list_release(struct unit_list *units);

/* What a unit adds to the normal equations of least squares: the lower triangle by rows, then the right side; 0 without a result. */
#define SHARE_MATRIX (TERMS_MAX * (TERMS_MAX + 1) / 2)
#define SHARE_ROOM 10 /* SHARE_MATRIX + TERMS_MAX, and one for an even number */
struct unit_share { double part[SHARE_ROOM]; };

/* One curve as it is fitted to each draw, and what turns its estimate into an assured value. */
struct resample_curve {
    const struct curve *curve;
    struct unit_share *shares;   /* n_units */
    double linear[RUNGS], square[RUNGS]; /* terms of the law at each point */
    double distance[RUNGS];      /* of the assured value from the curve, on the fit's scale; kept from the data */
};

/* One demand on the fit's scale of its curve, or a cost that does not change from resample to resample. */
struct resample_demand {
    size_t curve;      /* index, or n_curves for a cost */
    double threshold;
    int side;          /* -1 target, +1 limit */
};

/* Everything a resample reads. */
struct resample {
    const struct search *search;
    double low, high;
    size_t n_units, n_curves, n_demands;
    struct resample_curve curves[PROPERTY_COUNT];
    struct resample_demand demands[2 * DEMANDS_MAX];
    size_t sought_curve;         /* n_curves: the cost */
    double cost[RUNGS];
};

/*
 * The best fraction of a resample: bootstrap_statistic with one value, NaN
 * when no fraction meets the demands; false when a refit fails.
 */
bool resample_best_fraction(const uint32_t *units, size_t n_units, void *context, double *values);

#endif
