#ifndef ANALYSIS_SRC_STATES_H
#define ANALYSIS_SRC_STATES_H

#include "specimen/specimen_set.h"

/* Ages are one when within half a day. Two missing ages are the same, a missing and a known one are not. */
bool age_same(double a_days, double b_days);

/* Ages met, with their rows. Beyond AGES_KEPT different ones only the number of rows is kept. */
#define AGES_KEPT 64
struct age_list {
    double age_days[AGES_KEPT];
    size_t n_rows[AGES_KEPT];
    size_t n_ages;
    size_t n_without;     /* rows with no age */
    size_t n_beyond;      /* rows of ages that found no room */
};
void age_list_add(struct age_list *list, double age_days, size_t n_rows);
/* Different ages, a missing one counted as one. */
size_t age_list_kinds(const struct age_list *list);
/* The age with most rows; of equals 28 days, else the oldest. NaN when none is known. */
double age_list_main(const struct age_list *list);
size_t age_list_rows(const struct age_list *list, double age_days);
/* "7 days: 18, 28 days: 54, no age: 2" */
void age_list_words(const struct age_list *list, char *out, size_t size);

struct moisture_counts { size_t n[MOISTURE_COUNT]; };
size_t moisture_counts_kinds(const struct moisture_counts *counts);
/* The known state with most rows, of equals the driest; MOISTURE_UNKNOWN when none is known. */
enum moisture moisture_counts_main(const struct moisture_counts *counts);
/* "oven-dry: 54, no state: 6" */
void moisture_counts_words(const struct moisture_counts *counts, char *out, size_t size);

/* Rows by the kinds of a set, n one a kind. Release n with memory_free(); NULL when memory is out. */
struct kind_counts {
    const struct specimen_set *set;
    size_t *n;
};
struct kind_counts kind_counts_new(const struct specimen_set *set);
/* n_rows that are of the kind of this row. */
void kind_counts_add(struct kind_counts *counts, size_t row, size_t n_rows);
size_t kind_counts_kinds(const struct kind_counts *counts);
/* 1 + index of the kind with most rows of those that `wanted` means, one with a shape before one without, of equals the first met; 0: none. */
uint32_t kind_counts_main(const struct kind_counts *counts, struct specimen_kind wanted);
/* "cube 100 mm: 54, cylinder 150 mm: 6" */
void kind_counts_words(const struct kind_counts *counts, char *out, size_t size);

#endif
