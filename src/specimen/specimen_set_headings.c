/* What the columns of the files are called, for what is found out about rows once all are read. */
#include "specimen/specimen_set_store.h"

#include "base/memory.h"

#include <string.h>

bool set_headings_keep(struct specimen_set *set, uint32_t file, const struct column_binding *bindings)
{
    struct set_store *store = set->store;
    void *headings = store->headings;
    const bool good = memory_reserve(&headings, &store->heading_capacity, (size_t)file + 1, sizeof *store->headings);
    store->headings = headings;
    if (!good)
        return false;
    for (; store->n_headings <= file; store->n_headings++)
        store->headings[store->n_headings] = (struct file_headings){ { NULL } };
    for (size_t rule = 0; rule < n_specimen_rules; rule++)
        if (bindings[rule].index >= 0
            && !(store->headings[file].of[rule] = memory_text(bindings[rule].heading, strlen(bindings[rule].heading))))
            return false;
    return true;
}

void set_headings_release(struct set_store *store)
{
    for (size_t file = 0; file < store->n_headings; file++)
        for (size_t rule = 0; rule < n_specimen_rules; rule++)
            memory_free(store->headings[file].of[rule]);
    memory_free(store->headings);
}

const char *specimen_set_heading(const struct specimen_set *set, size_t i, const char *column)
{
    const size_t file = specimen_set_file(set, i), rule = specimen_rule_index(column);
    if (!set->store || file >= set->store->n_headings || rule == n_specimen_rules)
        return NULL;
    return set->store->headings[file].of[rule];
}
