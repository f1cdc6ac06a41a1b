#include "analysis/companions.h"

#include "analysis/states.h"
#include "base/memory.h"

#include <math.h>
#include <stdlib.h>

struct companion_key {
    double age_days;
    uint32_t state, batch, row; /* state: moisture and kind as one number */
};

/* Over one mix after the other, with room for the largest. */
struct walk {
    const struct companions *companions;
    uint32_t *rows, *batches;     /* of the mix at hand */
    struct companion_key *keys;
    struct companion_group *groups;
};

static int compare_batch_and_row(const struct companion_key *a, const struct companion_key *b)
{
    if (a->batch != b->batch)
        return a->batch < b->batch ? -1 : 1;
    return (a->row > b->row) - (a->row < b->row);
}

/* Unknown ages stand last. */
static int by_state(const void *left, const void *right)
{
    const struct companion_key *a = left, *b = right;
    if (a->state != b->state)
        return a->state < b->state ? -1 : 1;
    if (isnan(a->age_days) != isnan(b->age_days))
        return isnan(a->age_days) ? 1 : -1;
    if (a->age_days < b->age_days || a->age_days > b->age_days)
        return a->age_days < b->age_days ? -1 : 1;
    return compare_batch_and_row(a, b);
}

static int by_batch(const void *left, const void *right)
{
    return compare_batch_and_row(left, right);
}

static void sort_keys(struct companion_key *keys, size_t n, int (*compare)(const void *, const void *))
{
    for (size_t i = 1; i < n; i++)
        if (compare(&keys[i - 1], &keys[i]) > 0) {
            qsort(keys, n, sizeof *keys, compare);
            return;
        }
}

void companions_release(struct companions *companions)
{
    memory_free(companions->first_stretch);
    memory_free(companions->first_row);
    memory_free(companions->stretch);
}

/* How many stretches and rows each mix has, one place behind it. */
static size_t count_stretches(const struct companions *companions)
{
    const struct specimen_set *set = companions->set;
    size_t n = 0;
    for (size_t from = 0, end; from < set->n; from = end) {
        const uint32_t mix = specimen_set_mix(set, from);
        end = specimen_set_batch_end(set, from, set->n);
        companions->first_stretch[mix + 1]++;
        companions->first_row[mix + 1] += end - from;
        n++;
    }
    return n;
}

/* Placing the stretches of a mix moves its beginning on to its end, where the next one begins. */
static void place_stretches(struct companions *companions)
{
    const struct specimen_set *set = companions->set;
    size_t *first = companions->first_stretch;
    for (size_t from = 0; from < set->n; from = specimen_set_batch_end(set, from, set->n))
        companions->stretch[first[specimen_set_mix(set, from)]++] = (uint32_t)from;
    for (size_t mix = set->n_mixes; mix > 0; mix--)
        first[mix] = first[mix - 1];
    first[0] = 0;
}

bool companions_make(const struct specimen_set *set, struct companions *companions)
{
    *companions = (struct companions){
        .set = set,
        .first_stretch = memory_new(set->n_mixes + 1, sizeof *companions->first_stretch),
        .first_row = memory_new(set->n_mixes + 1, sizeof *companions->first_row),
    };
    if (!companions->first_stretch || !companions->first_row)
        return false;
    companions->stretch = memory_resize(NULL, count_stretches(companions), sizeof *companions->stretch);
    for (size_t mix = 0; mix < set->n_mixes; mix++) {
        const size_t n = companions->first_row[mix + 1];
        companions->most = n > companions->most ? n : companions->most;
        companions->first_row[mix + 1] += companions->first_row[mix];
        companions->first_stretch[mix + 1] += companions->first_stretch[mix];
    }
    if (companions->stretch)
        place_stretches(companions);
    return companions->stretch;
}

/* Lists the rows of a mix and their batches; returns how many. */
static size_t list_rows(const struct companions *companions, uint32_t mix, uint32_t *rows, uint32_t *batches)
{
    const uint32_t *batch = companions->set->batch, *stretch = companions->stretch;
    const size_t end = companions->first_stretch[mix + 1], n_rows = companions->set->n;
    size_t n = 0;
    for (size_t k = companions->first_stretch[mix]; k < end; k++) {
        COMPANION_EXPECT(batch, stretch, k, end);
        const uint32_t of = batch[stretch[k]];
        for (uint32_t row = stretch[k]; row < n_rows && batch[row] == of; row++) {
            batches[n] = of;
            rows[n++] = row;
        }
    }
    return n;
}

static uint32_t row_state(const struct specimen_set *set, size_t row)
{
    const uint32_t moisture = specimen_set_moisture(set, row);
    return moisture * (UINT16_MAX + 1u) + (uint32_t)specimen_set_kind_index(set, row);
}

/* Whether all rows are of one age and state and stand batch by batch, as they mostly do in a file. */
static bool is_one_group(const struct specimen_set *set, const uint32_t *row, const uint32_t *batches, size_t n)
{
    const uint32_t state = n > 0 ? row_state(set, row[0]) : 0;
    const double age_days = set->age_days && n > 0 ? set->age_days[row[0]] : NAN;
    uint32_t batch = 0;
    for (size_t i = 0; i < n; i++) {
        if (set->age_days)
            COMPANION_EXPECT(set->age_days, row, i, n);
        if (batches[i] < batch || row_state(set, row[i]) != state || (set->age_days && !(set->age_days[row[i]] == age_days)))
            return false;
        batch = batches[i];
    }
    return n > 0;
}

/* Sorts a mix's rows into groups; rows then holds them group by group. */
static size_t walk_group(struct walk *walk, uint32_t mix)
{
    const struct specimen_set *set = walk->companions->set;
    uint32_t *row = walk->rows, *batch = walk->batches;
    const size_t n = list_rows(walk->companions, mix, row, batch);
    size_t n_groups = 0;
    struct companion_key *keys = walk->keys;
    if (is_one_group(set, row, batch, n)) {
        walk->groups[0] = (struct companion_group){ row, batch, n };
        return 1;
    }
    for (size_t i = 0; i < n; i++)
        keys[i] = (struct companion_key){ specimen_set_age(set, row[i]),
                                          row_state(set, row[i]), batch[i], row[i] };
    sort_keys(keys, n, by_state);
    for (size_t from = 0, to; from < n; from = to) {
        for (to = from + 1; to < n && keys[to].state == keys[from].state; to++)
            if (!age_same(keys[to].age_days, keys[from].age_days))
                break;
        sort_keys(keys + from, to - from, by_batch);
        walk->groups[n_groups++] = (struct companion_group){ row + from, batch + from, to - from };
    }
    for (size_t i = 0; i < n; i++) {
        row[i] = keys[i].row;
        batch[i] = keys[i].batch;
    }
    return n_groups;
}

static enum status walk_visit(struct walk *walk, uint32_t mix, companion_visit *visit, void *context)
{
    struct companion_mix found = { .mix = mix, .groups = walk->groups };
    found.n_groups = walk_group(walk, mix);
    for (size_t i = 0; i < found.n_groups; i++)
        found.most_rows = walk->groups[i].n_rows > found.most_rows ? walk->groups[i].n_rows : found.most_rows;
    return visit(&found, context);
}

enum status companions_walk_some(const struct companions *companions, uint32_t from, uint32_t to, companion_visit *visit, void *context)
{
    struct walk walk = { companions, memory_resize(NULL, companions->most, sizeof *walk.rows),
                         memory_resize(NULL, companions->most, sizeof *walk.batches),
                         memory_resize(NULL, companions->most, sizeof *walk.keys), memory_resize(NULL, companions->most, sizeof *walk.groups) };
    enum status status = walk.rows && walk.batches && walk.keys && walk.groups ? STATUS_OK : STATUS_MEMORY;
    for (uint32_t mix = from; status == STATUS_OK && mix < to; mix++)
        status = walk_visit(&walk, mix, visit, context);
    memory_free(walk.rows);
    memory_free(walk.batches);
    memory_free(walk.keys);
    memory_free(walk.groups);
    return status;
}

enum status companions_walk(const struct specimen_set *set, companion_visit *visit, void *context)
{
    struct companions companions;
    enum status status = companions_make(set, &companions) ? STATUS_OK : STATUS_MEMORY;
    if (status == STATUS_OK)
        status = companions_walk_some(&companions, 0, (uint32_t)set->n_mixes, visit, context);
    companions_release(&companions);
    return status;
}

void companion_values_take(const struct specimen_set *set, const struct companion_group *group,
                           enum property property, struct companion_values *values)
{
    const double *all = set->value[property];
    const uint32_t *row = group->row;
    const size_t n_rows = all ? group->n_rows : 0;
    uint32_t batch = UINT32_MAX; /* no batch has this number */
    size_t n = 0, n_batches = 0;
    for (size_t i = 0; i < n_rows; i++) {
        COMPANION_EXPECT(all, row, i, n_rows);
        const double value = all[row[i]];
        if (isnan(value))
            continue;
        if (group->batch[i] != batch)
            values->start[n_batches++] = (uint32_t)n;
        batch = group->batch[i];
        values->value[n] = value;
        values->row[n++] = row[i];
    }
    values->start[n_batches] = (uint32_t)n;
    values->n = n;
    values->n_batches = n_batches;
}
