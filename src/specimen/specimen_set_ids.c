/* Which ids a set has. */
#include "specimen/specimen_set_store.h"

#include "base/memory.h"

#include <stdio.h>
#include <string.h>

const char *specimen_set_id(const struct specimen_set *set, size_t i, struct name_room *room)
{
    const struct set_store *store = set->store;
    return set_name_text(store, set->id ? set->id[i] : NAME_IS_NUMBER | name_index_number(&store->id_index, (uint32_t)i), room);
}

bool set_need_ids(struct specimen_set *set)
{
    const struct name_index *index = &set->store->id_index;
    set->id = memory_resize(NULL, set->store->row_capacity, sizeof *set->id);
    for (size_t r = 0; set->id && r < index->n_runs; r++)
        for (uint32_t k = 0; k < index->runs[r].n; k++)
            set->id[index->runs[r].index + k] = NAME_IS_NUMBER | (index->runs[r].first + k);
    return set->id != NULL;
}

struct id_mark id_mark_of(const char *id)
{
    struct id_mark mark = { .number = number_mark_of(id) };
    if (mark.number.number == NOT_KNOWN)
        mark.hash = name_hash(id, 0);
    return mark;
}

/* The hash of a number is wanted too seldom to be worked out beforehand. */
static uint32_t hash_of(const char *id, const struct id_mark *mark)
{
    return mark->number.number == NOT_KNOWN ? mark->hash : name_hash(id, 0);
}

void id_expect(const struct name_index *index, const struct id_mark *mark)
{
    if (mark->number.number == NOT_KNOWN)
        name_table_expect(&index->others, mark->hash);
}

uint32_t id_find(const struct specimen_set *set, const char *id, const struct id_mark *mark, bool *same)
{
    const struct name_index *index = &set->store->id_index;
    uint32_t alike = NOT_KNOWN, i;
    struct name_room room;
    *same = false;
    if (!id[0] || name_index_is_below(index, mark->number))
        return NOT_KNOWN;
    if (mark->number.number != NOT_KNOWN)
        alike = name_index_run(index, mark->number.number);
    *same = alike != NOT_KNOWN && !mark->number.has_blanks;
    const uint32_t hash = hash_of(id, mark);
    for (size_t slot = hash; !*same && (i = name_table_next(&index->others, hash, &slot)) != NOT_KNOWN;) {
        const char *there = specimen_set_id(set, i, &room);
        *same = strcmp(there, id) == 0;
        if (*same || (name_alike(there, id) && (alike == NOT_KNOWN || i > alike)))
            alike = i;
    }
    return alike;
}

/* Writes the id of the next row, "row 7" for none. False when memory is out. */
static bool write_id(struct specimen_set *set, const char *id, const struct id_mark *mark, size_t line)
{
    char made[32];
    if (!id[0]) {
        snprintf(made, sizeof made, "row %zu", line);
        id = made;
    }
    return set_keep_name(set->store, id, mark->number, &set->id[set->n]);
}

bool id_enter(struct specimen_set *set, const char *id, const struct id_mark *mark, size_t line)
{
    struct name_index *index = &set->store->id_index;
    const uint32_t row = (uint32_t)set->n;
    const bool rises = number_mark_is_plain(mark->number) && name_index_is_below(index, mark->number);
    if (!name_index_reserve(index, 1) || (!set->id && !rises && !set_need_ids(set)) || (set->id && !write_id(set, id, mark, line)))
        return false;
    if (id[0] && !name_index_add(index, mark->number, row))
        name_table_add(&index->others, hash_of(id, mark), row);
    return true;
}

bool ids_enter_run(struct specimen_set *set, uint32_t first, size_t n, size_t row)
{
    if (!name_index_reserve(&set->store->id_index, 1))
        return false;
    for (uint32_t i = 0; set->id && i < n; i++)
        set->id[row + i] = NAME_IS_NUMBER | (first + i);
    name_index_add_run(&set->store->id_index, (struct number_run){ first, (uint32_t)n, (uint32_t)row });
    return true;
}
