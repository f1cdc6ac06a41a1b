#include "analysis/row_filter.h"

#include "analysis/states.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

bool selection_wants_kind(const struct selection *selection, struct specimen_kind kind)
{
    for (size_t i = 0; i < selection->n_kinds; i++)
        if (specimen_kind_meant(selection->kinds[i], kind))
            return true;
    return selection->n_kinds == 0;
}

struct row_filter row_filter_of(const struct specimen_set *set, const struct selection *selection, enum property property)
{
    const enum moisture settled = selection->property_moisture[property];
    struct row_filter filter = {
        .set = set, .selection = selection, .value = set->value[property], .age_days = selection->age_days,
        .moisture = settled != MOISTURE_UNKNOWN ? settled : selection->moisture, .kind = selection->property_kind[property],
    };
    bool has_age = false, has_moisture = false, has_kind = false;
    for (size_t i = 0; i < set->n && !(has_age && has_moisture && has_kind); i++) {
        if (isnan(filter.value[i]))
            continue;
        has_age = has_age || !isnan(specimen_set_age(set, i));
        has_moisture = has_moisture || specimen_set_moisture(set, i) != MOISTURE_UNKNOWN;
        has_kind = has_kind || specimen_set_kind(set, i).shape != SHAPE_UNKNOWN;
    }
    if (!has_age)
        filter.age_days = NAN;
    if (!has_moisture)
        filter.moisture = MOISTURE_UNKNOWN;
    filter.by_kind = has_kind && property_is_strength(property) && !selection->kinds_together;
    return filter;
}

bool row_filter_age(const struct row_filter *filter, size_t i)
{
    return isnan(filter->age_days) || age_same(specimen_set_age(filter->set, i), filter->age_days);
}

bool row_filter_moisture(const struct row_filter *filter, size_t i)
{
    return filter->moisture == MOISTURE_UNKNOWN || specimen_set_moisture(filter->set, i) == filter->moisture;
}

bool row_filter_kind(const struct row_filter *filter, size_t i)
{
    if (!filter->by_kind)
        return true;
    if (filter->kind > 0)
        return specimen_set_kind_index(filter->set, i) == filter->kind - 1;
    return selection_wants_kind(filter->selection, specimen_set_kind(filter->set, i));
}

bool row_filter_passes(const struct row_filter *filter, size_t i)
{
    return row_filter_age(filter, i) && row_filter_moisture(filter, i) && row_filter_kind(filter, i);
}

#define STRIDE 64 /* rows compared at once */

static bool row_like_above(const struct specimen_set *set, size_t i)
{
    return (!set->moisture || set->moisture[i] == set->moisture[i - 1]) && (!set->kind || set->kind[i] == set->kind[i - 1])
        && (!set->age_days || set->age_days[i] == set->age_days[i - 1]);
}

/* Whether a column holds in STRIDE rows what it holds in the row above them. */
static bool column_like_above(const void *column, size_t size, size_t i)
{
    const char *first = (const char *)column + i * size;
    return memcmp(first, first - size, STRIDE * size) == 0;
}

/* Whether STRIDE rows are as the row above them. */
static bool stride_like_above(const struct specimen_set *set, size_t i)
{
    return (!set->moisture || column_like_above(set->moisture, sizeof *set->moisture, i))
        && (!set->kind || column_like_above(set->kind, sizeof *set->kind, i))
        && (!set->age_days || column_like_above(set->age_days, sizeof *set->age_days, i));
}

size_t rows_alike(const struct specimen_set *set, size_t from)
{
    size_t to = from + 1;
    if (!set->moisture && !set->kind && !set->age_days)
        return set->n;
    for (; to < set->n && row_like_above(set, to); to++)
        while ((to - from) % STRIDE == 0 && to + STRIDE < set->n && stride_like_above(set, to + 1))
            to += STRIDE;
    return to;
}

size_t rows_with_value(const double *value, size_t from, size_t to)
{
    size_t n = to - from;
    for (size_t i = from; i < to; i++)
        if (isnan(value[i]))
            n--;
    return n;
}

static struct selection_state state_of(const struct row_filter *filter)
{
    struct selection_state state = { filter->age_days, filter->moisture, { SHAPE_UNKNOWN, LOADING_UNKNOWN, NAN } };
    if (filter->by_kind && filter->kind > 0)
        state.kind = filter->set->kinds[filter->kind - 1];
    return state;
}

void selection_state_words(const struct selection_state *state, bool us, char *out, size_t size)
{
    char kind[80] = "", age[40] = "";
    const char *moisture = moisture_word(state->moisture);
    if (!isnan(state->age_days))
        snprintf(age, sizeof age, "%g day%s", state->age_days, age_same(state->age_days, 1) ? "" : "s");
    if (state->kind.shape != SHAPE_UNKNOWN)
        specimen_kind_words(state->kind, us, kind, sizeof kind);
    snprintf(out, size, "%s%s%s%s%s", age, age[0] && moisture[0] ? ", " : "", moisture,
             (age[0] || moisture[0]) && kind[0] ? ", " : "", kind);
}

/* Before the kind is settled those told stand for it, which may be several. */
void row_filter_words(const struct row_filter *filter, bool us, char *out, size_t size)
{
    const struct selection *selection = filter->selection;
    const struct selection_state state = state_of(filter);
    char kind[80];
    selection_state_words(&state, us, out, size);
    for (size_t i = 0; filter->by_kind && filter->kind == 0 && i < selection->n_kinds; i++) {
        const size_t used = strlen(out);
        specimen_kind_words(selection->kinds[i], us, kind, sizeof kind);
        snprintf(out + used, size - used, "%s%s", i > 0 ? " or " : used > 0 ? ", " : "", kind);
    }
}

struct selection_state selection_state(const struct specimen_set *set, const struct selection *selection, enum property property)
{
    if (!set->value[property])
        return (struct selection_state){ NAN, MOISTURE_UNKNOWN, { SHAPE_UNKNOWN, LOADING_UNKNOWN, NAN } };
    const struct row_filter filter = row_filter_of(set, selection, property);
    return state_of(&filter);
}

void selection_words(const struct specimen_set *set, const struct selection *selection, enum property property, bool us,
                     char *out, size_t size)
{
    const struct selection_state state = selection_state(set, selection, property);
    selection_state_words(&state, us, out, size);
}

/* A sample holds one age, state and kind: that of its first row. */
struct selection_state sample_state(const struct specimen_set *set, const struct sample *sample, enum property property)
{
    struct selection_state state = { NAN, MOISTURE_UNKNOWN, { SHAPE_UNKNOWN, LOADING_UNKNOWN, NAN } };
    if (sample->n == 0)
        return state;
    state.age_days = specimen_set_age(set, sample->row[0]);
    state.moisture = specimen_set_moisture(set, sample->row[0]);
    if (property_is_strength(property))
        state.kind = specimen_set_kind(set, sample->row[0]);
    return state;
}
