/*
 * Names that are numbers. Most labs number specimens and batches, so a number above all before it is new without a look-up: such
 * numbers are kept as runs.
 */
#include "specimen/specimen_set_store.h"

#include "base/memory.h"

#include <stdlib.h>

#define DIGITS_MOST 9 /* so that a number fits into 32 bits */

static struct number_mark mark_with_blanks(const char *name)
{
    struct number_mark mark = { 0, false };
    unsigned n_digits = 0;
    for (; *name; name++) {
        if (*name == ' ') {
            mark.has_blanks = true;
            continue;
        }
        if (*name < '0' || *name > '9' || n_digits == DIGITS_MOST || (n_digits > 0 && mark.number == 0))
            return (struct number_mark){ NOT_KNOWN, false };
        mark.number = mark.number * 10 + (uint32_t)(*name - '0');
        n_digits++;
    }
    return n_digits > 0 ? mark : (struct number_mark){ NOT_KNOWN, false };
}

/* Digits alone are nearly all there is; blanks are looked for only behind them. */
struct number_mark number_mark_of(const char *name)
{
    struct number_mark mark = { 0, false };
    const char *at = name;
    for (unsigned digit; (digit = (unsigned char)*at - (unsigned)'0') <= 9; at++)
        mark.number = mark.number * 10 + digit;
    if (*at == '\0' && at > name && at - name <= DIGITS_MOST && (name[0] != '0' || at - name == 1))
        return mark;
    return *at == ' ' ? mark_with_blanks(name) : (struct number_mark){ NOT_KNOWN, false };
}

bool name_index_is_below(const struct name_index *index, struct number_mark mark)
{
    return mark.number != NOT_KNOWN && (!index->any_number || mark.number > index->highest);
}

/* Whether a number, or an index, lies before, within or behind a run. */
static int number_to_run(const void *key, const void *item)
{
    const uint32_t number = *(const uint32_t *)key;
    const struct number_run *run = item;
    return number < run->first ? -1 : number - run->first >= run->n;
}

static int index_to_run(const void *key, const void *item)
{
    const uint32_t index = *(const uint32_t *)key;
    const struct number_run *run = item;
    return index < run->index ? -1 : index - run->index >= run->n;
}

static const struct number_run *find_run(const struct name_index *index, uint32_t key, int (*to_run)(const void *, const void *))
{
    return index->n_runs > 0 ? bsearch(&key, index->runs, index->n_runs, sizeof *index->runs, to_run) : NULL;
}

uint32_t name_index_run(const struct name_index *index, uint32_t number)
{
    const struct number_run *run = find_run(index, number, number_to_run);
    return run ? run->index + (number - run->first) : NOT_KNOWN;
}

uint32_t name_index_number(const struct name_index *index, uint32_t of)
{
    const struct number_run *run = find_run(index, of, index_to_run);
    return run ? run->first + (of - run->index) : NOT_KNOWN;
}

bool name_index_reserve(struct name_index *index, size_t n)
{
    void *runs = index->runs;
    bool good = memory_reserve(&runs, &index->run_capacity, index->n_runs + n, sizeof *index->runs);
    index->runs = runs;
    return good && name_table_reserve(&index->others, n);
}

void name_index_add_run(struct name_index *index, struct number_run run)
{
    struct number_run *last = index->n_runs > 0 ? &index->runs[index->n_runs - 1] : NULL;
    index->any_number = true;
    index->highest = run.first + run.n - 1;
    if (last && last->first + last->n == run.first && last->index + last->n == run.index)
        last->n += run.n;
    else
        index->runs[index->n_runs++] = run; /* NOLINT(clang-analyzer-core.NullDereference): reserved before */
}

bool name_index_add(struct name_index *index, struct number_mark mark, uint32_t number)
{
    if (!name_index_is_below(index, mark))
        return false;
    if (!mark.has_blanks) {
        name_index_add_run(index, (struct number_run){ mark.number, 1, number });
        return true;
    }
    index->any_number = true;
    index->highest = mark.number;
    return false;
}

void name_index_release(struct name_index *index)
{
    memory_free(index->runs);
    name_table_release(&index->others);
    *index = (struct name_index){ 0 };
}
