#include "analysis/sample.h"

#include "analysis/left_out.h"
#include "analysis/row_filter.h"
#include "analysis/states.h"
#include "base/memory.h"
#include "base/text.h"

#include <math.h>

#define LISTED_MOST 320

static bool set_has_aggregate(const struct specimen_set *set, const char *name)
{
    for (size_t i = 0; i < set->n_aggregates; i++)
        if (text_same(set->aggregates[i], name))
            return true;
    return false;
}

static void check_aggregates(const struct specimen_set *set, const struct selection *selection, struct problem_list *problems)
{
    for (size_t i = 0; i < selection->n_aggregates; i++) {
        const char *name = selection->aggregates[i];
        if (set_has_aggregate(set, name))
            continue;
        const char *nearest = text_nearest(name, (const char *const *)set->aggregates, set->n_aggregates);
        problem_list_add(problems, SEVERITY_ERROR, STATUS_USAGE, NULL, "no aggregate '%s' in the results%s%s%s", name,
                         nearest ? ": did you mean '" : "", nearest ? nearest : "", nearest ? "'?" : "");
        return;
    }
}

static void count_ages(const struct specimen_set *set, struct age_list *ages)
{
    for (size_t from = 0, to; from < set->n; from = to) {
        to = rows_alike(set, from);
        age_list_add(ages, specimen_set_age(set, from), to - from);
    }
}

/* An age that was told must be some specimen's: the answer would else be about something else, or about nothing. */
static void check_age(const struct specimen_set *set, const struct selection *selection, struct problem_list *problems)
{
    struct age_list ages = { 0 };
    char listed[LISTED_MOST];
    if (isnan(selection->age_days))
        return;
    count_ages(set, &ages);
    if (age_list_rows(&ages, selection->age_days) > 0)
        return;
    age_list_words(&ages, listed, sizeof listed);
    problem_list_add(problems, SEVERITY_ERROR, STATUS_USAGE, NULL, "--age: no specimen is of %g days; there are %s",
                     selection->age_days, listed);
}

static void check_moisture(const struct specimen_set *set, const struct selection *selection, struct problem_list *problems)
{
    struct moisture_counts states = { { 0 } };
    char listed[LISTED_MOST];
    if (selection->moisture == MOISTURE_UNKNOWN)
        return;
    for (size_t i = 0; i < set->n; i++)
        states.n[specimen_set_moisture(set, i)]++;
    if (states.n[selection->moisture] > 0)
        return;
    moisture_counts_words(&states, listed, sizeof listed);
    problem_list_add(problems, SEVERITY_ERROR, STATUS_USAGE, NULL, "--moisture: no specimen is %s; there are %s",
                     moisture_word(selection->moisture), listed);
}

static enum status check_kinds(const struct specimen_set *set, const struct selection *selection, struct problem_list *problems)
{
    char told[80], listed[LISTED_MOST];
    if (selection->n_kinds == 0)
        return STATUS_OK;
    struct kind_counts counts = kind_counts_new(set);
    if (!counts.n) {
        problem_list_add(problems, SEVERITY_ERROR, STATUS_MEMORY, NULL, "no memory left to count the kinds of specimens");
        return STATUS_MEMORY;
    }
    for (size_t i = 0; i < set->n; i++)
        kind_counts_add(&counts, i, 1);
    kind_counts_words(&counts, listed, sizeof listed);
    for (size_t i = 0; i < selection->n_kinds; i++) {
        specimen_kind_words(selection->kinds[i], set->us_units, told, sizeof told);
        if (kind_counts_main(&counts, selection->kinds[i]) == 0)
            problem_list_add(problems, SEVERITY_ERROR, STATUS_USAGE, NULL, "--shape: no specimen is a '%s'; there are %s", told, listed);
    }
    memory_free(counts.n);
    return STATUS_OK;
}

static void settle_age(const struct specimen_set *set, struct selection *selection, struct problem_list *problems)
{
    if (!isnan(selection->age_days))
        return;
    struct age_list ages = { 0 };
    count_ages(set, &ages);
    double age = age_list_main(&ages);
    selection->age_days = age;
    if (isnan(age) || age_list_kinds(&ages) < 2)
        return;
    char listed[LISTED_MOST];
    age_list_words(&ages, listed, sizeof listed);
    problem_list_add(problems, SEVERITY_NOTICE, STATUS_OK, NULL,
                     "results are of several ages (%s): those at %g days are used, choose another with --age", listed, age);
}

/* A chosen age cannot bind a property whose results tell none: all of them are used, and that is said. */
static void say_without_age(const struct specimen_set *set, const struct selection *selection, struct problem_list *problems)
{
    for (enum property property = 0; !isnan(selection->age_days) && property < PROPERTY_COUNT; property++) {
        if (!set->value[property])
            continue;
        struct row_filter filter = row_filter_of(set, selection, property);
        if (isnan(filter.age_days))
            problem_list_add(problems, SEVERITY_NOTICE, STATUS_OK, NULL, "no age is given with any %s: all its results are used",
                             property_row(property)->words);
    }
}

/* Rows of the settled age by state. */
static void count_states(const struct row_filter *filter, struct moisture_counts *counts)
{
    for (size_t from = 0, to; from < filter->set->n; from = to) {
        to = rows_alike(filter->set, from);
        if (row_filter_age(filter, from))
            counts->n[specimen_set_moisture(filter->set, from)] += rows_with_value(filter->value, from, to);
    }
}

static void say_other_state(enum property property, enum moisture told, enum moisture taken, const char *listed,
                            struct problem_list *problems)
{
    const char *words = property_row(property)->words;
    if (told != MOISTURE_UNKNOWN && told != taken)
        problem_list_add(problems, SEVERITY_NOTICE, STATUS_OK, NULL, "no %s is given %s (%s): the %s results are used",
                         words, moisture_word(told), listed, moisture_word(taken));
    else if (told == MOISTURE_UNKNOWN)
        problem_list_add(problems, SEVERITY_NOTICE, STATUS_OK, NULL,
                         "%s is given in several moisture states (%s): the %s results are used, choose another with --moisture",
                         words, listed, moisture_word(taken));
}

static void settle_moisture(const struct specimen_set *set, struct selection *selection, enum property property,
                            struct problem_list *problems)
{
    const struct row_filter filter = row_filter_of(set, selection, property);
    struct moisture_counts counts = { { 0 } };
    count_states(&filter, &counts);
    enum moisture told = selection->moisture, taken = moisture_counts_main(&counts);
    if (told != MOISTURE_UNKNOWN && counts.n[told] > 0)
        taken = told;
    selection->property_moisture[property] = taken;
    if (taken == MOISTURE_UNKNOWN || (taken == told) || (moisture_counts_kinds(&counts) < 2 && told == MOISTURE_UNKNOWN))
        return;
    char listed[LISTED_MOST];
    moisture_counts_words(&counts, listed, sizeof listed);
    say_other_state(property, told, taken, listed, problems);
}

/* The kind with most rows, of those that were told when the property has any; told says whether it has. */
static uint32_t choose_kind(const struct kind_counts *counts, const struct selection *selection, bool *told)
{
    static const struct specimen_kind any = { SHAPE_UNKNOWN, LOADING_UNKNOWN, NAN };
    uint32_t kind = 0;
    for (size_t i = 0; kind == 0 && i < selection->n_kinds; i++)
        kind = kind_counts_main(counts, selection->kinds[i]);
    *told = kind > 0;
    return kind > 0 ? kind : kind_counts_main(counts, any);
}

static bool meant_alone(const struct kind_counts *counts, const struct selection *selection)
{
    size_t meant = 0;
    for (size_t i = 0; i < counts->set->n_kinds; i++)
        meant += counts->n[i] > 0 && selection_wants_kind(selection, counts->set->kinds[i]);
    return meant == 1;
}

static void say_kind(const struct kind_counts *counts, const struct selection *selection, enum property property, bool told,
                     struct problem_list *problems)
{
    const struct specimen_set *set = counts->set;
    char listed[LISTED_MOST], taken[80];
    if (kind_counts_kinds(counts) < 2 || (told && meant_alone(counts, selection)))
        return;
    kind_counts_words(counts, listed, sizeof listed);
    specimen_kind_words(set->kinds[selection->property_kind[property] - 1], set->us_units, taken, sizeof taken);
    problem_list_add(problems, SEVERITY_NOTICE, STATUS_OK, NULL,
                     "%s is given of several kinds of specimen (%s), which do not compare: those of '%s' are used, the others are left out; "
                     "choose another with --shape", property_row(property)->words, listed, taken);
}

static enum status settle_kind(const struct specimen_set *set, struct selection *selection, enum property property,
                               struct problem_list *problems)
{
    const struct row_filter filter = row_filter_of(set, selection, property);
    struct kind_counts counts = kind_counts_new(set);
    bool told;
    if (!counts.n) {
        problem_list_add(problems, SEVERITY_ERROR, STATUS_MEMORY, NULL, "no memory left to count the kinds of specimens");
        return STATUS_MEMORY;
    }
    for (size_t from = 0, to; filter.by_kind && from < set->n; from = to) {
        to = rows_alike(set, from);
        if (row_filter_age(&filter, from) && row_filter_moisture(&filter, from))
            kind_counts_add(&counts, from, rows_with_value(filter.value, from, to));
    }
    selection->property_kind[property] = choose_kind(&counts, selection, &told);
    if (filter.by_kind)
        say_kind(&counts, selection, property, told, problems);
    memory_free(counts.n);
    return STATUS_OK;
}

enum status settle_property(const struct specimen_set *set, struct selection *selection, enum property property,
                            struct problem_list *problems)
{
    settle_moisture(set, selection, property, problems);
    return settle_kind(set, selection, property, problems);
}

enum status selection_check(const struct specimen_set *set, const struct selection *selection, struct problem_list *problems)
{
    const size_t errors_before = problems->n_errors;
    check_aggregates(set, selection, problems);
    check_age(set, selection, problems);
    check_moisture(set, selection, problems);
    if (check_kinds(set, selection, problems) != STATUS_OK)
        return STATUS_MEMORY;
    return problems->n_errors > errors_before ? STATUS_USAGE : STATUS_OK;
}

enum status selection_settle(const struct specimen_set *set, struct selection *selection,
                             struct problem_list *problems)
{
    if (selection->settled)
        return STATUS_OK;
    enum status status = selection_check(set, selection, problems);
    if (status != STATUS_OK)
        return status;
    settle_age(set, selection, problems);
    say_without_age(set, selection, problems);
    for (enum property property = 0; property < PROPERTY_COUNT; property++) {
        if (set->value[property] && settle_property(set, selection, property, problems) != STATUS_OK)
            return STATUS_MEMORY;
    }
    selection->settled = true;
    status = left_out_tell(set, selection, problems);
    return problems->worst == STATUS_MEMORY ? STATUS_MEMORY : status;
}
