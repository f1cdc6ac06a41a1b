#ifndef ANALYSIS_SRC_ROW_FILTER_H
#define ANALYSIS_SRC_ROW_FILTER_H

#include "analysis/sample.h"

/*
 * The age, moisture state and kind of specimen that the results of one
 * property must be of by a selection. A choice applies only when some result
 * of the property tells what is chosen by.
 */
struct row_filter {
    const struct specimen_set *set;
    const struct selection *selection;
    const double *value;    /* of the property */
    double age_days;        /* NaN: any */
    enum moisture moisture; /* MOISTURE_UNKNOWN: any */
    uint32_t kind;          /* 1 + index into the set's kinds; 0: as told */
    bool by_kind;           /* a strength whose results tell a shape */
};

/* value must not be NULL: the set has the property. */
struct row_filter row_filter_of(const struct specimen_set *set, const struct selection *selection, enum property property);

bool row_filter_age(const struct row_filter *filter, size_t i);
bool row_filter_moisture(const struct row_filter *filter, size_t i);
bool row_filter_kind(const struct row_filter *filter, size_t i);
/* All three. */
bool row_filter_passes(const struct row_filter *filter, size_t i);

/*
 * Rows mostly follow one another in the same age, moisture state and kind: the
 * first row after `from` that is of another, so that a filter need not look at
 * those between.
 */
size_t rows_alike(const struct specimen_set *set, size_t from);
/* Rows from .. to-1 that have a value. */
size_t rows_with_value(const double *value, size_t from, size_t to);

/* "28 days, air-dry, cube 100 mm"; "" when nothing is chosen. */
void row_filter_words(const struct row_filter *filter, bool us, char *out, size_t size);

/*
 * Settles the state and kind that the results of one property are taken of, at
 * the age of the selection (NaN: at any), and says what was chosen.
 * STATUS_MEMORY, said too.
 */
enum status settle_property(const struct specimen_set *set, struct selection *selection, enum property property,
                            struct problem_list *problems);

/* Whether one of the kinds told is meant by a row's kind, or none was told. */
bool selection_wants_kind(const struct selection *selection, struct specimen_kind kind);

#endif
