#ifndef ANALYSIS_SAMPLE_H
#define ANALYSIS_SAMPLE_H

#include "specimen/specimen_set.h"
#include "stats/mixed.h"

#define SELECTION_KINDS 8

/*
 * Which specimens a question is about. As told by the user, and, once
 * selection_settle() has seen the results, as chosen where nothing was told.
 */
struct selection {
    const char *const *aggregates; /* names; n_aggregates 0 = all */
    size_t n_aggregates;
    double age_days;               /* NaN = not told */
    enum moisture moisture;        /* MOISTURE_UNKNOWN = not told */
    struct specimen_kind kinds[SELECTION_KINDS]; /* told; a strength takes the first of which it has results */
    size_t n_kinds;
    bool kinds_together;           /* kinds of specimen are not told apart: for what tells the kinds of each mix itself */
    enum moisture property_moisture[PROPERTY_COUNT]; /* by selection_settle; MOISTURE_UNKNOWN = as `moisture` */
    uint32_t property_kind[PROPERTY_COUNT];      /* by selection_settle, of strengths: 1 + index into the set's kinds; 0 = any */
    bool settled;
};

/* Nothing told: every aggregate, any age, any moisture state, any kind of specimen. */
struct selection selection_all(void);

/* Whether the selection is about this aggregate: it names it (case, blanks, '_' and '-' aside), or names none. */
bool selection_wants(const struct selection *selection, const char *aggregate);

/* What the results of a property are of: NaN and UNKNOWN where nothing is told (or, for the kind, where it does not count). */
struct selection_state { double age_days; enum moisture moisture; struct specimen_kind kind; };
struct selection_state selection_state(const struct specimen_set *set, const struct selection *selection, enum property property);

/* In words: "28 days, air-dry, cube 100 mm"; "" when nothing is told. */
void selection_state_words(const struct selection_state *state, bool us, char *out, size_t size);

/* The same by a settled selection. */
void selection_words(const struct specimen_set *set, const struct selection *selection, enum property property, bool us,
                     char *out, size_t size);

/*
 * Rows of a set that have a property (and belong to one aggregate or mix), as
 * arrays for the statistics. Release with sample_release().
 */
struct sample {
    size_t n, n_batches, n_mixes;
    double *y;          /* n: property, base unit */
    uint32_t *batch;    /* n: 0..n_batches-1 within the sample */
    uint32_t *row;      /* n: row of the set */
    double *row_x;      /* n: another property as the predictor; NULL when it is the aggregate fraction, or none */
    double *mix_x;      /* n_mixes: the aggregate fraction as the predictor, else NULL */
    uint32_t *batch_mix; /* n_batches: its mix, 0..n_mixes-1 within the sample */
    uint32_t *batch_of, *mix_of; /* sample index -> set index, n_batches and n_mixes */
    size_t n_other_age, n_other_moisture, n_other_kind; /* left out by the selection */
    bool summed;        /* without rows (property_sums.h): y, batch, row and row_x are NULL, n_other_... not counted, sample_x() and
                           sample_state() not to be asked; what follows stands for them, and batch_mix and batch_of are lent */
    struct mixed_pool sums, log_sums; /* of y and of its logarithm */
    bool positive, no_batch; /* log_sums hold; no row has a batch */
};

/* The predictor of a row; NaN when none was asked for. */
double sample_x(const struct sample *sample, size_t i);

/* What the rows of a sample of a property are of. */
struct selection_state sample_state(const struct specimen_set *set, const struct sample *sample, enum property property);

#define SAMPLE_ALL UINT32_MAX
/*
 * aggregate, mix: set indices, or SAMPLE_ALL. predictor: PROPERTY_COUNT for
 * the aggregate fraction, else a property (rows without it are left out).
 * SAMPLE_PREDICTOR_NONE needs no predictor (x is NaN). The aggregates named in
 * the selection count only when both aggregate and mix are SAMPLE_ALL.
 * A chosen age or state applies to a property when at least one of its results
 * has one; results without it are then left out and counted.
 * Ages, moisture states and, for strengths, kinds of specimen are never
 * pooled silently: when the selection does not tell one and the rows hold
 * several, STATUS_INPUT and problem lists what is there and the option to
 * choose with.
 * STATUS_TOO_FEW when no row is left.
 */
#define SAMPLE_PREDICTOR_NONE ((enum property)(PROPERTY_COUNT + 1))
enum status sample_take(const struct specimen_set *set, const struct selection *selection,
                        uint32_t aggregate, uint32_t mix, enum property property, enum property predictor,
                        struct sample *sample, struct problem *problem);
void sample_release(struct sample *sample);
/* Lets y go before the rest: y is NULL then. */
void sample_release_values(struct sample *sample);

/*
 * Whether every aggregate, age, moisture state and kind that was told is some
 * specimen's; all that is not is said at once, with what there is.
 * STATUS_USAGE, STATUS_MEMORY.
 */
enum status selection_check(const struct specimen_set *set, const struct selection *selection, struct problem_list *problems);

/*
 * Settles age, moisture and kind of specimen for a whole run: when not told
 * and the set has several, the age with most rows is taken (28 days when tied)
 * and said in a notice; moisture likewise per property, the kind per strength.
 * A state or kind that was told but that no result of a property has is said
 * too, and that property's own main one taken. Mixes that lose all results by
 * it are named. Ages are equal when within 0.5 day. A second call changes
 * nothing.
 * Fails as selection_check().
 * Source: docs/methods/selection.md
 */
enum status selection_settle(const struct specimen_set *set, struct selection *selection,
                             struct problem_list *problems);

/*
 * Rows that the aggregates, age, moisture and kinds told in a selection name, into
 * wanted (set->n); what is not told leaves nothing out. Returns how many.
 */
size_t selection_rows(const struct specimen_set *set, const struct selection *selection, bool *wanted);

#endif
