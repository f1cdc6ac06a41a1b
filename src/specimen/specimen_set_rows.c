/* What a set tells of its rows, and how it is let go. */
#include "specimen/specimen_set_store.h"

#include "base/memory.h"

#include <math.h>

const char *specimen_set_batch_name(const struct specimen_set *set, size_t batch, struct name_room *room)
{
    return set_name_text(set->store, set->batches[batch].name, room);
}

double specimen_set_value(const struct specimen_set *set, size_t i, enum property property)
{
    return set->value[property] ? set->value[property][i] : NAN;
}

double specimen_set_further(const struct specimen_set *set, size_t i, enum further further)
{
    return set->further[further] ? set->further[further][i] : NAN;
}

struct specimen_kind specimen_set_kind_at(const struct specimen_set *set, size_t index)
{
    return set->n_kinds > 0 ? set->kinds[index] : (struct specimen_kind){ SHAPE_UNKNOWN, LOADING_UNKNOWN, NAN };
}

void set_store_release(struct set_store *store)
{
    if (!store)
        return;
    text_release(&store->names);
    name_index_release(&store->id_index);
    name_table_release(&store->mix_table);
    name_index_release(&store->batch_index);
    memory_free(store->mix_places);
    set_headings_release(store);
    while (store->texts) {
        struct name_block *before = store->texts->before;
        memory_free(store->texts);
        store->texts = before;
    }
    memory_free(store);
}

static void release_texts(char **texts, size_t n)
{
    for (size_t i = 0; i < n; i++)
        memory_free(texts[i]);
    memory_free(texts);
}

void specimen_set_release(struct specimen_set *set)
{
    void *const arrays[] = { set->batch, set->runs, set->moisture, set->kind, set->result, set->flags,
                             set->age_days, set->cast_on, set->id, set->kinds, set->mixes, set->batches };
    for (size_t i = 0; i < sizeof arrays / sizeof arrays[0]; i++)
        memory_free(arrays[i]);
    for (size_t p = 0; p < PROPERTY_COUNT; p++)
        memory_free(set->value[p]);
    for (size_t f = 0; f < FURTHER_COUNT; f++)
        memory_free(set->further[f]);
    release_texts(set->aggregates, set->n_aggregates);
    release_texts(set->paths, set->n_paths);
    set_store_release(set->store);
    *set = (struct specimen_set){ 0 };
}
