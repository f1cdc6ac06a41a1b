#include "analysis/states.h"

#include "base/memory.h"

#include <math.h>
#include <stdio.h>

#define AGE_TOLERANCE_DAYS 0.5
#define AGE_USUAL_DAYS 28.0

bool age_same(double a_days, double b_days)
{
    if (isnan(a_days) || isnan(b_days))
        return isnan(a_days) && isnan(b_days);
    return fabs(a_days - b_days) <= AGE_TOLERANCE_DAYS;
}

void age_list_add(struct age_list *list, double age_days, size_t n_rows)
{
    if (isnan(age_days)) {
        list->n_without += n_rows;
        return;
    }
    for (size_t i = 0; i < list->n_ages; i++) {
        if (age_same(list->age_days[i], age_days)) {
            list->n_rows[i] += n_rows;
            return;
        }
    }
    if (list->n_ages == AGES_KEPT) {
        list->n_beyond += n_rows;
        return;
    }
    list->age_days[list->n_ages] = age_days;
    list->n_rows[list->n_ages++] = n_rows;
}

size_t age_list_kinds(const struct age_list *list)
{
    return list->n_ages + (list->n_without > 0) + (list->n_beyond > 0);
}

static bool age_preferred(double age_days, double than_days)
{
    if (age_same(than_days, AGE_USUAL_DAYS))
        return false;
    return age_same(age_days, AGE_USUAL_DAYS) || age_days > than_days;
}

double age_list_main(const struct age_list *list)
{
    size_t best = 0;
    for (size_t i = 1; i < list->n_ages; i++)
        if (list->n_rows[i] > list->n_rows[best]
            || (list->n_rows[i] == list->n_rows[best] && age_preferred(list->age_days[i], list->age_days[best])))
            best = i;
    return list->n_ages > 0 ? list->age_days[best] : NAN;
}

size_t age_list_rows(const struct age_list *list, double age_days)
{
    for (size_t i = 0; i < list->n_ages; i++)
        if (age_same(list->age_days[i], age_days))
            return list->n_rows[i];
    return 0;
}

/* Adds "name: n" with a comma before all but the first; stops when out is full. */
static void add_count(char *out, size_t size, size_t *used, const char *name, size_t n)
{
    if (n == 0 || *used + 1 >= size)
        return;
    int added = snprintf(out + *used, size - *used, "%s%s: %zu", *used ? ", " : "", name, n);
    *used = added < 0 || *used + (size_t)added >= size ? size - 1 : *used + (size_t)added;
}

void age_list_words(const struct age_list *list, char *out, size_t size)
{
    size_t used = 0;
    char name[32];
    out[0] = '\0';
    for (size_t i = 0; i < list->n_ages; i++) {
        snprintf(name, sizeof name, "%g days", list->age_days[i]);
        add_count(out, size, &used, name, list->n_rows[i]);
    }
    add_count(out, size, &used, "other ages", list->n_beyond);
    add_count(out, size, &used, "no age", list->n_without);
}

size_t moisture_counts_kinds(const struct moisture_counts *counts)
{
    size_t kinds = 0;
    for (size_t i = 0; i < MOISTURE_COUNT; i++)
        kinds += counts->n[i] > 0;
    return kinds;
}

enum moisture moisture_counts_main(const struct moisture_counts *counts)
{
    size_t best = MOISTURE_UNKNOWN;
    for (size_t i = MOISTURE_UNKNOWN + 1; i < MOISTURE_COUNT; i++)
        if (counts->n[i] > 0 && (best == MOISTURE_UNKNOWN || counts->n[i] >= counts->n[best]))
            best = i;
    return (enum moisture)best;
}

void moisture_counts_words(const struct moisture_counts *counts, char *out, size_t size)
{
    size_t used = 0;
    out[0] = '\0';
    for (size_t i = 0; i < MOISTURE_COUNT; i++)
        add_count(out, size, &used, i == MOISTURE_UNKNOWN ? "no state" : moisture_word((enum moisture)i), counts->n[i]);
}

struct kind_counts kind_counts_new(const struct specimen_set *set)
{
    return (struct kind_counts){ set, memory_new(set->n_kinds + 1, sizeof(size_t)) };
}

void kind_counts_add(struct kind_counts *counts, size_t row, size_t n_rows)
{
    counts->n[specimen_set_kind_index(counts->set, row)] += n_rows;
}

/* A set that tells no kinds has one, of which nothing is known. */
static size_t kinds_of(const struct specimen_set *set)
{
    return set->n_kinds > 0 ? set->n_kinds : 1;
}

size_t kind_counts_kinds(const struct kind_counts *counts)
{
    size_t kinds = 0;
    for (size_t i = 0; i < kinds_of(counts->set); i++)
        kinds += counts->n[i] > 0;
    return kinds;
}

uint32_t kind_counts_main(const struct kind_counts *counts, struct specimen_kind wanted)
{
    const struct specimen_set *set = counts->set;
    size_t best = SIZE_MAX;
    for (size_t i = 0; i < kinds_of(set); i++) {
        if (counts->n[i] == 0 || !specimen_kind_meant(wanted, specimen_set_kind_at(set, i)))
            continue;
        bool told = specimen_set_kind_at(set, i).shape != SHAPE_UNKNOWN, best_told = best != SIZE_MAX && specimen_set_kind_at(set, best).shape != SHAPE_UNKNOWN;
        if (best == SIZE_MAX || (told && !best_told) || (told == best_told && counts->n[i] > counts->n[best]))
            best = i;
    }
    return best == SIZE_MAX ? 0 : (uint32_t)best + 1;
}

void kind_counts_words(const struct kind_counts *counts, char *out, size_t size)
{
    size_t used = 0;
    char name[64];
    out[0] = '\0';
    for (size_t i = 0; i < kinds_of(counts->set); i++) {
        specimen_kind_words(specimen_set_kind_at(counts->set, i), counts->set->us_units, name, sizeof name);
        add_count(out, size, &used, name, counts->n[i]);
    }
}
