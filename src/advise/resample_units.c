#include "advise/resample.h"

#include "base/memory.h"

#include <string.h>

/* What is known of each mix while its batches are handed out. */
struct mix_units {
    size_t n_batches, n_units;
    size_t first;    /* its first unit */
    size_t next;     /* the unit of its next batch, from 0 on */
};

/* Marks the batches of a sample. False when one of its mixes has a single batch: that batch's luck cannot be drawn again. */
static bool mark_batches(const struct sample *sample, const struct specimen_set *set, size_t *n_of_mix, bool *used)
{
    memset(n_of_mix, 0, set->n_mixes * sizeof *n_of_mix);
    for (size_t j = 0; j < sample->n_batches; j++) {
        used[sample->batch_of[j]] = true;
        n_of_mix[sample->mix_of[sample->batch_mix[j]]]++;
    }
    for (size_t mix = 0; mix < set->n_mixes; mix++)
        if (n_of_mix[mix] == 1)
            return false;
    return true;
}

static size_t count_batches(struct mix_units *mixes, const struct specimen_set *set, const bool *used)
{
    size_t n_mixes = 0;
    for (size_t i = 0; i < set->n_batches; i++)
        if (used[i])
            n_mixes += mixes[set->batches[i].mix].n_batches++ == 0;
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
static void deal_batches(struct unit_list *units, struct mix_units *mixes, const struct specimen_set *set, const bool *used)
{
    for (size_t i = 0; i < set->n_batches; i++) {
        struct mix_units *mix = &mixes[set->batches[i].mix];
        if (!used[i])
            continue;
        units->unit_of[i] = (uint32_t)(mix->first + mix->next + 1);
        mix->next = mix->next + 1 < mix->n_units ? mix->next + 1 : 0;
    }
}

static enum status list_units(struct unit_list *units, struct mix_units *mixes, const struct specimen_set *set, const bool *used)
{
    const size_t n_mixes = count_batches(mixes, set, used);
    if (n_mixes == 0 || n_mixes > UNITS_IN_ALL / 2)
        return STATUS_TOO_FEW;
    const size_t share = UNITS_IN_ALL / n_mixes;
    lay_units(units, mixes, set->n_mixes, share < UNITS_A_MIX ? share : UNITS_A_MIX);
    units->stratum = memory_new(units->n_units, sizeof *units->stratum);
    if (!units->stratum)
        return STATUS_MEMORY;
    name_strata(units, mixes, set->n_mixes);
    deal_batches(units, mixes, set, used);
    return STATUS_OK;
}

enum status unit_list_make(struct unit_list *units, const struct specimen_set *set, const struct sample *samples)
{
    memset(units, 0, sizeof *units);
    struct mix_units *mixes = memory_new(set->n_mixes, sizeof *mixes);
    size_t *n_of_mix = memory_new(set->n_mixes, sizeof *n_of_mix);
    bool *used = memory_new(set->n_batches, sizeof *used);
    units->unit_of = memory_new(set->n_batches, sizeof *units->unit_of);
    enum status status = mixes && n_of_mix && used && units->unit_of ? STATUS_OK : STATUS_MEMORY;
    for (size_t i = 0; status == STATUS_OK && i < PROPERTY_COUNT; i++)
        status = mark_batches(&samples[i], set, n_of_mix, used) ? STATUS_OK : STATUS_TOO_FEW;
    if (status == STATUS_OK)
        status = list_units(units, mixes, set, used);
    memory_free(mixes);
    memory_free(n_of_mix);
    memory_free(used);
    return status;
}

void unit_list_release(struct unit_list *units)
{
    memory_free(units->stratum);
    memory_free(units->unit_of);
    memset(units, 0, sizeof *units);
}
