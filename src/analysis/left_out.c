#include "analysis/left_out.h"

#include "analysis/row_filter.h"
#include "analysis/states.h"
#include "base/memory.h"
#include "base/text.h"

#include <math.h>
#include <stdio.h>

#define NAMED_MOST 6

/* How far the results of a mix come through the choices; the first that none passes is the reason. */
enum passed { PASSED_NOTHING, PASSED_AGE, PASSED_MOISTURE, PASSED_ALL, NO_RESULTS };

struct left_out {
    const struct specimen_set *set;
    const struct selection *selection;
    uint8_t *passed;     /* n_mixes a property; an enum passed */
    size_t n_all;        /* mixes of the property looked at that passed all */
    struct kind_counts kinds;
};

static uint8_t *passed_of(const struct left_out *out, enum property property, size_t mix)
{
    return &out->passed[(size_t)property * out->set->n_mixes + mix];
}

static enum passed row_passed(const struct row_filter *filter, size_t i)
{
    if (!row_filter_age(filter, i))
        return PASSED_NOTHING;
    if (!row_filter_moisture(filter, i))
        return PASSED_AGE;
    return row_filter_kind(filter, i) ? PASSED_ALL : PASSED_MOISTURE;
}

/* Rows from .. to-1 all come so far; those of a batch are of one mix. */
static void note_passed(struct left_out *out, enum property property, const double *value, enum passed here, size_t from, size_t to)
{
    const struct specimen_set *set = out->set;
    uint32_t noted = UINT32_MAX;
    for (size_t i = from; i < to; i++) {
        if (set->batch[i] == noted || isnan(value[i]))
            continue;
        noted = set->batch[i];
        uint8_t *best = passed_of(out, property, specimen_set_mix(set, i));
        if (*best != NO_RESULTS && here <= (enum passed)*best)
            continue;
        *best = (uint8_t)here;
        out->n_all += here == PASSED_ALL;
        if (out->n_all == set->n_mixes)
            return;
    }
}

/* Ends as soon as every mix has a result that passes all: mostly after a few rows. */
static void look_at(struct left_out *out, enum property property)
{
    const struct specimen_set *set = out->set;
    out->n_all = 0;
    for (size_t mix = 0; mix < set->n_mixes; mix++)
        *passed_of(out, property, mix) = NO_RESULTS;
    if (!set->value[property])
        return;
    const struct row_filter filter = row_filter_of(set, out->selection, property);
    for (size_t from = 0, to; from < set->n && out->n_all < set->n_mixes; from = to) {
        to = rows_alike(set, from);
        note_passed(out, property, filter.value, row_passed(&filter, from), from, to);
    }
}

/* Whether a mix has nothing at all of the age that was chosen. */
static bool lost_by_age(const struct left_out *out, size_t mix)
{
    bool any = false;
    for (enum property property = 0; property < PROPERTY_COUNT; property++) {
        uint8_t passed = *passed_of(out, property, mix);
        if (passed != PASSED_NOTHING && passed != NO_RESULTS)
            return false;
        any = any || passed == PASSED_NOTHING;
    }
    return any;
}

/* What a mix has instead: the ages, states or kinds of its results of the property, or of all for PROPERTY_COUNT. */
static void instead_words(struct left_out *out, enum property property, size_t mix, enum passed passed, char *words, size_t size)
{
    const struct specimen_set *set = out->set;
    struct age_list ages = { 0 };
    struct moisture_counts states = { { 0 } };
    for (size_t kind = 0; kind <= set->n_kinds; kind++)
        out->kinds.n[kind] = 0;
    for (size_t i = 0; i < set->n; i++) {
        if (specimen_set_mix(set, i) != mix || (property < PROPERTY_COUNT && isnan(set->value[property][i])))
            continue;
        age_list_add(&ages, specimen_set_age(set, i), 1);
        states.n[specimen_set_moisture(set, i)]++;
        kind_counts_add(&out->kinds, i, 1);
    }
    if (passed == PASSED_NOTHING)
        age_list_words(&ages, words, size);
    else if (passed == PASSED_AGE)
        moisture_counts_words(&states, words, size);
    else
        kind_counts_words(&out->kinds, words, size);
}

/* The names with what they have instead: "'P30' (7 days: 6), 'P45' (7 days: 3) and 2 more". Returns how many there are. */
static size_t list_mixes(struct left_out *out, enum property property, const bool *wanted, struct text *names)
{
    size_t n = 0;
    for (size_t mix = 0; mix < out->set->n_mixes; mix++) {
        const bool whole = lost_by_age(out, mix);
        const enum passed passed = property == PROPERTY_COUNT ? (whole ? PASSED_NOTHING : PASSED_ALL)
                                                              : (enum passed)*passed_of(out, property, mix);
        if (!wanted[out->set->mixes[mix].aggregate] || passed >= PASSED_ALL || (whole && property < PROPERTY_COUNT))
            continue;
        if (n++ >= NAMED_MOST)
            continue;
        char instead[100];
        instead_words(out, property, mix, passed, instead, sizeof instead);
        text_addf(names, "%s'%.40s' (%s)", n > 1 ? ", " : "", out->set->mixes[mix].name, instead);
    }
    if (n > NAMED_MOST)
        text_addf(names, " and %zu more", n - NAMED_MOST);
    return n;
}

static enum status tell_property(struct left_out *out, enum property property, const bool *wanted, struct problem_list *problems)
{
    struct text names = { 0 };
    char chosen[160];
    size_t n = list_mixes(out, property, wanted, &names);
    enum status status = names.failed ? STATUS_MEMORY : STATUS_OK;
    if (n > 0 && status == STATUS_OK && property == PROPERTY_COUNT) {
        problem_list_add(problems, SEVERITY_NOTICE, STATUS_OK, NULL, "left out for want of results at %g days: mix%s %s",
                         out->selection->age_days, n > 1 ? "es" : "", names.bytes);
    } else if (n > 0 && status == STATUS_OK) {
        selection_words(out->set, out->selection, property, out->set->us_units, chosen, sizeof chosen);
        problem_list_add(problems, SEVERITY_NOTICE, STATUS_OK, NULL, "left out of %s, having none of %s: mix%s %s",
                         property_row(property)->words, chosen, n > 1 ? "es" : "", names.bytes);
    }
    text_release(&names);
    return status;
}

static enum status tell_all(struct left_out *out, const bool *wanted, struct problem_list *problems)
{
    for (enum property property = 0; property < PROPERTY_COUNT; property++)
        look_at(out, property);
    enum status status = tell_property(out, PROPERTY_COUNT, wanted, problems);
    for (enum property property = 0; status == STATUS_OK && property < PROPERTY_COUNT; property++)
        status = tell_property(out, property, wanted, problems);
    return status;
}

enum status left_out_tell(const struct specimen_set *set, const struct selection *selection, struct problem_list *problems)
{
    struct left_out out = { .set = set, .selection = selection, .kinds = kind_counts_new(set) };
    bool *wanted = memory_new(set->n_aggregates, sizeof *wanted);
    out.passed = memory_new(set->n_mixes * PROPERTY_COUNT, sizeof *out.passed);
    enum status status = wanted && out.passed && out.kinds.n ? STATUS_OK : STATUS_MEMORY;
    for (size_t i = 0; status == STATUS_OK && i < set->n_aggregates; i++)
        wanted[i] = selection_wants(selection, set->aggregates[i]);
    if (status == STATUS_OK)
        status = tell_all(&out, wanted, problems);
    if (status != STATUS_OK)
        problem_list_add(problems, SEVERITY_ERROR, STATUS_MEMORY, NULL, "no memory left to name the mixes that are left out");
    memory_free(wanted);
    memory_free(out.passed);
    memory_free(out.kinds.n);
    return status;
}
