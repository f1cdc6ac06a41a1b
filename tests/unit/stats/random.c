#include "stats/random.h"
#include "stats/summary.h"
#include "support/check.h"

#include "base/memory.h"

#include <stdlib.h>

static int compare_seeds(const void *a, const void *b)
{
    unsigned long x = *(const unsigned long *)a, y = *(const unsigned long *)b;
    return (x > y) - (x < y);
}

static void test_seeds_are_apart(void)
{
    enum { N = 200000 };
    static unsigned long seeds[N];
    static const uint64_t runs[] = { 0, 1, 2, 4357, UINT64_C(1) << 32, UINT64_MAX };
    for (size_t r = 0; r < sizeof runs / sizeof *runs; r++) {
        size_t doubles = 0;
        for (size_t i = 0; i < N; i++)
            seeds[i] = random_replicate_seed(runs[r], i);
        qsort(seeds, N, sizeof *seeds, compare_seeds);
        for (size_t i = 1; i < N; i++)
            doubles += seeds[i] == seeds[i - 1];
        CU_ASSERT_EQUAL(doubles, 0);
        CU_ASSERT(seeds[0] > 0 && seeds[N - 1] <= UINT32_MAX);
    }
}

static void test_user_seeds_differ(void)
{
    /* 5 and 5 + 2^32 are one seed to the twister itself, and so are 0 and 4357. */
    CU_ASSERT_NOT_EQUAL(random_replicate_seed(5, 0), random_replicate_seed(5 + (UINT64_C(1) << 32), 0));
    CU_ASSERT_NOT_EQUAL(random_replicate_seed(0, 0), random_replicate_seed(4357, 0));
    CU_ASSERT_NOT_EQUAL(random_replicate_seed(1, 0), random_replicate_seed(0, 1));
}

static void test_streams_repeat(void)
{
    struct random_stream *a = random_stream_new(42, 7), *b = random_stream_new(42, 3);
    CU_ASSERT_FATAL(a && b);
    double first = random_uniform(a), other = random_uniform(b);
    CU_ASSERT_NOT_EQUAL(first, other);
    random_stream_restart(b, 42, 7);
    CU_ASSERT_EQUAL(random_uniform(b), first);
    setenv("GSL_RNG_SEED", "7", 1);
    setenv("GSL_RNG_TYPE", "taus", 1);
    random_stream_restart(b, 42, 7);
    CU_ASSERT_EQUAL(random_uniform(b), first);
    random_stream_free(a);
    random_stream_free(b);
    random_stream_free(NULL);
}

static void test_draws(void)
{
    enum { N = 60000 };
    static double normal[N];
    size_t count[7] = { 0 };
    struct random_stream *stream = random_stream_new(11, 0);
    CU_ASSERT_FATAL(stream != NULL);
    double chi_square = 0;
    for (size_t i = 0; i < N; i++) {
        count[random_below(stream, 7)]++;
        normal[i] = random_normal(stream);
    }
    for (size_t k = 0; k < 7; k++)
        chi_square += pow((double)count[k] - N / 7.0, 2) / (N / 7.0);
    CU_ASSERT(chi_square < 22.5); /* 99.9 % of chi-square with 6 df */
    struct summary summary = summary_of(normal, N);
    CU_ASSERT(fabs(summary.mean) < 3.3 / sqrt(N));
    CU_ASSERT(fabs(summary.sd - 1) < 3.3 / sqrt(2.0 * N));
    CU_ASSERT_EQUAL(random_below(stream, 1), 0);
    CU_ASSERT_EQUAL(random_below(stream, 0), 0);
    random_stream_free(stream);
}

static void test_no_memory(void)
{
    for (unsigned long n = 1; n <= 2; n++) {
        memory_fail_at(n, false);
        CU_ASSERT_PTR_NULL(random_stream_new(1, 1));
    }
    memory_fail_at(0, false);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "seeds are apart", test_seeds_are_apart },
        { "user seeds differ", test_user_seeds_differ },
        { "streams repeat", test_streams_repeat },
        { "draws", test_draws },
        { "no memory", test_no_memory },
    };
    return check_run("random", cases, sizeof cases / sizeof *cases);
}
