#include "stats/distribution.h"
#include "support/check.h"

/* Two means: the range is |difference|, so q = sqrt(2) |t|. */
static void test_two_means(void)
{
    for (double df = 0.05; df < 500; df *= df < 1 ? 20 : 2.7) /* the first is beyond the fixed grid */
        for (double q = 0.5; q < 20; q *= 2) {
            double by_t = t_two_sided_p(q / sqrt(2), df);
            check_close("tail of 2", studentized_range_tail(q, 2, df), by_t, 1e-13);
            /* the general way, a hair beside 2 means */
            check_close("tail of 2.000001", studentized_range_tail(q, 2.000001, df), by_t, 1e-5);
            check_close("and linear in the number", studentized_range_tail(q, 2.000001, df) - by_t,
                        (studentized_range_tail(q, 2.000002, df) - by_t) / 2, 1e-3);
        }
    check_close("quantile of 2", studentized_range_quantile(0.95, 2, 10), sqrt(2) * t_quantile(0.975, 10), 1e-13);
}

/* Printed tables, e.g. Montgomery, Design and Analysis of Experiments, table V. */
static void test_printed_values(void)
{
    check_close("3 means, 10 df", studentized_range_quantile(0.95, 3, 10), 3.88, 2e-3);
    check_close("5 means, 20 df", studentized_range_quantile(0.99, 5, 20), 5.29, 2e-3);
    check_close("10 means, infinite df", studentized_range_quantile(0.95, 10, INFINITY), 4.47, 2e-3);
    check_close("infinite df is the limit", studentized_range_tail(3, 4, 1e7), studentized_range_tail(3, 4, INFINITY), 1e-5);
}

static void test_round_trips(void)
{
    static const double means[] = { 3, 4, 9, 30, 150, 2000 }, dfs[] = { 1, 2.5, 6, 40, 900, INFINITY };
    static const double probabilities[] = { 0.1, 0.9, 0.99, 0.999999 };
    for (size_t i = 0; i < 6; i++)
        for (size_t j = 0; j < 6; j++)
            for (size_t k = 0; k < 4; k++) {
                double q = studentized_range_quantile(probabilities[k], means[i], dfs[j]);
                check_close("there and back", studentized_range_tail(q, means[i], dfs[j]), 1 - probabilities[k], 1e-9);
            }
}

/* Far out, where one pair makes the range, the tail nears that of all pairs taken apart. */
static void test_far_tail(void)
{
    double pairs = 3, q = 12, df = 200;
    double one = t_two_sided_p(q / sqrt(2), df), tail = studentized_range_tail(q, 3, df);
    CU_ASSERT_TRUE(tail > one && tail <= pairs * one);
    check_close("nearly all pairs", tail, pairs * one, 1e-3);
    /* the double integral by the trapezoid rule with steps of 0.02 over z and 0.01 over ln s */
    check_close("far", studentized_range_tail(40, 5, 30), 3.415691697026336e-22, 1e-13);
    CU_ASSERT_TRUE(studentized_range_tail(40, 5, 30) < studentized_range_tail(30, 5, 30));
    CU_ASSERT_EQUAL(studentized_range_tail(INFINITY, 5, 30), 0);
    CU_ASSERT_EQUAL(studentized_range_tail(0, 5, 30), 1);
    CU_ASSERT_EQUAL(studentized_range_tail(-2, 5, 30), 1);
}

/* Many of one family at once: polynomials stand for the integral over the largest mean. */
static void test_many_at_once(void)
{
    static const double means[] = { 3, 5, 17, 60 }, dfs[] = { 1.5, 4, 54, 700, INFINITY };
    double q[40], tail[40];
    for (size_t i = 0; i < 40; i++)
        q[i] = i == 0 ? 0 : i == 39 ? INFINITY : 0.013 * pow(1.26, (double)i);
    for (size_t i = 0; i < 4; i++)
        for (size_t j = 0; j < 5; j++) {
            studentized_range_tails(q, 40, means[i], dfs[j], tail);
            for (size_t k = 0; k < 40; k++)
                check_close("as one alone", tail[k], studentized_range_tail(q[k], means[i], dfs[j]), 1e-11);
        }
    studentized_range_tails(q, 40, 2, 7, tail);
    check_close("two means", tail[20], t_two_sided_p(q[20] / sqrt(2), 7), 1e-14);
}

static void test_domain(void)
{
    CU_ASSERT_TRUE(isnan(studentized_range_tail(NAN, 3, 5)));
    CU_ASSERT_TRUE(isnan(studentized_range_tail(3, 1, 5)));
    CU_ASSERT_TRUE(isnan(studentized_range_tail(3, 1e6, 5)));
    CU_ASSERT_TRUE(isnan(studentized_range_tail(3, 3, 0)));
    CU_ASSERT_TRUE(isnan(studentized_range_quantile(1, 3, 5)));
    CU_ASSERT_TRUE(isnan(studentized_range_quantile(0, 3, 5)));
    CU_ASSERT_TRUE(isnan(studentized_range_quantile(0.95, NAN, 5)));
    CU_ASSERT_TRUE(isnan(studentized_range_quantile(0.95, 3, NAN)));
}

int main(void)
{
    static const struct check_case cases[] = {
        { "two means", test_two_means },       { "printed values", test_printed_values },
        { "there and back", test_round_trips }, { "far tail", test_far_tail },
        { "many at once", test_many_at_once },    { "out of domain is NaN", test_domain },
    };
    return check_run("studentized_range", cases, sizeof cases / sizeof *cases);
}
