#include "stats/mixed_pool.h"

#include "base/memory.h"
#include "stats/summary.h"

#include <math.h>

bool mixed_pool_wanted(const struct mixed_data *data)
{
    if (!data->response)
        return true;
    return data->batch && data->batch_design && !data->weights && data->n_batches >= MIXED_BATCHES_MANY;
}

static enum status pool_rows(const struct mixed_data *data, struct mixed_pool *pool)
{
    pool->batches = memory_new(data->n_batches, sizeof *pool->batches);
    if (!pool->batches)
        return STATUS_MEMORY;
    pool->shift = data->response[0];
    for (size_t row = 0; row < data->n_rows; row++) {
        if (data->batch[row] >= data->n_batches || !isfinite(data->response[row]))
            return STATUS_NUMERIC;
        struct mixed_batch *batch = &pool->batches[data->batch[row]];
        pool->squares += mean_move(&batch->mean, data->response[row] - pool->shift, ++batch->n_rows);
    }
    return STATUS_OK;
}

/* The cells of each design as a chain. */
struct cell_chains {
    struct mixed_pool *pool;
    uint32_t *first, *next; /* 1 + the cell, 0: none; of each design, of each cell */
    size_t room;
};

static size_t count_designs(const uint32_t *batch_design, size_t n_batches)
{
    uint32_t last = 0;
    for (size_t b = 0; b < n_batches; b++)
        last = batch_design[b] > last ? batch_design[b] : last;
    return (size_t)last + 1;
}

static bool make_room(struct cell_chains *chains)
{
    size_t room = 2 * chains->room + 8;
    struct mixed_cell *cells = memory_resize(chains->pool->cells, room, sizeof *cells);
    if (!cells)
        return false;
    chains->pool->cells = cells;
    uint32_t *next = memory_resize(chains->next, room, sizeof *next);
    if (!next)
        return false;
    chains->next = next;
    chains->room = room;
    return true;
}

/* Finds or adds the cell of batches of a design that have so many rows. */
static bool find_cell(struct cell_chains *chains, size_t design, uint32_t n_rows, uint32_t *cell)
{
    struct mixed_pool *pool = chains->pool;
    /* NOLINTNEXTLINE(clang-analyzer-core.NullDereference): a design that has a cell has its link */
    for (uint32_t i = chains->first[design]; i > 0; i = chains->next[i - 1]) {
        *cell = i - 1;
        if (pool->cells[i - 1].n_rows == n_rows)
            return true;
    }
    if (pool->n_cells == chains->room && !make_room(chains))
        return false;
    *cell = (uint32_t)pool->n_cells++;
    pool->cells[*cell] = (struct mixed_cell){ .design = design, .n_rows = n_rows };
    /* NOLINTNEXTLINE(clang-analyzer-core.NullDereference): there is room for it, or some was made */
    chains->next[*cell] = chains->first[design];
    chains->first[design] = *cell + 1;
    return true;
}

/* Adds the first of n batches and those after it that are of the same cell, as most are; returns how many. */
static size_t add_alike(struct mixed_cell *cell, uint32_t number, struct mixed_batch *batches, const uint32_t *batch_design, size_t n)
{
    struct mixed_cell sum = *cell;
    const uint32_t n_rows = batches[0].n_rows, design = batch_design[0];
    size_t b = 0;
    for (; b < n && batches[b].n_rows == n_rows && batch_design[b] == design; b++) {
        batches[b].cell = number;
        sum.squares += mean_move(&sum.mean, batches[b].mean, ++sum.n_batches);
    }
    *cell = sum;
    return b;
}

static enum status find_cells(struct mixed_pool *pool, const uint32_t *batch_design, size_t n_batches)
{
    struct cell_chains chains = { .pool = pool, .first = memory_new(count_designs(batch_design, n_batches), sizeof *chains.first) };
    bool found = chains.first;
    for (size_t b = 0, n; found && b < n_batches; b += n) {
        uint32_t cell;
        n = 1;
        if (pool->batches[b].n_rows == 0)
            continue;
        found = find_cell(&chains, batch_design[b], pool->batches[b].n_rows, &cell);
        if (found)
            n = add_alike(&pool->cells[cell], cell, &pool->batches[b], &batch_design[b], n_batches - b);
    }
    memory_free(chains.first);
    memory_free(chains.next);
    pool->batch_design = found ? batch_design : NULL;
    pool->n_cells = found ? pool->n_cells : 0;
    return found ? STATUS_OK : STATUS_MEMORY;
}

enum status mixed_pool_make(const struct mixed_data *data, struct mixed_pool *pool)
{
    if (pool->response == data->response && pool->batch_design == data->batch_design)
        return STATUS_OK;
    if (!data->response)
        return pool->batches && !pool->batch_design ? find_cells(pool, data->batch_design, data->n_batches) : STATUS_NUMERIC;
    mixed_pool_release(pool);
    enum status status = pool_rows(data, pool);
    if (status == STATUS_OK)
        status = find_cells(pool, data->batch_design, data->n_batches);
    if (status == STATUS_OK)
        pool->response = data->response;
    return status;
}

void mixed_pool_release(struct mixed_pool *pool)
{
    memory_free(pool->batches);
    memory_free(pool->cells);
    *pool = (struct mixed_pool){0};
}
