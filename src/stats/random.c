#include "stats/random.h"

#include "base/memory.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

#define WORDS 624u            /* of a twister's state; the constants are those of Matsumoto and Nishimura, ACM TOMACS 1998 */
#define MIDDLE 397u
#define LANES 8u              /* replicates seeded side by side */
#define WORDS_FOR_A_FEW 464u  /* what the first WORDS_FOR_A_FEW - MIDDLE draws read */

/*
 * The same numbers as gsl_rng_mt19937 (a test holds them together), with less work before the first one: of a state of 624
 * words a short replicate reads hardly more than MIDDLE, so the others are not seeded and none is turned over before it is drawn.
 * Seeding is one long chain of products; LANES chains that take turns need hardly longer than one.
 */
struct random_stream {
    gsl_rng generator;        /* for what GSL draws from this stream */
    uint64_t seed, first;     /* the lanes are replicates first .. first + LANES - 1 of the seed */
    unsigned lane;            /* the one drawn from */
    unsigned seeded;          /* words of every lane */
    unsigned next;            /* word of the next draw */
    size_t limit;             /* of the last random_below(), with its share of all 32-bit numbers */
    uint32_t share;
    uint32_t word[WORDS][LANES];
};

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

static uint32_t seeded_after(uint32_t before, unsigned i)
{
    return UINT32_C(1812433253) * (before ^ (before >> 30)) + i;
}

static void seed_words(struct random_stream *stream, unsigned end)
{
    for (unsigned i = stream->seeded; i < end; i++)
        for (unsigned lane = 0; lane < LANES; lane++)
            stream->word[i][lane] = seeded_after(stream->word[i - 1][lane], i);
    stream->seeded = end;
}

static void seed_lanes(struct random_stream *stream, uint64_t seed, uint64_t replicate)
{
    unsigned end = stream->seeded > WORDS_FOR_A_FEW ? WORDS : WORDS_FOR_A_FEW; /* whoever drew many will do so again */
    stream->seed = seed;
    stream->first = replicate;
    stream->lane = 0;
    for (unsigned lane = 0; lane < LANES; lane++)
        stream->word[0][lane] = (uint32_t)random_replicate_seed(seed, replicate + lane);
    stream->seeded = 1;
    seed_words(stream, end);
}

static uint32_t next_number(struct random_stream *stream)
{
    unsigned i = stream->next, after = i + 1 < WORDS ? i + 1 : 0, far = i + MIDDLE < WORDS ? i + MIDDLE : i + MIDDLE - WORDS;
    if (far >= stream->seeded)
        seed_words(stream, WORDS);
    uint32_t *word = &stream->word[i][stream->lane], following = stream->word[after][stream->lane];
    uint32_t joined = (*word & UINT32_C(0x80000000)) | (following & UINT32_C(0x7fffffff));
    uint32_t x = *word = stream->word[far][stream->lane] ^ (joined >> 1) ^ (joined & 1 ? UINT32_C(0x9908b0df) : 0);
    stream->next = after;
    x ^= x >> 11;
    x ^= (x << 7) & UINT32_C(0x9d2c5680);
    x ^= (x << 15) & UINT32_C(0xefc60000);
    return x ^ (x >> 18);
}

static unsigned long gsl_number(void *state)
{
    return next_number(state);
}

static double gsl_uniform(void *state)
{
    return next_number(state) / 4294967296.0;
}

struct random_stream *random_stream_new(uint64_t seed, uint64_t replicate)
{
    static const gsl_rng_type type = { .name = "twister", .max = UINT32_MAX, .min = 0, .get = gsl_number, .get_double = gsl_uniform };
    struct random_stream *stream = memory_new(1, sizeof *stream);
    if (!stream)
        return NULL;
    stream->generator = (gsl_rng){ &type, stream };
    seed_lanes(stream, seed, replicate);
    return stream;
}

void random_stream_free(struct random_stream *stream)
{
    memory_free(stream);
}

void random_stream_restart(struct random_stream *stream, uint64_t seed, uint64_t replicate)
{
    uint64_t lane = replicate - stream->first;
    stream->next = 0;
    if (seed == stream->seed && lane > stream->lane && lane < LANES)
        stream->lane = (unsigned)lane; /* seeded with the one before, and not drawn from yet */
    else
        seed_lanes(stream, seed, replicate);
}

/* Whole numbers as gsl_rng_uniform_int() has them, which divides twice for each. */
size_t random_below(struct random_stream *stream, size_t limit)
{
    if (limit <= 1 || limit > UINT32_MAX)
        return 0;
    if (limit != stream->limit) {
        stream->limit = limit;
        stream->share = UINT32_MAX / (uint32_t)limit;
    }
    for (;;) {
        uint32_t number = next_number(stream) / stream->share;
        if (number < limit)
            return number;
    }
}

double random_uniform(struct random_stream *stream)
{
    return gsl_uniform(stream);
}

double random_normal(struct random_stream *stream)
{
    return gsl_ran_gaussian_ziggurat(&stream->generator, 1);
}
