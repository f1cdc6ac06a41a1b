#include "stats/random.h"

#include "base/memory.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

/* The generator's state lies in our own memory, so that GSL allocates nothing. */
struct random_stream { gsl_rng generator; };

/* Spreads every bit of a seed over 64 bits. Source: Steele, Lea and Flood, OOPSLA 2014 (SplitMix) */
static uint64_t spread_bits(uint64_t x)
{
    x += UINT64_C(0x9e3779b97f4a7c15);
    x = (x ^ (x >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    x = (x ^ (x >> 27)) * UINT64_C(0x94d049bb133111eb);
    return x ^ (x >> 31);
}

/*
 * One of 2^64 shuffles of the numbers 0 .. 2^32-1: each step (adding,
 * folding the high half down, an odd multiplier) can be undone, so no two
 * numbers meet.
 */
static uint32_t shuffle(uint32_t x, uint64_t key)
{
    x += (uint32_t)key;
    x = (x ^ (x >> 16)) * UINT32_C(0x7feb352d);
    x += (uint32_t)(key >> 32);
    x = (x ^ (x >> 15)) * UINT32_C(0x846ca68b);
    return x ^ (x >> 16);
}

unsigned long random_replicate_seed(uint64_t seed, uint64_t replicate)
{
    uint64_t key = spread_bits(seed);
    /* From 1 to 2^32-1: 0 is left out on both sides, since the twister takes seed 0 for another one. */
    uint32_t number = (uint32_t)(replicate % UINT32_MAX) + 1;
    uint32_t shuffled = shuffle(number, key);
    return shuffled != 0 ? shuffled : shuffle(0, key);
}

struct random_stream *random_stream_new(uint64_t seed, uint64_t replicate)
{
    struct random_stream *stream = memory_new(1, sizeof *stream);
    void *state = memory_new(1, gsl_rng_mt19937->size);
    if (!stream || !state) {
        memory_free(stream);
        memory_free(state);
        return NULL;
    }
    stream->generator = (gsl_rng){ gsl_rng_mt19937, state };
    random_stream_restart(stream, seed, replicate);
    return stream;
}

void random_stream_free(struct random_stream *stream)
{
    if (!stream)
        return;
    memory_free(stream->generator.state);
    memory_free(stream);
}

void random_stream_restart(struct random_stream *stream, uint64_t seed, uint64_t replicate)
{
    gsl_rng_set(&stream->generator, random_replicate_seed(seed, replicate));
}

size_t random_below(struct random_stream *stream, size_t limit)
{
    return limit > 1 && limit <= UINT32_MAX ? gsl_rng_uniform_int(&stream->generator, limit) : 0;
}

double random_uniform(struct random_stream *stream)
{
    return gsl_rng_uniform(&stream->generator);
}

double random_normal(struct random_stream *stream)
{
    return gsl_ran_gaussian_ziggurat(&stream->generator, 1);
}
