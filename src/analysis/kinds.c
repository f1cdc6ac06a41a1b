#include "analysis/sample.h"

#include "analysis/states.h"

#include <math.h>
#include <stdio.h>

#define KINDS_MAX 16 /* shapes and loadings are fewer */

static bool is_strength(enum property property)
{
    return property == PROPERTY_COMPRESSIVE_STRENGTH || property == PROPERTY_FLEXURAL_STRENGTH || property == PROPERTY_SPLITTING_STRENGTH;
}

/* What makes one concrete read unlike: how a beam is bent, else the shape. 0 when not told. */
static unsigned kind_of(const struct specimen_set *set, enum property property, size_t row)
{
    const unsigned one_shape = specimen_kind(1, 0);
    return property == PROPERTY_FLEXURAL_STRENGTH ? set->kind[row] % one_shape : set->kind[row] / one_shape;
}

static bool row_chosen(const struct specimen_set *set, const struct selection *selection, enum property property, size_t row)
{
    const enum moisture moisture = selection->property_moisture[property];
    const double age_days = set->age_days ? set->age_days[row] : NAN;
    return !isnan(set->value[property][row]) && (moisture == MOISTURE_UNKNOWN || set->moisture[row] == moisture)
        && (isnan(selection->age_days) || isnan(age_days) || age_same(age_days, selection->age_days))
        && selection_wants(selection, set->aggregates[set->mixes[set->mix[row]].aggregate]);
}

bool selection_mixes_kinds(const struct specimen_set *set, const struct selection *selection, enum property property,
                           char *out, size_t size)
{
    size_t n[KINDS_MAX] = { 0 }, n_kinds = 0, used = 0;
    out[0] = '\0';
    if (!set->kind || !set->value[property] || !is_strength(property))
        return false;
    for (size_t i = 0; i < set->n; i++)
        if (row_chosen(set, selection, property, i))
            n[kind_of(set, property, i) % KINDS_MAX]++;
    for (unsigned kind = 1; kind < KINDS_MAX; kind++) {
        if (n[kind] == 0)
            continue;
        const char *word = property == PROPERTY_FLEXURAL_STRENGTH ? loading_word((enum loading)kind) : shape_word((enum shape)kind);
        const int added = snprintf(out + used, size - used, "%s%s: %zu", n_kinds++ ? ", " : "", word, n[kind]);
        used = added < 0 || used + (size_t)added >= size ? size - 1 : used + (size_t)added;
    }
    return n_kinds > 1;
}

void selection_tell_kinds(const struct specimen_set *set, const struct selection *selection, struct problem_list *problems)
{
    char listed[160];
    for (enum property property = 0; property < PROPERTY_COUNT; property++)
        if (selection_mixes_kinds(set, selection, property, listed, sizeof listed))
            problem_list_add(problems, SEVERITY_NOTICE, STATUS_OK, NULL,
                             "%s is of unlike specimens (%s), which are taken together: one concrete does not read the same on both, "
                             "so keep to one kind", property_row(property)->words, listed);
}
