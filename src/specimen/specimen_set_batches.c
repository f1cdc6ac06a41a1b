#include "specimen/specimen_set_store.h"

#include "base/memory.h"

/*
 * Specimens of one batch share its luck, so each row that counted as a batch
 * of its own would make the answer surer. Where a file tells batches, a row
 * whose cell is empty is therefore counted with a batch that is there.
 */
struct assuming {
    struct specimen_set *set;
    struct problem_list *problems;
    uint32_t *near;        /* n_mixes: the last batch told of the mix, NOT_KNOWN before one is met */
    uint32_t *assumed;     /* n: the batch that an untold row goes to, NOT_KNOWN for others */
    bool *file_tells;      /* n_paths: some row of the file has a batch */
};

static bool is_untold(const struct assuming *run, size_t i)
{
    return run->set->batches[run->set->batch[i]].name == NAME_NONE && run->file_tells[specimen_set_file(run->set, i)];
}

static void forget_near(struct assuming *run)
{
    for (size_t mix = 0; mix < run->set->n_mixes; mix++)
        run->near[mix] = NOT_KNOWN;
}

/* A row without takes the batch that was met last in its mix, if it has none yet. */
static void visit(struct assuming *run, size_t i)
{
    uint32_t *near = &run->near[specimen_set_mix(run->set, i)];
    if (!is_untold(run, i)) {
        *near = run->set->batches[run->set->batch[i]].name != NAME_NONE ? run->set->batch[i] : *near;
    } else if (run->assumed[i] == NOT_KNOWN) {
        run->assumed[i] = *near;
    }
}

static void say(const struct assuming *run, size_t i, bool none_told)
{
    const struct specimen_set *set = run->set;
    struct place place = specimen_set_place(set, i);
    struct name_room room;
    place.column = specimen_set_heading(set, i, "batch");
    if (none_told)
        problem_list_add(run->problems, SEVERITY_DOUBT, STATUS_OK, &place,
                         "is empty, as in all rows of mix '%.60s': they count as one batch, lest the answer look surer than it is; fill it in",
                         set->mixes[specimen_set_mix(set, i)].name);
    else
        problem_list_add(run->problems, SEVERITY_DOUBT, STATUS_OK, &place,
                         "is empty: the specimen counts with batch '%.60s' of its mix, the nearest told, lest the answer look surer than it is; "
                         "fill it in", specimen_set_batch_name(set, run->assumed[i], &room));
}

/* The batch above in the file goes first, for cells are left empty where they repeat; then the one below; else all are one. */
static void assume(struct assuming *run)
{
    struct specimen_set *set = run->set;
    forget_near(run);
    for (size_t i = 0; i < set->n; i++)
        visit(run, i);
    forget_near(run);
    for (size_t i = set->n; i-- > 0;)
        visit(run, i);
    forget_near(run);
    for (size_t i = 0; i < set->n; i++) {
        if (!is_untold(run, i))
            continue;
        const bool none_told = run->assumed[i] == NOT_KNOWN;
        uint32_t *shared = &run->near[specimen_set_mix(set, i)];
        if (none_told)
            run->assumed[i] = *shared = *shared == NOT_KNOWN ? set->batch[i] : *shared;
        say(run, i, none_told);
    }
    for (size_t i = 0; i < set->n; i++) {
        if (run->assumed[i] == NOT_KNOWN)
            continue;
        set->batch[i] = run->assumed[i];
        set->flags[i] = (uint16_t)((set->flags[i] & ~FLAG_NO_BATCH) | FLAG_BATCH_ASSUMED);
        set->n_batch_assumed++;
    }
}

/* Drops batches that no row is of any more; number gets n_batches. */
static void drop_empty_batches(struct specimen_set *set, uint32_t *number)
{
    uint32_t kept = 0;
    for (size_t i = 0; i < set->n_batches; i++)
        number[i] = NOT_KNOWN;
    for (size_t i = 0; i < set->n; i++)
        number[set->batch[i]] = 0;
    for (size_t i = 0; i < set->n_batches; i++) {
        if (number[i] == NOT_KNOWN)
            continue;
        set->batches[kept] = set->batches[i];
        number[i] = kept++;
    }
    for (size_t i = 0; i < set->n; i++)
        set->batch[i] = number[set->batch[i]];
    set->n_batches = kept;
}

/* A row keeps its date when it goes to another batch. */
static bool keep_dates(struct specimen_set *set)
{
    bool any = false;
    for (size_t b = 0; !any && b < set->n_batches; b++)
        any = set->batches[b].cast_on != INT32_MIN;
    return set->cast_on || !any || set_need_dates(set);
}

static bool assume_untold(struct specimen_set *set, bool *file_tells, struct problem_list *problems)
{
    struct assuming run = {
        .set = set, .problems = problems, .file_tells = file_tells,
        .near = memory_new(set->n_mixes, sizeof *run.near),
        .assumed = memory_new(set->n, sizeof *run.assumed),
    };
    uint32_t *number = memory_new(set->n_batches, sizeof *number);
    const bool good = run.near && run.assumed && number && keep_dates(set);
    for (size_t i = 0; good && i < set->n; i++)
        run.assumed[i] = NOT_KNOWN;
    if (good) {
        assume(&run);
        drop_empty_batches(set, number);
    }
    memory_free(run.near);
    memory_free(run.assumed);
    memory_free(number);
    return good;
}

bool set_assume_batches(struct specimen_set *set, struct problem_list *problems)
{
    size_t n_untold = 0;
    for (size_t i = 0; i < set->n; i++)
        n_untold += (set->flags[i] & FLAG_NO_BATCH) != 0;
    set->has_batch_column = set->has_batch_column && (n_untold < set->n || set->n == 0);
    if (n_untold == 0 || n_untold == set->n)
        return true;
    bool *file_tells = memory_new(set->n_paths, sizeof *file_tells);
    for (size_t r = 0; file_tells && r < set->n_runs; r++) {
        const struct set_run *run = &set->runs[r];
        for (uint32_t i = run->first; i < run->first + run->n; i++)
            file_tells[run->file] |= !(set->flags[i] & FLAG_NO_BATCH);
    }
    const bool good = file_tells && assume_untold(set, file_tells, problems);
    memory_free(file_tells);
    return good;
}
