#include "advise/resample.h"

#include "base/memory.h"

#include <string.h>

/* What is known of each mix while its batches are handed out. */
struct mix_units {
    size_t n_batches, n_units;
    size_t first;    /* its first unit */
    size_t met;      /* batches met so far */
};

static size_t count_batches(struct mix_units *mixes, const struct specimen_set *set, uint32_t aggregate)
{
    size_t n_mixes = 0;
    for (size_t i = 0; i < set->n_batches; i++) {
        uint32_t mix = set->batches[i].mix;
        if (set->mixes[mix].aggregate == aggregate)
            n_mixes += mixes[mix].n_batches++ == 0;
    }
    return n_mixes;
}

static void lay_units(struct unit_list *units, struct mix_units *mixes, size_t n_mixes, size_t most)
{
    for (size_t mix = 0; mix < n_mixes; mix++) {
        mixes[mix].n_units = mixes[mix].n_batches < most ? mixes[mix].n_batches : most;
        mixes[mix].first = units->n_units;
        units->n_units += mixes[mix].n_units;
    }
}

static void name_strata(struct unit_list *units, const struct mix_units *mixes, size_t n_mixes)
{
    for (size_t mix = 0; mix < n_mixes; mix++) {
        for (size_t k = 0; k < mixes[mix].n_units; k++)
            units->stratum[mixes[mix].first + k] = (uint32_t)units->n_strata;
        units->n_strata += mixes[mix].n_units > 0;
    }
}

/* Batches go to their mix's units in turn. */
static void deal_batches(struct unit_list *units, struct mix_units *mixes, const struct specimen_set *set, uint32_t aggregate)
{
    for (size_t i = 0; i < set->n_batches; i++) {
        struct mix_units *mix = &mixes[set->batches[i].mix];
        if (set->mixes[set->batches[i].mix].aggregate == aggregate)
            units->unit_of[i] = (uint32_t)(mix->first + mix->met++ % mix->n_units + 1);
    }
}

enum status unit_list_make(struct unit_list *units, const struct specimen_set *set, uint32_t aggregate)
{
    memset(units, 0, sizeof *units);
    struct mix_units *mixes = memory_new(set->n_mixes, sizeof *mixes);
    units->unit_of = memory_new(set->n_batches, sizeof *units->unit_of);
    enum status status = mixes && units->unit_of ? STATUS_OK : STATUS_MEMORY;
    size_t n_mixes = status == STATUS_OK ? count_batches(mixes, set, aggregate) : 0;
    if (status == STATUS_OK && n_mixes > UNITS_IN_ALL / 2)
        status = STATUS_TOO_FEW;
    if (status == STATUS_OK && n_mixes > 0) {
        size_t share = UNITS_IN_ALL / n_mixes;
        lay_units(units, mixes, set->n_mixes, share < UNITS_A_MIX ? share : UNITS_A_MIX);
        units->stratum = memory_new(units->n_units, sizeof *units->stratum);
        status = units->stratum ? STATUS_OK : STATUS_MEMORY;
    }
    if (status == STATUS_OK) {
        name_strata(units, mixes, set->n_mixes);
        deal_batches(units, mixes, set, aggregate);
    }
    memory_free(mixes);
    return status;
}

void unit_list_release(struct unit_list *units)
{
    memory_free(units->stratum);
    memory_free(units->unit_of);
    memset(units, 0, sizeof *units);
}
