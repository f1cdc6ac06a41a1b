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
    pool->mean = pool->own_mean = memory_new(data->n_batches, sizeof *pool->own_mean);
    pool->batch_rows = pool->own_rows = memory_new(data->n_batches, sizeof *pool->own_rows);
    if (!pool->own_mean || !pool->own_rows)
        return STATUS_MEMORY;
    pool->shift = data->response[0];
    for (size_t row = 0; row < data->n_rows; row++) {
        if (data->batch[row] >= data->n_batches || !isfinite(data->response[row]))
            return STATUS_NUMERIC;
        const uint32_t batch = data->batch[row];
        pool->squares += mean_move(&pool->own_mean[batch], data->response[row] - pool->shift, ++pool->own_rows[batch]);
    }
    return STATUS_OK;
}

void mixed_pool_lend(struct mixed_pool *pool, const double *mean, const uint32_t *batch_rows, double squares)
{
    *pool = (struct mixed_pool){ .mean = mean, .batch_rows = batch_rows, .shift = mean[0], .unshifted = mean[0], .squares = squares };
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

/* Adds a batch to a cell, and those after it up to `end` that are of the same cell, as most are; returns the first that is not. */
static size_t add_alike(struct mixed_pool *pool, uint32_t cell, const uint32_t *batch_design, size_t first, size_t end)
{
    struct mixed_cell sum = pool->cells[cell];
    const uint32_t n_rows = pool->batch_rows[first], design = batch_design[first];
    size_t b = first;
    for (; b < end && pool->batch_rows[b] == n_rows && batch_design[b] == design; b++) {
        pool->batch_cell[b] = cell;
        sum.squares += mean_move(&sum.mean, mixed_pool_mean(pool, b), ++sum.n_batches);
    }
    pool->cells[cell] = sum;
    return b;
}

static enum status find_cells(struct mixed_pool *pool, const uint32_t *batch_design, size_t n_batches)
{
    struct cell_chains chains = { .pool = pool, .first = memory_new(count_designs(batch_design, n_batches), sizeof *chains.first) };
    memory_free(pool->batch_cell);
    pool->batch_cell = memory_resize(NULL, n_batches, sizeof *pool->batch_cell);
    bool found = chains.first && pool->batch_cell;
    for (size_t b = 0, next; found && b < n_batches; b = next) {
        uint32_t cell;
        next = b + 1;
        if (pool->batch_rows[b] == 0)
            continue;
        found = find_cell(&chains, batch_design[b], pool->batch_rows[b], &cell);
        if (found)
            next = add_alike(pool, cell, batch_design, b, n_batches);
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
        return pool->mean && !pool->batch_design ? find_cells(pool, data->batch_design, data->n_batches) : STATUS_NUMERIC;
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
    memory_free(pool->own_mean);
    memory_free(pool->own_rows);
    memory_free(pool->batch_cell);
    memory_free(pool->cells);
    *pool = (struct mixed_pool){0};
}
