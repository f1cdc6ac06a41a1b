/*
 * Names that are numbers. Most labs number specimens and batches, so a number above all before it is new without a look-up: such
 * numbers are kept as runs.
 */
#include "specimen/specimen_set_store.h"

#include "base/memory.h"

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

uint32_t name_index_run(const struct name_index *index, uint32_t number)
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
    return index->runs[to - 1].index + (number - index->runs[to - 1].first);
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
