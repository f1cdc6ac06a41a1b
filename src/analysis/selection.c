#include "analysis/sample.h"

#include "analysis/states.h"
#include "base/text.h"

#include <math.h>

static bool set_has_aggregate(const struct specimen_set *set, const char *name)
{
    for (size_t i = 0; i < set->n_aggregates; i++)
        if (text_same(set->aggregates[i], name))
            return true;
    return false;
}

static enum status check_aggregates(const struct specimen_set *set, const struct selection *selection,
                                    struct problem_list *problems)
{
    for (size_t i = 0; i < selection->n_aggregates; i++) {
        const char *name = selection->aggregates[i];
        if (set_has_aggregate(set, name))
            continue;
        const char *nearest = text_nearest(name, (const char *const *)set->aggregates, set->n_aggregates);
        problem_list_add(problems, SEVERITY_ERROR, STATUS_USAGE, NULL, "no aggregate '%s' in the results%s%s%s", name,
                         nearest ? ": did you mean '" : "", nearest ? nearest : "", nearest ? "'?" : "");
        return STATUS_USAGE;
    }
    return STATUS_OK;
}

static void settle_age(const struct specimen_set *set, struct selection *selection, struct problem_list *problems)
{
    if (!set->age_days || !isnan(selection->age_days))
        return;
    struct age_list ages = { 0 };
    for (size_t i = 0; i < set->n; i++)
        age_list_add(&ages, set->age_days[i]);
    double age = age_list_main(&ages);
    selection->age_days = age;
    if (isnan(age) || age_list_kinds(&ages) < 2)
        return;
    char listed[240];
    age_list_words(&ages, listed, sizeof listed);
    problem_list_add(problems, SEVERITY_NOTICE, STATUS_OK, NULL,
                     "results are of several ages (%s): those at %g days are used, choose another with --age", listed, age);
}

static bool property_has_age(const struct specimen_set *set, enum property property)
{
    for (size_t i = 0; set->age_days && i < set->n; i++)
        if (!isnan(set->value[property][i]) && !isnan(set->age_days[i]))
            return true;
    return false;
}

/* Rows of the settled age by state, or all rows when the property's results tell no age. */
static void count_states(const struct specimen_set *set, const struct selection *selection, enum property property,
                         struct moisture_counts *counts)
{
    bool any_age = isnan(selection->age_days) || !property_has_age(set, property);
    for (size_t i = 0; i < set->n; i++)
        if (!isnan(set->value[property][i]) && (any_age || age_same(set->age_days[i], selection->age_days)))
            counts->n[set->moisture[i]]++;
}

/* A chosen age cannot bind a property whose results tell none: all of them are used, and that is said. */
static void say_without_age(const struct specimen_set *set, const struct selection *selection, bool told,
                            struct problem_list *problems)
{
    for (enum property property = 0; !told && !isnan(selection->age_days) && property < PROPERTY_COUNT; property++)
        if (set->value[property] && !property_has_age(set, property))
            problem_list_add(problems, SEVERITY_NOTICE, STATUS_OK, NULL, "no age is given with any %s: all its results are used",
                             property_row(property)->words);
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
    struct moisture_counts counts = { { 0 } };
    if (!set->value[property] || selection->property_moisture[property] != MOISTURE_UNKNOWN)
        return;
    count_states(set, selection, property, &counts);
    enum moisture told = selection->moisture, taken = moisture_counts_main(&counts);
    if (told != MOISTURE_UNKNOWN && counts.n[told] > 0)
        taken = told;
    selection->property_moisture[property] = taken;
    if (taken == MOISTURE_UNKNOWN || (taken == told) || (moisture_counts_kinds(&counts) < 2 && told == MOISTURE_UNKNOWN))
        return;
    char listed[160];
    moisture_counts_words(&counts, listed, sizeof listed);
    say_other_state(property, told, taken, listed, problems);
}

enum status selection_settle(const struct specimen_set *set, struct selection *selection,
                             struct problem_list *problems)
{
    enum status status = check_aggregates(set, selection, problems);
    if (status != STATUS_OK)
        return status;
    bool told = !isnan(selection->age_days);
    settle_age(set, selection, problems);
    say_without_age(set, selection, told, problems);
    for (enum property property = 0; property < PROPERTY_COUNT; property++)
        settle_moisture(set, selection, property, problems);
    return STATUS_OK;
}

void selection_tell_batches(const struct specimen_set *set, struct problem_list *problems)
{
    size_t without = 0;
    for (size_t i = 0; i < set->n; i++)
        without += (set->flags[i] & FLAG_NO_BATCH) != 0;
    if (without > 0 && without < set->n)
        problem_list_add(problems, SEVERITY_NOTICE, STATUS_OK, NULL,
                         "no batch is told of %zu of %zu specimens: each counts as a batch of its own, which makes bounds optimistic; "
                         "fill in their batch", without, set->n);
}
