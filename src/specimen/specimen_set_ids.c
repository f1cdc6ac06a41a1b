/* Which ids a set has. */
#include "specimen/specimen_set_store.h"

#include <string.h>

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
    *same = false;
    if (!id[0] || name_index_is_below(index, mark->number))
        return NOT_KNOWN;
    if (mark->number.number != NOT_KNOWN)
        alike = name_index_run(index, mark->number.number);
    *same = alike != NOT_KNOWN && !mark->number.has_blanks;
    const uint32_t hash = hash_of(id, mark);
    for (size_t slot = hash; !*same && (i = name_table_next(&index->others, hash, &slot)) != NOT_KNOWN;) {
        *same = strcmp(set_id_text(set, i), id) == 0;
        if (*same || (name_alike(set_id_text(set, i), id) && (alike == NOT_KNOWN || i > alike)))
            alike = i;
    }
    return alike;
}

void id_add(struct name_index *index, const char *id, const struct id_mark *mark, uint32_t row)
{
    if (!name_index_add(index, mark->number, row))
        name_table_add(&index->others, hash_of(id, mark), row);
}
