#ifndef ANALYSIS_SAMPLE_H
#define ANALYSIS_SAMPLE_H

#include "specimen/specimen_set.h"

/* Which specimens a question is about. */
struct selection {
    const char *const *aggregates; /* names; n_aggregates 0 = all */
    size_t n_aggregates;
    double age_days;               /* NaN = not told */
    enum moisture moisture;        /* MOISTURE_UNKNOWN = not told */
    enum moisture property_moisture[PROPERTY_COUNT]; /* by selection_settle; MOISTURE_UNKNOWN = as `moisture` */
};

/* Nothing told: every aggregate, any age, any moisture state. */
struct selection selection_all(void);

/* Whether the selection is about this aggregate: it names it (case, blanks, '_' and '-' aside), or names none. */
bool selection_wants(const struct selection *selection, const char *aggregate);

/*
 * Rows of a set that have a property (and belong to one aggregate or mix), as
 * arrays for the statistics. Release with sample_release().
 */
struct sample {
    size_t n, n_batches, n_mixes;
    double *x;          /* aggregate fraction (or other predictor) */
    double *y;          /* property, base unit */
    uint32_t *batch;    /* 0..n_batches-1 within the sample */
    uint32_t *mix;      /* 0..n_mixes-1 within the sample */
    uint32_t *batch_of, *mix_of; /* sample index -> set index, n_batches and n_mixes */
    size_t *row;        /* sample row -> set row */
    size_t n_other_age, n_other_moisture; /* left out by the selection */
};

#define SAMPLE_ALL UINT32_MAX
/*
 * aggregate, mix: set indices, or SAMPLE_ALL. predictor: PROPERTY_COUNT for
 * the aggregate fraction, else a property (rows without it are left out).
 * SAMPLE_PREDICTOR_NONE needs no predictor (x is NaN). The aggregates named in
 * the selection count only when both aggregate and mix are SAMPLE_ALL.
 * A chosen age or state applies to a property when at least one of its results
 * has one; results without it are then left out and counted.
 * Ages or moisture states are never pooled silently: when the selection does
 * not tell one and the rows hold several, STATUS_INPUT and problem lists what
 * is there and the option to choose with.
 * STATUS_TOO_FEW when no row is left.
 */
#define SAMPLE_PREDICTOR_NONE ((enum property)(PROPERTY_COUNT + 1))
enum status sample_take(const struct specimen_set *set, const struct selection *selection,
                        uint32_t aggregate, uint32_t mix, enum property property, enum property predictor,
                        struct sample *sample, struct problem *problem);
void sample_release(struct sample *sample);

/*
 * Settles age and moisture for a whole run: when not told and the set has
 * several, the age with most rows is taken (28 days when tied) and said in a
 * notice; moisture likewise per property. A state that was told but that no
 * result of a property has is said too, and that property's own main state
 * taken. Ages are equal when within 0.5 day. A second call changes nothing.
 * STATUS_USAGE when an aggregate named in the selection is not in the set.
 */
enum status selection_settle(const struct specimen_set *set, struct selection *selection,
                             struct problem_list *problems);

/*
 * Whether the results of a strength that a settled selection chooses are of
 * several kinds of specimen: of several shapes, or of beams bent in several
 * ways. out lists them, as "cube: 12, cylinder: 6"; rows that tell no kind do
 * not count. Cubes read higher than cylinders, and centre-point loading higher
 * than third-point loading: docs/methods/compression.md, flexure.md.
 */
bool selection_mixes_kinds(const struct specimen_set *set, const struct selection *selection, enum property property,
                           char *out, size_t size);

/* A notice for every strength of which that is so. */
void selection_tell_kinds(const struct specimen_set *set, const struct selection *selection, struct problem_list *problems);

/* A notice when some specimens tell a batch and others do not: that the latter count as batches of their own is easily missed. */
void selection_tell_batches(const struct specimen_set *set, struct problem_list *problems);

/*
 * Rows that the aggregates, age and moisture told in a selection name, into
 * wanted (set->n); what is not told leaves nothing out. Returns how many.
 */
size_t selection_rows(const struct specimen_set *set, const struct selection *selection, bool *wanted);

#endif
