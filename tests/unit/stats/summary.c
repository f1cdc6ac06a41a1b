#include "stats/distribution.h"
#include "stats/summary.h"
#include "support/check.h"

#include "base/memory.h"

static void test_small_sample(void)
{
    /* Five oven-dry strengths, MPa; mean and sd by hand in rational arithmetic: 1.166, sqrt(0.00343). */
    const double y[] = { 1.17, 1.09, 1.24, 1.13, 1.20 };
    struct summary s = summary_of(y, 5);
    CU_ASSERT_EQUAL(s.n, 5);
    check_close("mean", s.mean, 1.166, 1e-15);
    check_close("sd", s.sd, 0.0585662018573853, 1e-13);
    check_close("std error", s.std_error, s.sd / sqrt(5), 1e-15);
    check_close("range", s.range, 0.15, 1e-14);
}

static void test_nothing_to_tell(void)
{
    const double one[] = { 3.5 }, bad[] = { 1, NAN, 2 }, same[] = { 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1 };
    struct summary none = summary_of(one, 0), single = summary_of(one, 1), odd = summary_of(bad, 3);
    struct summary equal = summary_of(same, 7);
    CU_ASSERT(isnan(none.mean) && isnan(none.sd) && none.n == 0);
    CU_ASSERT(single.mean == 3.5 && isnan(single.sd) && single.range == 0);
    CU_ASSERT(isnan(odd.mean) && isnan(odd.sd));
    CU_ASSERT_EQUAL(equal.sd, 0);
    CU_ASSERT(isnan(summary_lag_correlation(same, 1)));
    CU_ASSERT(isnan(summary_quantile(one, 0, 0.5)));
    CU_ASSERT(isnan(summary_quantile(one, 1, 1.5)));
}

static void test_shifted_values_keep_their_scatter(void)
{
    double plain[40], shifted[40];
    for (size_t i = 0; i < 40; i++) {
        plain[i] = (double)((i * 7919) % 101) / 128;
        shifted[i] = plain[i] + 1048576; /* exact in binary */
    }
    check_close("sd", summary_of(shifted, 40).sd, summary_of(plain, 40).sd, 1e-15);
    check_close("lag", summary_lag_correlation(shifted, 40), summary_lag_correlation(plain, 40), 1e-12);
}

static void test_quantiles(void)
{
    double y[] = { 9, 1, 4, 16, 25, 36 };
    check_close("median", summary_median(y, 6), 12.5, 1e-15);
    CU_ASSERT_EQUAL(y[0], 9); /* the caller's order stays */
    summary_sort(y, 6);
    check_close("lower quarter", summary_quantile(y, 6, 0.25), 5.25, 1e-15); /* position 1 + 5/4 */
    check_close("upper end", summary_quantile(y, 6, 1), 36, 1e-15);
    check_close("lower end", summary_quantile(y, 6, 0), 1, 1e-15);
    memory_fail_at(1, false);
    CU_ASSERT(isnan(summary_median(y, 6)));
    memory_fail_at(0, false);
}

/* Ten pairs of cylinders, MPa: mean range 0.62; s1 = 0.62 / d2 and pooled sd (ACI 214R, section on within-test variation). */
static void test_within_pairs(void)
{
    static const double pairs[10][2] = { { 24.1, 25.0 }, { 26.3, 25.6 }, { 23.8, 24.4 }, { 25.9, 25.1 }, { 24.6, 24.9 },
                                         { 27.0, 26.1 }, { 25.2, 24.7 }, { 26.4, 26.6 }, { 24.0, 25.3 }, { 25.5, 25.5 } };
    struct summary groups[11];
    double range = 0, total = 0;
    for (size_t i = 0; i < 10; i++) {
        groups[i] = summary_of(pairs[i], 2);
        range += groups[i].range / 10;
        total += groups[i].mean / 10;
    }
    groups[10] = summary_of(pairs[0], 1); /* a lone result adds nothing */
    check_close("mean range", range, 0.62, 1e-13);
    check_close("s1, d2 rounded to 1.128", range / 1.128, 0.549645, 1e-6);
    check_close("s1", range / summary_range_mean_factor(2), 0.62 / 1.1283791670955126, 1e-13);
    check_close("V1, %", 100 * range / 1.128 / total, 2.17251, 1e-5);
    struct pooled_sd pooled = summary_pooled_sd(groups, 11);
    check_close("pooled sd", pooled.sd, 0.508920, 1e-6);
    check_close("pooled df", pooled.df, 10, 0);
    CU_ASSERT(isnan(summary_pooled_sd(&groups[10], 1).sd));
}

/* d2, c4: ASTM Manual on Presentation of Data, recomputed to 6 decimals; d3 to 3. */
static void test_range_factors(void)
{
    static const double d2[] = { 1.128379, 1.692569, 2.058751, 2.325929, 2.534413, 2.704357, 2.847201, 2.970026, 3.077505 };
    static const double c4[] = { 0.797885, 0.886227, 0.921318, 0.939986, 0.951533, 0.959369, 0.965030, 0.969311, 0.972659 };
    static const double d3[] = { 0.853, 0.888, 0.880, 0.864, 0.848, 0.833, 0.820, 0.808, 0.797 };
    for (size_t n = 2; n <= 10; n++) {
        CU_ASSERT_DOUBLE_EQUAL(summary_range_mean_factor(n), d2[n - 2], 5.1e-7);
        CU_ASSERT_DOUBLE_EQUAL(summary_sd_mean_factor(n), c4[n - 2], 5.1e-7);
        CU_ASSERT_DOUBLE_EQUAL(summary_range_sd_factor(n), d3[n - 2], 5.1e-4);
    }
    const double pi = 3.14159265358979323846;
    check_close("d2 of 2", summary_range_mean_factor(2), 2 / sqrt(pi), 1e-14);
    check_close("d2 of 3", summary_range_mean_factor(3), 3 / sqrt(pi), 1e-14);
    check_close("d3 of 2", summary_range_sd_factor(2), sqrt(2 - 4 / pi), 1e-13);
    check_close("c4 of 2", summary_sd_mean_factor(2), sqrt(2 / pi), 1e-14);
    CU_ASSERT(isnan(summary_range_mean_factor(1)) && isnan(summary_range_sd_factor(1)) && isnan(summary_sd_mean_factor(1)));
}

/* Within-test precision of cylinders: limits for the range of 2 and 3 results are q(0.95) times the sd (ASTM C670). */
static void test_range_limits(void)
{
    double two = studentized_range_quantile(0.95, 2, INFINITY), three = studentized_range_quantile(0.95, 3, INFINITY);
    check_close("q of 2", two, 2.771808, 1e-6);
    check_close("q of 3", three, 3.314493, 1e-6);
    check_close("2.37 % of 2", 2.37 * two, 6.56918, 1e-6);
    check_close("2.37 % of 3", 2.37 * three, 7.85535, 1e-6);
    check_close("2.87 % of 3", 2.87 * three, 9.51260, 1e-6);
    check_close("3.2 % of 3", 3.2 * three, 10.6064, 1e-5);
    const double cylinders[] = { 24.1, 25.3, 23.6 };
    struct summary s = summary_of(cylinders, 3);
    check_close("range, % of mean", 100 * s.range / s.mean, 6.98630, 1e-6);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "small sample", test_small_sample },
        { "nothing to tell", test_nothing_to_tell },
        { "shifted values keep their scatter", test_shifted_values_keep_their_scatter },
        { "quantiles", test_quantiles },
        { "within pairs", test_within_pairs },
        { "range factors", test_range_factors },
        { "range limits", test_range_limits },
    };
    return check_run("summary", cases, sizeof cases / sizeof *cases);
}
