#ifndef STATS_RANDOM_H
#define STATS_RANDOM_H

#include <stddef.h>
#include <stdint.h>

/*
 * Seed of replicate number `replicate` of a run seeded with `seed`: a value
 * in 1 .. 2^32-1, as the Mersenne twister takes it. Within one run no two of
 * the first 2^32-1 replicates share a seed, so replicates can be computed in
 * any order or thread with the same result.
 * Source: docs/methods/bootstrap.md
 */
unsigned long random_replicate_seed(uint64_t seed, uint64_t replicate);

/* A stream of random numbers (Mersenne twister). Not to be shared between threads. */
struct random_stream;

/* NULL when memory is out. The environment has no say in the stream. */
struct random_stream *random_stream_new(uint64_t seed, uint64_t replicate);
void random_stream_free(struct random_stream *stream);

/* Starts over as replicate number `replicate` of `seed`. */
void random_stream_restart(struct random_stream *stream, uint64_t seed, uint64_t replicate);

size_t random_below(struct random_stream *stream, size_t limit);  /* 0 .. limit-1, each equally likely; limit 1 .. 2^32-1 */
double random_uniform(struct random_stream *stream);              /* 0 <= u < 1 */
double random_normal(struct random_stream *stream);               /* mean 0, sd 1 */

#endif
