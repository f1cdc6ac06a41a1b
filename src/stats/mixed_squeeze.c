#include "stats/mixed_squeeze.h"

#include "base/memory.h"
#include "stats/triangle.h"

#include <math.h>

/* Blocks that gather all batches of their sum of weights; batches of further ones have a block each. */
enum { BLOCKS_SHARED_MAX = 32 };

/* One block while it is filled. */
struct filling {
    const struct mixed_sums *sums;
    double *rows;    /* the block's */
    bool squeezed;
    double *columns; /* rows on their way into the triangle */
    size_t n;        /* of these, or rows filled */
};

/* The block that batches of a sum of weights share; NULL: none yet, or beyond those that are shared. */
static struct mean_block *shared_block(const struct mixed_sums *s, double weight)
{
    for (size_t i = 0; i < s->n_blocks && i < BLOCKS_SHARED_MAX; i++)
        if (s->blocks[i].weight == weight)
            return &s->blocks[i];
    return NULL;
}

/* Finds the blocks and how many rows each takes: those of its triangle when there are more. */
static bool list_blocks(struct mixed_sums *s, const double *means, size_t n_means)
{
    s->blocks = memory_new(n_means, sizeof *s->blocks);
    if (!s->blocks)
        return false;
    for (size_t i = 0; i < n_means; i++) {
        const double *mean = means + i * (OF_MEANS + s->width);
        struct mean_block *block = shared_block(s, mean[OF_WEIGHT]);
        if (mean[OF_WEIGHT] == 0)
            continue;
        if (!block)
            block = &s->blocks[s->n_blocks++];
        block->weight = mean[OF_WEIGHT];
        block->n_batches += mean[OF_COUNT];
        block->n_rows += mean[OF_SQUARES] > 0 ? 2 : 1;
        s->n_batches += (size_t)mean[OF_COUNT];
    }
    for (size_t i = 0; i < s->n_blocks; i++) {
        struct mean_block *block = &s->blocks[i];
        block->squeezed = block->n_rows > s->width;
        block->n_rows = block->squeezed ? s->width : block->n_rows;
        block->first_row = s->n_mean_rows;
        s->n_mean_rows += block->n_rows;
    }
    s->mean_rows = memory_new(s->n_mean_rows * s->width, sizeof *s->mean_rows);
    return s->mean_rows != NULL;
}

static struct filling filling_start(const struct mixed_sums *s, const struct mean_block *block, double *columns)
{
    return (struct filling){ .sums = s, .rows = s->mean_rows + block->first_row * s->width, .squeezed = block->squeezed,
                             .columns = columns };
}

static void filling_end(struct filling *filling)
{
    if (filling->squeezed)
        triangle_absorb(filling->rows, filling->sums->width, filling->columns, filling->n);
    filling->n = 0;
}

/* One more row: the means so many times, or, without means, nothing but `times` in the response's column. */
static void fill_row(struct filling *filling, const double *means, double times)
{
    const size_t width = filling->sums->width, stride = filling->squeezed ? TRIANGLE_BLOCK : 1;
    double *row = filling->squeezed ? filling->columns + filling->n : filling->rows + width * filling->n;
    for (size_t k = 0; k < width; k++)
        row[k * stride] = means ? times * means[k] : k == width - 1 ? times : 0;
    filling->n++;
    if (filling->squeezed && filling->n == TRIANGLE_BLOCK)
        filling_end(filling);
}

/* Two rows stand for all batches of a mean: itself, as often as there are batches, and the squares about it. */
static void fill_mean(struct filling *filling, const double *mean)
{
    fill_row(filling, mean + OF_MEANS, sqrt(mean[OF_COUNT]));
    if (mean[OF_SQUARES] > 0)
        fill_row(filling, NULL, sqrt(mean[OF_SQUARES]));
}

bool mixed_squeeze(struct mixed_sums *sums, const double *means, size_t n_means, double *block)
{
    const size_t stride = OF_MEANS + sums->width;
    if (!list_blocks(sums, means, n_means))
        return false;
    size_t next = 0;
    for (; next < sums->n_blocks && next < BLOCKS_SHARED_MAX; next++) {
        struct filling filling = filling_start(sums, &sums->blocks[next], block);
        for (size_t i = 0; i < n_means; i++)
            if (means[i * stride + OF_WEIGHT] == sums->blocks[next].weight)
                fill_mean(&filling, means + i * stride);
        filling_end(&filling);
    }
    for (size_t i = 0; next < sums->n_blocks; i++) {
        const double *mean = means + i * stride;
        if (mean[OF_WEIGHT] == 0 || shared_block(sums, mean[OF_WEIGHT]))
            continue;
        struct filling filling = filling_start(sums, &sums->blocks[next++], block);
        fill_mean(&filling, mean);
        filling_end(&filling);
    }
    return true;
}
