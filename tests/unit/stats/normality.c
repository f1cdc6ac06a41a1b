#include "stats/normality.h"
#include "support/check.h"

#include "base/memory.h"
#include "stats/distribution.h"

/* Answers of R 4.2.2's shapiro.test, which runs the same published algorithm. */
static void check_sample(const double *values, size_t n, double w, double p)
{
    struct normality got;
    CU_ASSERT_EQUAL(normality_shapiro_wilk(values, n, &got), STATUS_OK);
    check_close("W", got.w, w, 1e-12);
    check_close("p", got.p, p, 1e-10);
}

static void test_small_samples(void)
{
    static const double strengths[] = { 1.17, 1.09, 1.24, 1.13, 1.20 };
    static const double cylinders[] = { 24.1, 25.3, 23.6, 27.2, 24.4, 26 };
    static const double three[] = { 10, 10.2, 12.0 };
    /* Weights of 11 men, Shapiro and Wilk 1965 (printed W 0.79). */
    static const double men[] = { 148, 154, 158, 160, 161, 162, 166, 170, 182, 195, 236, 171 };
    check_sample(three, 3, 0.8241758241758239, 0.1736239700951649);
    check_sample(strengths, 4, 0.9811444270113288, 0.9086997394904462);
    check_sample(strengths, 5, 0.9907785846370215, 0.9823490287295045);
    check_sample(cylinders, 6, 0.9522359725304734, 0.7583458918543137);
    check_sample(men, 11, 0.7888146948353874, 0.006703814056502925);
    check_sample(men, 12, 0.790045921071611, 0.007235664226938734);
}

static void test_large_samples(void)
{
    static double values[5001];
    for (size_t i = 0; i < 100; i++)
        values[i] = log((double)i + 1);
    check_sample(values, 100, 0.8492512612955707, 1.112821905054167e-08);
    for (size_t i = 0; i < 5000; i++)
        values[i] = normal_quantile(((double)i + 0.5) / 5000);
    check_sample(values, 5000, 0.9999889254411432, 1);
    struct normality got;
    CU_ASSERT_EQUAL(normality_shapiro_wilk(values, 5001, &got), STATUS_NUMERIC);
}

static void test_edges(void)
{
    static const double two_equal[] = { 10, 10, 12.0 }, same[] = { 3, 3, 3, 3 }, bad[] = { 1, 2, NAN };
    static const double even[] = { 1, 2, 3 };
    struct normality got;
    CU_ASSERT_EQUAL(normality_shapiro_wilk(two_equal, 3, &got), STATUS_OK);
    check_close("least W of three", got.w, 0.75, 1e-14);
    CU_ASSERT(got.p >= 0 && got.p < 1e-7);
    CU_ASSERT_EQUAL(normality_shapiro_wilk(even, 3, &got), STATUS_OK);
    check_close("largest W of three", got.w, 1, 1e-14);
    check_close("p", got.p, 1, 1e-7);
    CU_ASSERT_EQUAL(normality_shapiro_wilk(same, 4, &got), STATUS_NUMERIC);
    CU_ASSERT_EQUAL(normality_shapiro_wilk(bad, 3, &got), STATUS_NUMERIC);
    CU_ASSERT_EQUAL(normality_shapiro_wilk(even, 2, &got), STATUS_TOO_FEW);
    CU_ASSERT(isnan(got.w) && isnan(got.p));
}

static void test_scale_and_place_do_not_matter(void)
{
    static const double plain[] = { 1.17, 1.09, 1.24, 1.13, 1.20, 1.31, 1.02 };
    double moved[7];
    struct normality a, b;
    for (size_t i = 0; i < 7; i++)
        moved[i] = 1e6 - 1024 * plain[i];
    CU_ASSERT_EQUAL(normality_shapiro_wilk(plain, 7, &a), STATUS_OK);
    CU_ASSERT_EQUAL(normality_shapiro_wilk(moved, 7, &b), STATUS_OK);
    check_close("W", b.w, a.w, 1e-11);
}

static void test_no_memory(void)
{
    static const double values[] = { 1, 2, 4 };
    struct normality got;
    for (unsigned long n = 1; n <= 2; n++) {
        memory_fail_at(n, false);
        CU_ASSERT_EQUAL(normality_shapiro_wilk(values, 3, &got), STATUS_MEMORY);
    }
    memory_fail_at(0, false);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "small samples", test_small_samples },
        { "large samples", test_large_samples },
        { "edges", test_edges },
        { "scale and place do not matter", test_scale_and_place_do_not_matter },
        { "no memory", test_no_memory },
    };
    return check_run("normality", cases, sizeof cases / sizeof *cases);
}
