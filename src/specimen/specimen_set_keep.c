#include "specimen/specimen_set_store.h"

#include "base/memory.h"

#include <math.h>

#define MOVE(array) ((array) ? (void)((array)[to] = (array)[from]) : (void)0)

static void move_row(struct specimen_set *set, size_t from, size_t to)
{
    MOVE(set->batch);
    MOVE(set->moisture);
    MOVE(set->kind);
    MOVE(set->result);
    MOVE(set->flags);
    MOVE(set->age_days);
    MOVE(set->cast_on);
    MOVE(set->id);
    for (size_t property = 0; property < PROPERTY_COUNT; property++)
        MOVE(set->value[property]);
    for (size_t further = 0; further < FURTHER_COUNT; further++)
        MOVE(set->further[further]);
}

/* A result that no row has any more is as one that none ever had. */
static void drop_empty(double **values, size_t n)
{
    bool any = false;
    for (size_t i = 0; *values && !any && i < n; i++)
        any = !isnan((*values)[i]);
    if (any)
        return;
    memory_free(*values);
    *values = NULL;
}

bool specimen_set_keep(struct specimen_set *set, const bool *wanted)
{
    size_t kept = 0;
    if ((!set->id && !set_need_ids(set)) || !set_places_keep(set, wanted))
        return false;
    for (size_t i = 0; i < set->n; i++)
        if (wanted[i])
            move_row(set, i, kept++);
    set->n = kept;
    for (size_t property = 0; property < PROPERTY_COUNT; property++)
        drop_empty(&set->value[property], kept);
    for (size_t further = 0; further < FURTHER_COUNT; further++)
        drop_empty(&set->further[further], kept);
    return true;
}
