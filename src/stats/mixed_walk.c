#include "stats/mixed_walk.h"

#include "base/memory.h"
#include "stats/triangle.h"

#include <math.h>

/* Written before they are read: memory that is fresh from the system then costs one fault a page, not two. */
static bool clear_batches(struct mixed_walk *walk, size_t n_batches)
{
    walk->batches = memory_resize(NULL, n_batches, 2 * sizeof *walk->batches);
    for (size_t i = 0; walk->batches && i < 2 * n_batches; i++)
        walk->batches[i] = 0;
    return walk->batches != NULL;
}

/*
 * Moves the batch mean by one row; its deviation from the old mean, times
 * sqrt(W / (1 + W)), adds to the squares about the final mean (Welford's step).
 */
enum status mixed_walk_make(const struct mixed_data *data, double shift, struct mixed_walk *walk)
{
    double block[TRIANGLE_BLOCK];
    size_t n_block = 0;
    if (walk->response == data->response && walk->shift == shift)
        return STATUS_OK;
    mixed_walk_release(walk);
    if (!clear_batches(walk, data->n_batches))
        return STATUS_MEMORY;
    walk->response = data->response;
    walk->shift = shift;
    for (size_t row = 0; row < data->n_rows; row++) {
        double *batch = walk->batches + 2 * data->batch[row];
        double before = batch[0], after = before + 1, share = 1 / after;
        double deviation = data->response[row] - shift - batch[1];
        batch[0] = after;
        batch[1] += share * deviation;
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

void mixed_walk_release(struct mixed_walk *walk)
{
    memory_free(walk->batches);
    *walk = (struct mixed_walk){0};
}
