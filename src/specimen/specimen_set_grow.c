#include "specimen/specimen_set_store.h"

#include "base/memory.h"

#include <math.h>
#include <string.h>

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

bool set_need_doubles(const struct specimen_set *set, double **array, double before)
{
    *array = memory_resize(NULL, set->store->row_capacity, sizeof **array);
    for (size_t i = 0; *array && i < set->n; i++)
        (*array)[i] = before;
    return *array != NULL;
}

bool set_need_bytes(const struct specimen_set *set, uint8_t **array, uint8_t before)
{
    *array = memory_resize(NULL, set->store->row_capacity, sizeof **array);
    if (*array)
        memset(*array, before, set->n);
    return *array != NULL;
}

bool set_need_dates(struct specimen_set *set)
{
    set->cast_on = memory_resize(NULL, set->store->row_capacity, sizeof *set->cast_on);
    for (size_t i = 0; set->cast_on && i < set->n; i++)
        set->cast_on[i] = set->batches[set->batch[i]].cast_on;
    return set->cast_on != NULL;
}

/* The same of a column that exists only once some row needs it. */
static bool grow_if_made(void *array, size_t n, size_t size)
{
    const void *block;
    memcpy(&block, array, sizeof block);
    return !block || grow(array, n, size);
}

static bool grow_optional(struct specimen_set *set, size_t capacity)
{
    bool good = true;
    for (size_t p = 0; p < PROPERTY_COUNT; p++)
        good = good && grow_if_made(&set->value[p], capacity, sizeof *set->value[p]);
    for (size_t f = 0; f < FURTHER_COUNT; f++)
        good = good && grow_if_made(&set->further[f], capacity, sizeof *set->further[f]);
    return good && grow_if_made(&set->age_days, capacity, sizeof *set->age_days)
        && grow_if_made(&set->moisture, capacity, sizeof *set->moisture) && grow_if_made(&set->result, capacity, sizeof *set->result)
        && grow_if_made(&set->kind, capacity, sizeof *set->kind) && grow_if_made(&set->id, capacity, sizeof *set->id)
        && grow_if_made(&set->cast_on, capacity, sizeof *set->cast_on);
}

static bool set_row_capacity(struct specimen_set *set, size_t capacity)
{
    struct set_store *store = set->store;
    if (capacity > UINT32_MAX)
        return false;
    bool good = grow(&set->batch, capacity, sizeof *set->batch) && grow(&set->flags, capacity, sizeof *set->flags) && grow_optional(set, capacity);
    if (good)
        store->row_capacity = capacity;
    return good;
}

static bool grow_rows(struct specimen_set *set, size_t n)
{
    size_t capacity = set->store->row_capacity ? set->store->row_capacity : 256;
    while (capacity < n)
        capacity *= 2;
    return capacity == set->store->row_capacity || set_row_capacity(set, capacity);
}

/* More than this is made room for only when it comes: then the columns are so long that moving them costs nothing. */
#define EXPECTED_MOST ((size_t)1 << 24)

/* What a row takes in columns, batches and ids, and what is worked out from it. */
#define BYTES_A_ROW 50

bool set_expect_rows(struct specimen_set *set, size_t n)
{
    const size_t more = n < EXPECTED_MOST ? n : EXPECTED_MOST, capacity = set->n + more;
    memory_foresee(more * BYTES_A_ROW);
    return capacity <= set->store->row_capacity || set_row_capacity(set, capacity);
}

/* From so many rows on it shows how many batches the others will have. */
#define ROWS_TELLING 4096

/* Batches of all rows that there is room for, should they go on as they came. */
static size_t batches_expected(const struct specimen_set *set)
{
    return set->n < ROWS_TELLING ? 0 : (size_t)((double)set->n_batches * ((double)set->store->row_capacity / (double)set->n));
}

bool set_reserve_groups(struct specimen_set *set, size_t n)
{
    size_t n_batches = set->n_batches + n;
    struct set_store *store = set->store;
    void *mixes = set->mixes, *places = store->mix_places, *batches = set->batches;
    if (n_batches > store->batch_capacity && n_batches < batches_expected(set))
        n_batches = batches_expected(set);
    bool good = memory_reserve(&mixes, &store->mix_capacity, set->n_mixes + n, sizeof *set->mixes)
        && memory_reserve(&places, &store->place_capacity, set->n_mixes + n, sizeof *store->mix_places)
        && memory_reserve(&batches, &store->batch_capacity, n_batches, sizeof *set->batches);
    set->mixes = mixes;
    store->mix_places = places;
    set->batches = batches;
    return good && name_table_reserve(&store->mix_table, n) && name_index_reserve(&store->batch_index, n);
}

bool set_reserve_rows(struct specimen_set *set, size_t n)
{
    return grow_rows(set, set->n + n) && set_places_reserve(set);
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
    if (set->n_kinds == 1 && !(set->kind = memory_new(set->store->row_capacity, sizeof *set->kind)))
        return NOT_KNOWN;
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
