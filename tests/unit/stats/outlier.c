#include "stats/outlier.h"
#include "support/check.h"

/* Sets of three: G cannot exceed 2/sqrt 3, so only near-coincidence of two flags the third (ASTM E178). */
static void test_sets_of_three(void)
{
    const double coincide[] = { 10.0, 10.0, 12.0 }, near[] = { 10.0, 10.2, 12.0 };
    double critical = outlier_grubbs_critical(3, 0.05, false);
    struct outlier got;
    check_close("critical", critical, 1.15312, 1e-5);
    CU_ASSERT_EQUAL(outlier_grubbs(coincide, 3, OUTLIER_HIGH, &got), STATUS_OK);
    check_close("G", got.statistic, 1.15470, 3e-6);
    CU_ASSERT(got.statistic > critical && got.p < 0.05 && got.index == 2);
    CU_ASSERT_EQUAL(outlier_grubbs(near, 3, OUTLIER_HIGH, &got), STATUS_OK);
    check_close("G", got.statistic, 1.14993, 5e-6);
    CU_ASSERT(got.statistic < critical && got.p > 0.05);
}

static void test_sides(void)
{
    const double y[] = { 5.1, 5.0, 4.9, 5.2, 5.05, 3.0, 5.9 };
    struct outlier low, high, either;
    CU_ASSERT_EQUAL(outlier_grubbs(y, 7, OUTLIER_LOW, &low), STATUS_OK);
    CU_ASSERT_EQUAL(outlier_grubbs(y, 7, OUTLIER_HIGH, &high), STATUS_OK);
    CU_ASSERT_EQUAL(outlier_grubbs(y, 7, OUTLIER_EITHER, &either), STATUS_OK);
    CU_ASSERT(low.index == 5 && high.index == 6 && either.index == 5);
    CU_ASSERT(high.statistic < low.statistic && low.statistic == either.statistic);
    check_close("twice the chance at either end", either.p, 2 * low.p, 1e-12);
    CU_ASSERT_EQUAL(outlier_dixon(y, 7, OUTLIER_LOW, &low), STATUS_OK);
    CU_ASSERT_EQUAL(outlier_dixon(y, 7, OUTLIER_HIGH, &high), STATUS_OK);
    CU_ASSERT_EQUAL(outlier_dixon(y, 7, OUTLIER_EITHER, &either), STATUS_OK);
    check_close("gap at the low end", low.statistic, 1.9 / 2.9, 1e-14);
    check_close("gap at the high end", high.statistic, 0.7 / 2.9, 1e-13);
    CU_ASSERT(low.index == 5 && high.index == 6 && either.index == 5);
}

/* Wherever the value stands that lies furthest off, it is found, and its chance is the same. */
static void test_any_place(void)
{
    for (size_t place = 0; place < 6; place++) {
        double y[] = { 10.1, 10.2, 10.0, 10.3, 10.1, 10.2 };
        struct outlier high, either;
        y[place] = 13;
        CU_ASSERT_EQUAL(outlier_grubbs(y, 6, OUTLIER_HIGH, &high), STATUS_OK);
        CU_ASSERT_EQUAL(outlier_grubbs(y, 6, OUTLIER_EITHER, &either), STATUS_OK);
        CU_ASSERT_EQUAL(high.index, place);
        CU_ASSERT_EQUAL(either.index, place);
        CU_ASSERT_EQUAL(outlier_dixon(y, 6, OUTLIER_HIGH, &high), STATUS_OK);
        CU_ASSERT_EQUAL(high.index, place);
    }
}

static void test_refusals(void)
{
    const double two[] = { 1, 2 }, same[] = { 2, 2, 2, 2 }, bad[] = { 1, INFINITY, 3 };
    double many[31];
    struct outlier got;
    for (size_t i = 0; i < 31; i++)
        many[i] = (double)i;
    CU_ASSERT_EQUAL(outlier_grubbs(two, 2, OUTLIER_EITHER, &got), STATUS_TOO_FEW);
    CU_ASSERT(isnan(got.p));
    CU_ASSERT_EQUAL(outlier_grubbs(same, 4, OUTLIER_EITHER, &got), STATUS_NUMERIC);
    CU_ASSERT_EQUAL(outlier_grubbs(bad, 3, OUTLIER_EITHER, &got), STATUS_NUMERIC);
    CU_ASSERT_EQUAL(outlier_dixon(two, 2, OUTLIER_EITHER, &got), STATUS_TOO_FEW);
    CU_ASSERT_EQUAL(outlier_dixon(same, 4, OUTLIER_EITHER, &got), STATUS_NUMERIC);
    CU_ASSERT_EQUAL(outlier_dixon(many, 31, OUTLIER_EITHER, &got), STATUS_NUMERIC);
    CU_ASSERT_EQUAL(outlier_dixon(many, 30, OUTLIER_EITHER, &got), STATUS_OK);
    CU_ASSERT(isnan(outlier_grubbs_critical(2, 0.05, true)) && isnan(outlier_grubbs_critical(5, 0, true)));
    CU_ASSERT(isnan(outlier_dixon_critical(2, 0.05, true)) && isnan(outlier_dixon_p(1.1, 5, true)));
}

static void test_ends_of_the_scale(void)
{
    CU_ASSERT_EQUAL(outlier_grubbs_p(9 / sqrt(10), 10, true), 0); /* the largest G there is */
    CU_ASSERT_EQUAL(outlier_grubbs_p(0, 10, true), 1);
    CU_ASSERT_EQUAL(outlier_dixon_p(1, 5, true), 0);
    check_close("any gap is above 0", outlier_dixon_p(0, 5, false), 1, 1e-9);
    check_close("either gap, three values: one is always half", outlier_dixon_p(0.5, 3, true), 1, 1e-10);
    check_close("either gap above 0.1", outlier_dixon_p(0.1, 3, true), 1, 1e-10);
    CU_ASSERT_EQUAL(outlier_cochran_p(1, 4, 2), 0);
    CU_ASSERT_EQUAL(outlier_cochran_p(0.25, 4, 2), 1);
}

/* p must fall as the ratio grows, also where both ends begin to overlap. */
static void test_dixon_falls_with_the_ratio(void)
{
    for (size_t n = 3; n <= 30; n += 9) {
        double before = 2;
        for (int i = 1; i < 20; i++) {
            double p = outlier_dixon_p(i / 20.0, n, true);
            CU_ASSERT(p <= before + 1e-12 && p >= 0);
            before = p;
        }
    }
}

static void test_cochran(void)
{
    /* ISO 5725-2 annex table, p = 10 groups of 2: 0.602 at 5 %, 0.718 at 1 %. */
    check_close("critical 5 %", outlier_cochran_critical(10, 1, 0.05), 0.602010, 1e-6);
    CU_ASSERT_DOUBLE_EQUAL(outlier_cochran_critical(10, 1, 0.01), 0.7175, 5e-5);
    const double variance[] = { 0.2, 9.0, 0.4, NAN, 0.3 }, df[] = { 2, 2, 2, 0, 2 };
    struct outlier got;
    CU_ASSERT_EQUAL(outlier_cochran(variance, df, 5, &got), STATUS_OK);
    CU_ASSERT_EQUAL(got.index, 1);
    check_close("C", got.statistic, 9 / 9.9, 1e-14);
    CU_ASSERT(got.p < 0.01);
    const double nothing[] = { 0, 0 }, one[] = { 3 };
    CU_ASSERT_EQUAL(outlier_cochran(nothing, df, 2, &got), STATUS_NUMERIC);
    CU_ASSERT_EQUAL(outlier_cochran(one, df, 1, &got), STATUS_TOO_FEW);
    CU_ASSERT_EQUAL(outlier_cochran(&variance[3], df, 2, &got), STATUS_NUMERIC);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "sets of three", test_sets_of_three },
        { "sides", test_sides },
        { "any place", test_any_place },
        { "refusals", test_refusals },
        { "ends of the scale", test_ends_of_the_scale },
        { "Dixon falls with the ratio", test_dixon_falls_with_the_ratio },
        { "Cochran", test_cochran },
    };
    return check_run("outlier", cases, sizeof cases / sizeof *cases);
}
