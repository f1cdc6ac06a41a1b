#include "stats/mixed_walk.h"

#include "base/memory.h"

#include <math.h>

/* Fewer are soon summed up row by row. */
#define BATCHES_WORTH_POOLING 1000

bool mixed_walk_serves(const struct mixed_data *data)
{
    if (!data->response)
        return true;
    return data->batch && data->batch_design && !data->weights && data->n_batches >= BATCHES_WORTH_POOLING;
}

static enum status walk_over_rows(const struct mixed_data *data, struct mixed_walk *walk)
{
    walk->batches = memory_new(data->n_batches, sizeof *walk->batches);
    if (!walk->batches)
        return STATUS_MEMORY;
    walk->shift = data->response[0];
    for (size_t row = 0; row < data->n_rows; row++) {
        if (data->batch[row] >= data->n_batches || !isfinite(data->response[row]))
            return STATUS_NUMERIC;
        walk->squares += mixed_batch_add(&walk->batches[data->batch[row]], data->response[row] - walk->shift);
    }
    return STATUS_OK;
}

/* The cells of each design as a chain. */
struct cell_chains {
    struct mixed_walk *walk;
    uint32_t *first, *next; /* 1 + the cell, 0: none; of each design, of each cell */
    size_t room;
};

static size_t count_designs(const uint32_t *batch_design, size_t n_batches)
{
    size_t n = 0;
    for (size_t b = 0; b < n_batches; b++)
        n = batch_design[b] >= n ? (size_t)batch_design[b] + 1 : n;
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

/* Moves the mean of the batch's cell by its mean. */
static void add_to_cell(struct mixed_walk *walk, const struct mixed_batch *batch)
{
    struct mixed_cell *cell = &walk->cells[batch->cell];
    double deviation = batch->mean - cell->mean;
    cell->n_batches++;
    cell->mean += deviation / cell->n_batches;
    cell->squares += deviation * (batch->mean - cell->mean);
}

enum status mixed_walk_sum_up(struct mixed_walk *walk, const uint32_t *batch_design, size_t n_batches)
{
    struct cell_chains chains = { .walk = walk, .first = memory_new(count_designs(batch_design, n_batches), sizeof *chains.first) };
    bool found = chains.first;
    for (size_t b = 0; found && b < n_batches; b++) {
        if (walk->batches[b].n_rows == 0)
            continue;
        found = find_cell(&chains, batch_design[b], &walk->batches[b]);
        if (found)
            add_to_cell(walk, &walk->batches[b]);
    }
    memory_free(chains.first);
    memory_free(chains.next);
    return found ? STATUS_OK : STATUS_MEMORY;
}

enum status mixed_walk_make(const struct mixed_data *data, struct mixed_walk *walk)
{
    if (walk->response == data->response) /* NULL: summed up elsewhere */
        return STATUS_OK;
    mixed_walk_release(walk);
    enum status status = walk_over_rows(data, walk);
    if (status == STATUS_OK)
        status = mixed_walk_sum_up(walk, data->batch_design, data->n_batches);
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
