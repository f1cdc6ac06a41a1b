#include "specimen/specimen_set_store.h"

#include "base/memory.h"

#include <string.h>

#define NAME_BLOCK 65536u

static unsigned char folded(char c)
{
    return (unsigned char)(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
}

/* FNV-1a of 32 bits. Source: Fowler, Noll, Vo; RFC 9923. */
uint32_t name_hash(const char *name, uint32_t seed)
{
    uint32_t hash = 2166136261u ^ seed;
    for (; *name; name++)
        if (*name != ' ')
            hash = (hash ^ folded(*name)) * 16777619u;
    return hash ^ hash >> 15; /* the low bits choose the slot */
}

bool name_alike(const char *a, const char *b)
{
    for (;; a++, b++) {
        while (*a == ' ')
            a++;
        while (*b == ' ')
            b++;
        if (folded(*a) != folded(*b))
            return false;
        if (!*a)
            return true;
    }
}

void name_table_add(struct name_table *table, uint32_t hash, uint32_t index)
{
    size_t slot = hash & (table->n_slots - 1);
    while (table->slots[slot])
        slot = (slot + 1) & (table->n_slots - 1);
    table->slots[slot] = index + 1;
    table->n_used++;
}

uint32_t name_table_next(const struct name_table *table, size_t *slot)
{
    if (table->n_slots == 0)
        return NOT_KNOWN;
    uint32_t entry = table->slots[*slot & (table->n_slots - 1)];
    ++*slot;
    return entry ? entry - 1 : NOT_KNOWN;
}

/* At most two thirds full, so that a search ends soon. */
bool name_table_reserve(struct name_table *table, uint32_t (*hash_of)(const struct specimen_set *, uint32_t),
                        const struct specimen_set *set)
{
    if ((table->n_used + 1) * 3 <= table->n_slots * 2)
        return true;
    struct name_table larger = { .n_slots = table->n_slots ? table->n_slots * 2 : 64 };
    larger.slots = memory_new(larger.n_slots, sizeof *larger.slots);
    if (!larger.slots)
        return false;
    for (size_t i = 0; i < table->n_slots; i++)
        if (table->slots[i])
            name_table_add(&larger, hash_of(set, table->slots[i] - 1), table->slots[i] - 1);
    memory_free(table->slots);
    *table = larger;
    return true;
}

void name_table_release(struct name_table *table)
{
    memory_free(table->slots);
    *table = (struct name_table){ 0 };
}

const char *set_keep_name(struct set_store *store, const char *name)
{
    size_t size = strlen(name) + 1;
    struct name_block *block = store->names;
    if (!block || block->size - block->used < size) {
        size_t room = size > NAME_BLOCK ? size : NAME_BLOCK;
        block = memory_resize(NULL, sizeof *block + room, 1);
        if (!block)
            return NULL;
        block->before = store->names;
        block->used = 0;
        block->size = room;
        store->names = block;
    }
    char *kept = block->bytes + block->used;
    memcpy(kept, name, size);
    block->used += size;
    return kept;
}
