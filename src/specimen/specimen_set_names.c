#include "specimen/specimen_set_store.h"

#include "base/memory.h"
#include "specimen/name_walk.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#define NAME_BLOCK 65536u

/* FNV-1a of 32 bits (RFC 9923), then one round of mixing (Wellons, hash prospector: lowbias32). */
uint32_t name_hash(const char *name, uint32_t seed)
{
    uint32_t hash = 2166136261u ^ seed;
    for (; (signed char)*name > 0; name++) /* ASCII needs no walk, and is nearly all there is */
        if (*name != ' ')
            hash = (hash ^ (unsigned char)(*name >= 'A' && *name <= 'Z' ? *name - 'A' + 'a' : *name)) * 16777619u;
    struct name_walk walk = { name, 0 };
    for (unsigned char letter; (letter = name_walk_next(&walk)) != 0;)
        hash = (hash ^ letter) * 16777619u;
    hash = (hash ^ hash >> 16) * 0x7feb352du; /* the low bits choose the slot, so all bits must reach them */
    return hash ^ hash >> 15;
}

bool name_alike(const char *a, const char *b)
{
    struct name_walk walk_a = { a, 0 }, walk_b = { b, 0 };
    unsigned char letter;
    while ((letter = name_walk_next(&walk_a)) == name_walk_next(&walk_b))
        if (letter == 0)
            return true;
    return false;
}

void name_table_add(struct name_table *table, uint32_t hash, uint32_t index)
{
    size_t slot = hash & (table->n_slots - 1);
    while (table->slots[slot].number)
        slot = (slot + 1) & (table->n_slots - 1);
    table->slots[slot] = (struct name_slot){ hash, index + 1 };
    table->n_used++;
}

void name_table_expect(const struct name_table *table, uint32_t hash)
{
    if (table->n_slots > 0)
        __builtin_prefetch(&table->slots[hash & (table->n_slots - 1)]);
}

uint32_t name_table_next(const struct name_table *table, uint32_t hash, size_t *slot)
{
    while (table->n_slots > 0) {
        const struct name_slot *here = &table->slots[*slot & (table->n_slots - 1)];
        ++*slot;
        if (here->number == 0)
            break;
        if (here->hash == hash)
            return here->number - 1;
    }
    return NOT_KNOWN;
}

/* At most two thirds full, so that a search ends soon. */
bool name_table_reserve(struct name_table *table, size_t n)
{
    if ((table->n_used + n) * 3 <= table->n_slots * 2)
        return true;
    struct name_table larger = { .n_slots = table->n_slots ? table->n_slots : 64 };
    while ((table->n_used + n) * 3 > larger.n_slots * 2)
        larger.n_slots *= 2;
    larger.slots = memory_new(larger.n_slots, sizeof *larger.slots);
    if (!larger.slots)
        return false;
    for (size_t i = 0; i < table->n_slots; i++)
        if (table->slots[i].number)
            name_table_add(&larger, table->slots[i].hash, table->slots[i].number - 1);
    name_table_release(table);
    *table = larger;
    return true;
}

void name_table_release(struct name_table *table)
{
    memory_free(table->slots);
    *table = (struct name_table){ 0 };
}

const char *set_keep_text(struct set_store *store, const char *name)
{
    size_t size = strlen(name) + 1;
    struct name_block *block = store->texts;
    if (!block || block->size - block->used < size) {
        size_t room = size > NAME_BLOCK ? size : NAME_BLOCK;
        block = memory_resize(NULL, sizeof *block + room, 1);
        if (!block)
            return NULL;
        block->before = store->texts;
        block->used = 0;
        block->size = room;
        store->texts = block;
    }
    char *kept = block->bytes + block->used;
    memcpy(kept, name, size);
    block->used += size;
    return kept;
}

bool set_keep_name(struct set_store *store, const char *text, struct number_mark mark, uint32_t *name)
{
    struct text *names = &store->names;
    if (number_mark_is_plain(mark)) {
        *name = NAME_IS_NUMBER | mark.number;
        return true;
    }
    if (names->length == 0)
        text_add_bytes(names, "", 1); /* NAME_NONE */
    if (names->length >= NAME_IS_NUMBER)
        return false;
    *name = (uint32_t)names->length;
    text_add_bytes(names, text, strlen(text) + 1); /* with its NUL */
    return !names->failed;
}

const char *set_name_text(const struct set_store *store, uint32_t name, struct name_room *room)
{
    if (name == NAME_NONE)
        return "";
    if (!(name & NAME_IS_NUMBER))
        return store->names.bytes + name;
    snprintf(room->digits, sizeof room->digits, "%" PRIu32, name & ~NAME_IS_NUMBER);
    return room->digits;
}

bool set_name_is(const struct set_store *store, uint32_t name, const char *text, struct number_mark mark)
{
    if (number_mark_is_plain(mark))
        return name == (NAME_IS_NUMBER | mark.number);
    return !(name & NAME_IS_NUMBER) && strcmp(set_name_text(store, name, NULL), text) == 0;
}
