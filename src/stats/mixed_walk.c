#include "stats/mixed_walk.h"

#include "base/memory.h"
#include "stats/triangle.h"

#include <math.h>

/* Fewer are soon summed up row by row. */
#define BATCHES_WORTH_POOLING 1000

bool mixed_walk_serves(const struct mixed_data *data)
{
    return data->batch && data->batch_design && !data->weights && data->n_batches >= BATCHES_WORTH_POOLING;
}

/* Written before they are read: memory that is fresh from the system then costs one fault a page, not two. */
static bool clear_batches(struct mixed_walk *walk, size_t n_batches)
{
    walk->batches = memory_resize(NULL, n_batches, sizeof *walk->batches);
    for (size_t b = 0; walk->batches && b < n_batches; b++)
        walk->batches[b] = (struct mixed_batch){ .mean = 0 };
    return walk->batches != NULL;
}

/*
 * Moves the batch mean by one row; its deviation from the old mean, times
 * sqrt(W / (1 + W)), adds to the squares about the final mean (Welford's step).
 */
static enum status walk_over_rows(const struct mixed_data *data, struct mixed_walk *walk)
{
    double block[TRIANGLE_BLOCK];
    size_t n_block = 0;
    for (size_t row = 0; row < data->n_rows; row++) {
        if (data->batch[row] >= data->n_batches || !isfinite(data->response[row]))
            return STATUS_NUMERIC;
        struct mixed_batch *batch = &walk->batches[data->batch[row]];
        double before = batch->n_rows++, share = 1 / (before + 1);
        double deviation = data->response[row] - walk->shift - batch->mean;
        batch->mean += share * deviation;
        if (before == 0)
            continue;
        block[n_block++] = sqrt(share * before) * deviation;
        if (n_block == TRIANGLE_BLOCK) {
            triangle_absorb(&walk->within, 1, block, n_block);
            n_block = 0;
        }
    }
    triangle_absorb(&walk->within, 1, block, n_block);
    return STATUS_OK;
}

/* The cells of each design as a chain. */
struct cell_chains {
    struct mixed_walk *walk;
    uint32_t *first, *next; /* 1 + the cell, 0: none; of each design, of each cell */
    size_t room;
};

static size_t count_designs(const struct mixed_data *data)
{
    size_t n = 0;
    for (size_t b = 0; b < data->n_batches; b++)
        n = data->batch_design[b] >= n ? (size_t)data->batch_design[b] + 1 : n;
    return n;
}

static bool make_room(struct cell_chains *chains)
{
    size_t room = 2 * chains->room + 8;
    struct mixed_cell *cells = memory_resize(chains->walk->cells, room, sizeof *cells);
    if (!cells)
        return false;
    chains->walk->cells = cells;
    uint32_t *next = memory_resize(chains->next, room, sizeof *next);
    if (!next)
        return false;
    chains->next = next;
    chains->room = room;
    return true;
}

/* Finds or adds the cell of a batch. */
static bool find_cell(struct cell_chains *chains, size_t design, struct mixed_batch *batch)
{
    struct mixed_walk *walk = chains->walk;
    for (uint32_t i = chains->first[design]; i > 0; i = chains->next[i - 1]) {
        batch->cell = i - 1;
        if (walk->cells[i - 1].n_rows == batch->n_rows)
            return true;
    }
    if (walk->n_cells == chains->room && !make_room(chains))
        return false;
    batch->cell = (uint32_t)walk->n_cells++;
    walk->cells[batch->cell] = (struct mixed_cell){ .design = design, .n_rows = batch->n_rows };
    chains->next[batch->cell] = chains->first[design];
    chains->first[design] = batch->cell + 1;
    return true;
}

static enum status sum_up_cells(const struct mixed_data *data, struct mixed_walk *walk)
{
    struct cell_chains chains = { .walk = walk, .first = memory_new(count_designs(data), sizeof *chains.first) };
    bool found = chains.first;
    for (size_t b = 0; found && b < data->n_batches; b++) {
        struct mixed_batch *batch = &walk->batches[b];
        if (batch->n_rows == 0)
            continue;
        found = find_cell(&chains, data->batch_design[b], batch);
        if (!found)
            break;
        struct mixed_cell *cell = &walk->cells[batch->cell];
        double deviation = batch->mean - cell->mean;
        cell->n_batches++;
        cell->mean += deviation / cell->n_batches;
        cell->squares += deviation * (batch->mean - cell->mean);
    }
    memory_free(chains.first);
    memory_free(chains.next);
    return found ? STATUS_OK : STATUS_MEMORY;
}

enum status mixed_walk_make(const struct mixed_data *data, struct mixed_walk *walk)
{
    if (walk->response == data->response)
        return STATUS_OK;
    mixed_walk_release(walk);
    if (!clear_batches(walk, data->n_batches))
        return STATUS_MEMORY;
    walk->shift = data->response[0];
    enum status status = walk_over_rows(data, walk);
    if (status == STATUS_OK)
        status = sum_up_cells(data, walk);
    if (status == STATUS_OK)
        walk->response = data->response;
    return status;
}

void mixed_walk_release(struct mixed_walk *walk)
{
    memory_free(walk->batches);
    memory_free(walk->cells);
    *walk = (struct mixed_walk){0};
}
