#include "analysis/sample.h"

#include "analysis/row_filter.h"
#include "analysis/states.h"

#include <math.h>

static bool row_wanted(const struct specimen_set *set, const struct selection *selection, size_t i)
{
    if (!isnan(selection->age_days) && !age_same(specimen_set_age(set, i), selection->age_days))
        return false;
    if (selection->moisture != MOISTURE_UNKNOWN && specimen_set_moisture(set, i) != selection->moisture)
        return false;
    return selection_wants_kind(selection, specimen_set_kind(set, i));
}

size_t selection_rows(const struct specimen_set *set, const struct selection *selection, bool *wanted)
{
    size_t n = 0;
    uint32_t looked_up = SAMPLE_ALL; /* rows of one aggregate mostly stand together */
    bool named = false;
    for (size_t i = 0; i < set->n; i++) {
        const uint32_t aggregate = set->mixes[specimen_set_mix(set, i)].aggregate;
        if (aggregate != looked_up)
            named = selection_wants(selection, set->aggregates[aggregate]);
        looked_up = aggregate;
        wanted[i] = named && row_wanted(set, selection, i);
        n += wanted[i] ? 1 : 0;
    }
    return n;
}
