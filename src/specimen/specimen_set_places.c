/* Where the rows of a set stand in the files: by runs, since most rows stand below the one before. */
#include "specimen/specimen_set_store.h"

#include "base/memory.h"

#include <stdlib.h>

/* Whether a row lies before, within or behind a run. */
static int row_to_run(const void *key, const void *item)
{
    const size_t row = *(const size_t *)key;
    const struct set_run *run = item;
    return row < run->first ? -1 : row >= (size_t)run->first + run->n;
}

static const struct set_run *run_of(const struct specimen_set *set, size_t i)
{
    return set->n_runs > 0 ? bsearch(&i, set->runs, set->n_runs, sizeof *set->runs, row_to_run) : NULL;
}

size_t specimen_set_file(const struct specimen_set *set, size_t i)
{
    const struct set_run *run = run_of(set, i);
    return run ? run->file : 0;
}

size_t specimen_set_line(const struct specimen_set *set, size_t i)
{
    const struct set_run *run = run_of(set, i);
    return run ? run->line + (i - run->first) : 0;
}

struct place specimen_set_place(const struct specimen_set *set, size_t i)
{
    return (struct place){ .path = set->paths[specimen_set_file(set, i)], .line = specimen_set_line(set, i) };
}

static bool reserve_run(struct specimen_set *set, size_t *capacity)
{
    void *runs = set->runs;
    const bool good = memory_reserve(&runs, capacity, set->n_runs + 1, sizeof *set->runs);
    set->runs = runs;
    return good;
}

bool set_places_reserve(struct specimen_set *set)
{
    return reserve_run(set, &set->store->run_capacity);
}

void set_places_add(struct specimen_set *set, const struct set_run *run)
{
    struct set_run *last = set->n_runs > 0 ? &set->runs[set->n_runs - 1] : NULL;
    if (last && last->file == run->file && last->line + last->n == run->line)
        last->n += run->n;
    else
        set->runs[set->n_runs++] = *run; /* NOLINT(clang-analyzer-core.NullDereference): reserved before */
}

bool set_places_keep(struct specimen_set *set, const bool *wanted)
{
    struct specimen_set kept = { 0 };
    size_t capacity = 0;
    bool good = true;
    uint32_t row = 0;
    for (size_t r = 0; r < set->n_runs; r++) {
        const struct set_run *run = &set->runs[r];
        for (uint32_t k = 0; good && k < run->n; k++)
            if (wanted[run->first + k] && (good = reserve_run(&kept, &capacity)))
                set_places_add(&kept, &(struct set_run){ row++, 1, run->line + k, run->file });
    }
    memory_free(good ? set->runs : kept.runs);
    if (good) {
        set->runs = kept.runs;
        set->n_runs = kept.n_runs;
    }
    return good;
}
