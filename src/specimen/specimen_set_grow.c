#include "specimen/specimen_set_store.h"

#include "base/memory.h"

#include <limits.h>
#include <math.h>
#include <string.h>

const char *set_id_text(const struct specimen_set *set, uint32_t i)
{
    return set->store->ids.bytes + set->id[i];
}

static bool grow(void *array, size_t n, size_t size)
{
    void *block;
    memcpy(&block, array, sizeof block);
    void *larger = memory_resize(block, n, size);
    if (!larger)
        return false;
    memcpy(array, &larger, sizeof larger);
    return true;
}

/* An array that exists only once some row needs it, NaN (or the given int) before. */
static bool need_doubles(double **array, size_t n, size_t capacity)
{
    *array = memory_resize(NULL, capacity, sizeof **array);
    for (size_t i = 0; *array && i < n; i++)
        (*array)[i] = NAN;
    return *array != NULL;
}

static bool need_dates(int32_t **array, size_t n, size_t capacity)
{
    *array = memory_resize(NULL, capacity, sizeof **array);
    for (size_t i = 0; *array && i < n; i++)
        (*array)[i] = INT32_MIN;
    return *array != NULL;
}

static bool need_files(struct specimen_set *set, uint32_t file)
{
    if (!set->file && file > 0)
        set->file = memory_new(set->store->row_capacity, sizeof *set->file);
    return set->file || file == 0;
}

static bool grow_optional(struct specimen_set *set, size_t capacity)
{
    bool good = true;
    for (size_t p = 0; p < PROPERTY_COUNT; p++)
        good = good && (!set->value[p] || grow(&set->value[p], capacity, sizeof *set->value[p]));
    for (size_t f = 0; f < FURTHER_COUNT; f++)
        good = good && (!set->further[f] || grow(&set->further[f], capacity, sizeof *set->further[f]));
    good = good && (!set->age_days || grow(&set->age_days, capacity, sizeof *set->age_days));
    good = good && (!set->file || grow(&set->file, capacity, sizeof *set->file));
    return good && (!set->cast_on || grow(&set->cast_on, capacity, sizeof *set->cast_on));
}

static bool reserve_rows(struct specimen_set *set)
{
    struct set_store *store = set->store;
    if (set->n < store->row_capacity)
        return true;
    size_t capacity = store->row_capacity ? store->row_capacity * 2 : 256;
    if (capacity > UINT32_MAX)
        return false;
    bool good = grow(&set->batch, capacity, sizeof *set->batch)
        && grow(&set->line, capacity, sizeof *set->line)
        && grow(&set->moisture, capacity, sizeof *set->moisture) && grow(&set->kind, capacity, sizeof *set->kind)
        && grow(&set->result, capacity, sizeof *set->result)
        && grow(&set->flags, capacity, sizeof *set->flags) && grow(&set->id, capacity, sizeof *set->id)
        && grow_optional(set, capacity);
    if (good)
        store->row_capacity = capacity;
    return good;
}

static bool reserve_values(struct specimen_set *set, const struct specimen *specimen)
{
    size_t n = set->n, capacity = set->store->row_capacity;
    for (size_t p = 0; p < PROPERTY_COUNT; p++)
        if (!set->value[p] && !isnan(specimen->value[p]) && !need_doubles(&set->value[p], n, capacity))
            return false;
    for (size_t f = 0; f < FURTHER_COUNT; f++)
        if (!set->further[f] && !isnan(specimen->further[f]) && !need_doubles(&set->further[f], n, capacity))
            return false;
    return (set->age_days || isnan(specimen->age_days) || need_doubles(&set->age_days, n, capacity))
        && (set->cast_on || specimen->cast_on == LONG_MIN || need_dates(&set->cast_on, n, capacity));
}

bool set_reserve_group(struct specimen_set *set)
{
    struct set_store *store = set->store;
    void *mixes = set->mixes, *places = store->mix_places, *batches = set->batches;
    bool good = memory_reserve(&mixes, &store->mix_capacity, set->n_mixes + 1, sizeof *set->mixes)
        && memory_reserve(&places, &store->place_capacity, set->n_mixes + 1, sizeof *store->mix_places)
        && memory_reserve(&batches, &store->batch_capacity, set->n_batches + 1, sizeof *set->batches);
    set->mixes = mixes;
    store->mix_places = places;
    set->batches = batches;
    return good && name_table_reserve(&store->mix_table) && name_index_reserve(&store->batch_index);
}

bool set_reserve(struct specimen_set *set, const struct specimen *specimen, uint32_t file)
{
    return reserve_rows(set) && need_files(set, file) && reserve_values(set, specimen) && name_index_reserve(&set->store->id_index);
}

uint32_t set_kind(struct specimen_set *set, struct specimen_kind kind)
{
    for (size_t i = 0; i < set->n_kinds; i++)
        if (specimen_kind_same(set->kinds[i], kind))
            return (uint32_t)i;
    void *kinds = set->kinds;
    if (set->n_kinds > UINT16_MAX || !memory_reserve(&kinds, &set->store->kind_capacity, set->n_kinds + 1, sizeof *set->kinds))
        return NOT_KNOWN;
    set->kinds = kinds;
    set->kinds[set->n_kinds] = kind;
    return (uint32_t)set->n_kinds++;
}

uint32_t set_aggregate(struct specimen_set *set, const char *name)
{
    for (size_t i = 0; i < set->n_aggregates; i++)
        if (strcmp(set->aggregates[i], name) == 0)
            return (uint32_t)i;
    void *aggregates = set->aggregates;
    char *copy = memory_text(name, strlen(name));
    if (!copy || !memory_reserve(&aggregates, &set->store->aggregate_capacity, set->n_aggregates + 1, sizeof *set->aggregates)) {
        memory_free(copy);
        return NOT_KNOWN;
    }
    set->aggregates = aggregates;
    set->aggregates[set->n_aggregates] = copy;
    return (uint32_t)set->n_aggregates++;
}
