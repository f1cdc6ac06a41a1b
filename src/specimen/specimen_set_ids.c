/*
 * Which ids a set has. Most labs number their specimens, so a number above all before it is new without a look-up: such numbers
 * are kept as runs, and only the other ids by their hash.
 */
#include "specimen/specimen_set_store.h"

#include "base/memory.h"

#include <string.h>

#define DIGITS_MOST 9 /* so that a number fits into 32 bits */

/* The number that an id is but for blanks, which name_alike passes over as well; NOT_KNOWN when it is none. */
static uint32_t number_of(const char *id, bool *has_blanks)
{
    uint32_t number = 0;
    unsigned n_digits = 0;
    *has_blanks = false;
    for (; *id; id++) {
        if (*id == ' ') {
            *has_blanks = true;
            continue;
        }
        if (*id < '0' || *id > '9' || n_digits == DIGITS_MOST || (n_digits > 0 && number == 0))
            return NOT_KNOWN;
        number = number * 10 + (uint32_t)(*id - '0');
        n_digits++;
    }
    return n_digits > 0 ? number : NOT_KNOWN;
}

struct id_mark id_mark_of(const char *id)
{
    struct id_mark mark = { 0 };
    mark.number = number_of(id, &mark.has_blanks);
    mark.hash = mark.number == NOT_KNOWN ? name_hash(id, 0) : 0;
    return mark;
}

/* The hash of a number is wanted too seldom to be worked out beforehand. */
static uint32_t hash_of(const char *id, struct id_mark mark)
{
    return mark.number == NOT_KNOWN ? mark.hash : name_hash(id, 0);
}

static bool is_above_all(const struct id_index *index, struct id_mark mark)
{
    return mark.number != NOT_KNOWN && (!index->any_number || mark.number > index->highest);
}

void id_expect(const struct id_index *index, struct id_mark mark)
{
    if (mark.number == NOT_KNOWN)
        name_table_expect(&index->others, mark.hash);
}

/* The row of a number in the runs, which rise; NOT_KNOWN when it is in none. */
static uint32_t find_in_runs(const struct id_index *index, uint32_t number)
{
    size_t from = 0, to = index->n_runs; /* the last run that does not begin above the number is before `to` */
    while (from < to) {
        size_t middle = from + (to - from) / 2;
        if (index->runs[middle].first <= number)
            from = middle + 1;
        else
            to = middle;
    }
    if (to == 0 || number - index->runs[to - 1].first >= index->runs[to - 1].n)
        return NOT_KNOWN;
    return index->runs[to - 1].row + (number - index->runs[to - 1].first);
}

uint32_t id_find(const struct specimen_set *set, const char *id, struct id_mark mark, bool *same)
{
    const struct id_index *index = &set->store->id_index;
    uint32_t alike = NOT_KNOWN, i;
    *same = false;
    if (!id[0] || is_above_all(index, mark))
        return NOT_KNOWN;
    if (mark.number != NOT_KNOWN)
        alike = find_in_runs(index, mark.number);
    *same = alike != NOT_KNOWN && !mark.has_blanks;
    const uint32_t hash = hash_of(id, mark);
    for (size_t slot = hash; !*same && (i = name_table_next(&index->others, hash, &slot)) != NOT_KNOWN;) {
        *same = strcmp(set_id_text(set, i), id) == 0;
        if (*same || (name_alike(set_id_text(set, i), id) && (alike == NOT_KNOWN || i > alike)))
            alike = i;
    }
    return alike;
}

bool id_reserve(struct id_index *index)
{
    void *runs = index->runs;
    bool good = index->n_runs < index->run_capacity || memory_reserve(&runs, &index->run_capacity, index->n_runs + 1, sizeof *index->runs);
    index->runs = runs;
    return good && name_table_reserve(&index->others);
}

void id_add(struct id_index *index, const char *id, struct id_mark mark, uint32_t row)
{
    struct id_run *last = index->n_runs > 0 ? &index->runs[index->n_runs - 1] : NULL;
    const bool above_all = is_above_all(index, mark);
    if (above_all) {
        index->any_number = true;
        index->highest = mark.number;
    }
    if (!above_all || mark.has_blanks)
        name_table_add(&index->others, hash_of(id, mark), row);
    else if (last && last->first + last->n == mark.number && last->row + last->n == row)
        last->n++;
    else
        index->runs[index->n_runs++] = (struct id_run){ mark.number, 1, row };
}

void id_index_release(struct id_index *index)
{
    memory_free(index->runs);
    name_table_release(&index->others);
    *index = (struct id_index){ 0 };
}
