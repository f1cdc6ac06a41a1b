#include "stats/distribution.h"
#include "stats/fieller.h"
#include "support/check.h"

static struct fieller_ratio ratio_of(double a, double b, double va, double vb, double cov, double df)
{
    struct fieller_input input = { a, b, va, vb, cov, df };
    return fieller_ratio(&input, 0.95);
}

/* Every limit must lie where a - r b is just t standard errors from 0. */
static void check_edge(double r, double a, double b, double va, double vb, double cov, double df)
{
    double t = t_quantile(0.975, df);
    check_close("edge", (a - r * b) * (a - r * b), t * t * (va - 2 * r * cov + r * r * vb), 1e-9);
}

static void test_bounded(void)
{
    struct fieller_ratio got = ratio_of(612, 2190, 36, 121, 5, 9);
    CU_ASSERT_EQUAL(got.shape, FIELLER_BOUNDED);
    CU_ASSERT(got.lower < got.estimate && got.estimate < got.upper && got.g < 1);
    check_edge(got.lower, 612, 2190, 36, 121, 5, 9);
    check_edge(got.upper, 612, 2190, 36, 121, 5, 9);
    struct fieller_ratio negative = ratio_of(-612, 2190, 36, 121, -5, 9);
    check_close("turned", negative.lower, -got.upper, 1e-13);
    check_close("turned", negative.upper, -got.lower, 1e-13);
    CU_ASSERT_STRING_EQUAL(fieller_shape_word(got.shape), "bounded");
}

static void test_outside(void)
{
    struct fieller_ratio got = ratio_of(10, 1, 1, 1, 0, 20); /* the denominator is 1 +- 2.1 */
    CU_ASSERT_EQUAL(got.shape, FIELLER_OUTSIDE);
    CU_ASSERT(got.lower < 0 && got.upper > 0 && got.upper < got.estimate && got.g > 1);
    check_edge(got.lower, 10, 1, 1, 1, 0, 20);
    check_edge(got.upper, 10, 1, 1, 1, 0, 20);
}

static void test_everything(void)
{
    struct fieller_ratio got = ratio_of(1, 1, 1, 1, 0, 20); /* neither differs from 0 */
    CU_ASSERT_EQUAL(got.shape, FIELLER_EVERYTHING);
    CU_ASSERT(isinf(got.lower) && got.lower < 0 && isinf(got.upper) && got.upper > 0);
    struct fieller_ratio zero = ratio_of(5, 0, 1, 1, 0, 20);
    CU_ASSERT_EQUAL(zero.shape, FIELLER_OUTSIDE);
    CU_ASSERT(isnan(zero.estimate));
}

static void test_half_lines(void)
{
    double t = t_quantile(0.975, 20); /* the denominator exactly at the edge */
    struct fieller_ratio got = ratio_of(10, t, 1, 1, 0, 20);
    CU_ASSERT_EQUAL(got.shape, FIELLER_AT_LEAST);
    CU_ASSERT(isinf(got.upper));
    check_edge(got.lower, 10, t, 1, 1, 0, 20);
    got = ratio_of(-10, t, 1, 1, 0, 20);
    CU_ASSERT_EQUAL(got.shape, FIELLER_AT_MOST);
    CU_ASSERT(isinf(got.lower));
    check_edge(got.upper, -10, t, 1, 1, 0, 20);
}

static void test_exact_parts(void)
{
    struct fieller_ratio got = ratio_of(600, 2000, 0, 0, 0, INFINITY);
    CU_ASSERT_EQUAL(got.shape, FIELLER_BOUNDED);
    check_close("lower", got.lower, 0.3, 1e-14);
    check_close("upper", got.upper, 0.3, 1e-14);
    got = ratio_of(600, 2000, 100, 0, 0, INFINITY); /* known denominator: plain normal interval */
    check_close("lower", got.lower, (600 - 10 * normal_quantile(0.975)) / 2000, 1e-13);
}

static void test_percent_less(void)
{
    struct fieller_input input = { 612, 2190, 36, 121, 0, 9 };
    struct fieller_ratio ratio = fieller_ratio(&input, 0.95), less = fieller_percent_less(&input, 0.95);
    CU_ASSERT_EQUAL(less.shape, FIELLER_BOUNDED);
    check_close("estimate", less.estimate, 100 * (1 - 612.0 / 2190), 1e-14);
    check_close("lower", less.lower, 100 * (1 - ratio.upper), 1e-14);
    check_close("upper", less.upper, 100 * (1 - ratio.lower), 1e-14);
    struct fieller_input edge = { 10, t_quantile(0.975, 20), 1, 1, 0, 20 };
    CU_ASSERT_EQUAL(fieller_percent_less(&edge, 0.95).shape, FIELLER_AT_MOST);
    edge.numerator = -10;
    CU_ASSERT_EQUAL(fieller_percent_less(&edge, 0.95).shape, FIELLER_AT_LEAST);
}

static void test_refusals(void)
{
    CU_ASSERT_EQUAL(ratio_of(NAN, 1, 1, 1, 0, 5).shape, FIELLER_NONE);
    CU_ASSERT_EQUAL(ratio_of(1, 1, -1, 1, 0, 5).shape, FIELLER_NONE);
    CU_ASSERT_EQUAL(ratio_of(1, 1, 1, 1, 0, 0).shape, FIELLER_NONE);
    CU_ASSERT_EQUAL(ratio_of(1, 1, 1, 1, 0, NAN).shape, FIELLER_NONE);
    CU_ASSERT_EQUAL(ratio_of(1, 1, 1, 1, 2, 5).shape, FIELLER_NONE); /* covariance beyond the variances */
    CU_ASSERT_EQUAL(ratio_of(1, 0, 1, 0, 0, 5).shape, FIELLER_NONE);
    struct fieller_sample one = { 1, 5, NAN }, three = { 3, 7, 0.2 };
    CU_ASSERT_EQUAL(fieller_two_samples(&one, &three, true, 0.95).shape, FIELLER_NONE);
    CU_ASSERT(isnan(fieller_df(1, 0, 3, 0, 3)));
    check_close("equal parts", fieller_df(1, 2, 5, 2, 5), 10, 1e-14);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "bounded", test_bounded },
        { "outside", test_outside },
        { "everything", test_everything },
        { "half-lines", test_half_lines },
        { "exact parts", test_exact_parts },
        { "percent less", test_percent_less },
        { "refusals", test_refusals },
    };
    return check_run("fieller", cases, sizeof cases / sizeof *cases);
}
