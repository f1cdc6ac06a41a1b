#include "stats/compare.h"
#include "stats/distribution.h"
#include "stats/dunnett.h"
#include "support/check.h"

#include "base/memory.h"

static struct summary summary_from(size_t n, double mean, double sd)
{
    struct summary s = { .n = n, .mean = mean, .variance = sd * sd, .sd = sd };
    return s;
}

/* Pooled t on a leaflet's figures: n 10, 15; means 9.63, 10.78; s 1.20, 0.940 (published: -2.68, 23 df, p .013, -2.036 to -0.264). */
static void test_pooled_and_welch(void)
{
    struct summary a = summary_from(10, 9.63, 1.20), b = summary_from(15, 10.78, 0.940);
    struct comparison got;
    CU_ASSERT_EQUAL(compare_pooled(&a, &b, COMPARE_TWO_SIDED, 0.95, &got), STATUS_OK);
    check_close("t", got.statistic, -2.68421, 1e-6);
    check_close("df", got.df, 23, 0);
    check_close("p", got.p, 0.0132447, 1e-5);
    check_close("lower", got.lower, -2.03628, 1e-5);
    check_close("upper", got.upper, -0.263722, 1e-5);
    CU_ASSERT_EQUAL(compare_welch(&a, &b, COMPARE_TWO_SIDED, 0.95, &got), STATUS_OK);
    check_close("Welch t", got.statistic, -2.55299, 2e-6);
    check_close("Welch df", got.df, 16.1338, 1e-5);
}

/* NIST/SEMATECH e-Handbook 1.3.5.3, car mileage: n 249, 79; means 20.14458, 30.48101; s 6.41470, 6.10771. */
static void test_mileage(void)
{
    struct summary a = summary_from(249, 20.14458, 6.41470), b = summary_from(79, 30.48101, 6.10771);
    struct comparison got;
    CU_ASSERT_EQUAL(compare_pooled(&a, &b, COMPARE_TWO_SIDED, 0.95, &got), STATUS_OK);
    check_close("t", got.statistic, -12.6206, 1e-5);
    check_close("df", got.df, 326, 0);
    CU_ASSERT_EQUAL(compare_welch(&a, &b, COMPARE_TWO_SIDED, 0.95, &got), STATUS_OK);
    check_close("Welch t", got.statistic, -12.9463, 1e-5);
    check_close("Welch df", got.df, 136.875, 1e-5);
}

static void test_one_sided(void)
{
    struct summary a = summary_from(6, 12, 1.5), b = summary_from(5, 10, 1.1);
    struct comparison two, up, down;
    CU_ASSERT_EQUAL(compare_welch(&a, &b, COMPARE_TWO_SIDED, 0.90, &two), STATUS_OK);
    CU_ASSERT_EQUAL(compare_welch(&a, &b, COMPARE_GREATER, 0.95, &up), STATUS_OK);
    CU_ASSERT_EQUAL(compare_welch(&a, &b, COMPARE_LESS, 0.95, &down), STATUS_OK);
    check_close("lower bound", up.lower, two.lower, 1e-12);
    check_close("upper bound", down.upper, two.upper, 1e-12);
    CU_ASSERT(isinf(up.upper) && up.upper > 0 && isinf(down.lower) && down.lower < 0);
    check_close("half", up.p, two.p / 2, 1e-12);
    check_close("rest", up.p + down.p, 1, 1e-12);
}

static void test_refusals(void)
{
    struct summary one = summary_from(1, 5, NAN), flat = summary_from(3, 5, 0), good = summary_from(4, 6, 1);
    struct summary groups[3] = { one, flat, good };
    struct comparison got[3];
    CU_ASSERT_EQUAL(compare_welch(&one, &good, COMPARE_TWO_SIDED, 0.95, got), STATUS_TOO_FEW);
    CU_ASSERT(isnan(got[0].p));
    CU_ASSERT_EQUAL(compare_pooled(&one, &good, COMPARE_TWO_SIDED, 0.95, got), STATUS_OK); /* 3 df from the other */
    CU_ASSERT_EQUAL(compare_pooled(&one, &one, COMPARE_TWO_SIDED, 0.95, got), STATUS_TOO_FEW);
    CU_ASSERT_EQUAL(compare_welch(&flat, &flat, COMPARE_TWO_SIDED, 0.95, got), STATUS_NUMERIC); /* df 0/0 must not hang */
    CU_ASSERT_EQUAL(compare_games_howell(groups, 3, 0.95, got), STATUS_TOO_FEW);
    CU_ASSERT_EQUAL(compare_games_howell(&groups[1], 1, 0.95, got), STATUS_TOO_FEW);
    struct summary both_flat[2] = { flat, flat };
    CU_ASSERT_EQUAL(compare_tukey_kramer(both_flat, 2, 0.95, got), STATUS_NUMERIC);
    CU_ASSERT_EQUAL(compare_dunnett(both_flat, 2, 0, COMPARE_TWO_SIDED, 0.95, got), STATUS_NUMERIC);
    CU_ASSERT_EQUAL(compare_dunnett(groups, 3, 3, COMPARE_TWO_SIDED, 0.95, got), STATUS_NUMERIC);
    CU_ASSERT_EQUAL(compare_tukey_kramer(groups, 1, 0.95, got), STATUS_TOO_FEW);
    memory_fail_at(1, false);
    CU_ASSERT_EQUAL(compare_dunnett(groups, 3, 0, COMPARE_TWO_SIDED, 0.95, got), STATUS_MEMORY);
    memory_fail_at(0, false);
}

/* With two means every family method is the plain t. */
static void test_families_of_two(void)
{
    struct summary groups[2] = { summary_from(7, 14.2, 1.3), summary_from(4, 12.9, 0.8) };
    struct comparison t, got;
    CU_ASSERT_EQUAL(compare_pooled(&groups[1], &groups[0], COMPARE_TWO_SIDED, 0.95, &t), STATUS_OK);
    CU_ASSERT_EQUAL(compare_tukey_kramer(groups, 2, 0.95, &got), STATUS_OK);
    check_close("Tukey p", got.p, t.p, 1e-8);
    check_close("Tukey lower", got.lower, t.lower, 1e-8);
    CU_ASSERT_EQUAL(compare_dunnett(groups, 2, 0, COMPARE_TWO_SIDED, 0.95, &got), STATUS_OK);
    check_close("Dunnett p", got.p, t.p, 1e-11);
    check_close("Dunnett lower", got.lower, t.lower, 1e-11);
    CU_ASSERT_EQUAL(compare_pooled(&groups[1], &groups[0], COMPARE_LESS, 0.95, &t), STATUS_OK);
    CU_ASSERT_EQUAL(compare_dunnett(groups, 2, 0, COMPARE_LESS, 0.95, &got), STATUS_OK);
    check_close("Dunnett one-sided p", got.p, t.p, 1e-11);
    check_close("Dunnett one-sided upper", got.upper, t.upper, 1e-11);
    CU_ASSERT_EQUAL(compare_welch(&groups[1], &groups[0], COMPARE_TWO_SIDED, 0.95, &t), STATUS_OK);
    CU_ASSERT_EQUAL(compare_games_howell(groups, 2, 0.95, &got), STATUS_OK);
    check_close("Games-Howell p", got.p, t.p, 1e-8);
    check_close("Games-Howell upper", got.upper, t.upper, 1e-8);
}

static void test_pair_order(void)
{
    struct compare_mean means[4] = { { 1, 0.1 }, { 2, 0.1 }, { 4, 0.1 }, { 8, 0.1 } };
    struct comparison got[6];
    static const size_t order[6][2] = { { 1, 0 }, { 2, 0 }, { 2, 1 }, { 3, 0 }, { 3, 1 }, { 3, 2 } };
    CU_ASSERT_EQUAL(compare_pair_count(4), 6);
    CU_ASSERT_EQUAL(compare_pair_count(1), 0);
    CU_ASSERT_EQUAL(compare_tukey_means(means, 4, 9, 0.95, got), STATUS_OK);
    for (size_t i = 0; i < 6; i++) {
        CU_ASSERT(got[i].a == order[i][0] && got[i].b == order[i][1]);
        check_close("difference", got[i].difference, means[got[i].a].estimate - means[got[i].b].estimate, 1e-15);
    }
    struct comparison against[3];
    CU_ASSERT_EQUAL(compare_dunnett_means(means, 4, 2, 9, COMPARE_TWO_SIDED, 0.95, against), STATUS_OK);
    CU_ASSERT(against[0].a == 0 && against[1].a == 1 && against[2].a == 3 && against[2].b == 2);
    CU_ASSERT(against[0].p < got[1].p); /* fewer comparisons, smaller adjustment */
}

/* Unequal sizes: control of 4, others of 3, 7, 12. Double integrals in 22-digit arithmetic. */
static void test_dunnett_unequal_sizes(void)
{
    const double loading[3] = { sqrt(3.0 / 7), sqrt(7.0 / 11), sqrt(12.0 / 16) };
    struct dunnett_family family = { loading, 3, 22, true, NULL };
    struct dunnett_family one = { loading, 3, 22, false, NULL }, fractional = { loading, 3, 7.5, false, NULL };
    struct dunnett_family known = { loading, 3, INFINITY, true, NULL };
    check_close("two-sided", dunnett_tail(2.5, &family), 0.04936641901062906529501, 1e-11);
    check_close("one-sided", dunnett_tail(2.2, &one), 0.045215079544979673336, 1e-11);
    check_close("below 0, fractional df", dunnett_tail(-0.3, &fractional), 0.8187754499152033617987, 1e-11);
    check_close("sd known", dunnett_tail(3.1, &known), 0.005287173918813564257701, 1e-11);
    check_close("quantile undoes tail", dunnett_tail(dunnett_quantile(0.99, &family), &family), 0.01, 1e-10);
}

static void test_dunnett_edges(void)
{
    const double loading[2] = { 0.5, 0.5 }, bad[2] = { 0.5, 1 };
    struct dunnett_family family = { loading, 2, 8, false, NULL }, wrong = { bad, 2, 8, false, NULL };
    check_close("never", dunnett_tail(-50, &family), 1, 1e-12);
    CU_ASSERT(dunnett_tail(60, &family) < 1e-10);
    CU_ASSERT(dunnett_quantile(0.2, &family) < 0); /* below 0 one-sided */
    check_close("low quantile", dunnett_tail(dunnett_quantile(0.2, &family), &family), 0.8, 1e-10);
    CU_ASSERT(isnan(dunnett_tail(1, &wrong)) && isnan(dunnett_quantile(0.95, &wrong)));
    CU_ASSERT(isnan(dunnett_tail(NAN, &family)) && isnan(dunnett_quantile(1, &family)));
    family.df = 0;
    CU_ASSERT(isnan(dunnett_tail(1, &family)));
    /* No control scatter: independent, chances multiply. */
    const double none[3] = { 0, 0, 0 };
    struct dunnett_family independent = { none, 3, INFINITY, false, NULL };
    check_close("independent", dunnett_tail(1.5, &independent), 1 - pow(1 - normal_tail(1.5), 3), 1e-13);
    family = (struct dunnett_family){ none, 1, 3.5, true, NULL };
    check_close("one alone is t", dunnett_tail(4, &family), t_two_sided_p(4, 3.5), 1e-11);
    check_close("one alone is t", dunnett_quantile(0.95, &family), t_quantile(0.975, 3.5), 1e-10);
    family.df = 1;
    check_close("one df", dunnett_quantile(0.999, &family), t_quantile(0.9995, 1), 1e-8);
}

/* Many others of three sizes in no order: as when each is listed for itself. */
static void test_dunnett_many_others(void)
{
    enum { MEANS = 90 };
    static const double variances[] = { 1, 2.5, 0.4, 1, 1, 0.4, 2.5 };
    struct compare_mean means[MEANS];
    struct comparison against[MEANS - 1];
    double loading[MEANS - 1];
    for (size_t i = 0; i < MEANS; i++)
        means[i] = (struct compare_mean){ (double)(i * 7 % 10), variances[i % 7] };
    for (size_t i = 1; i < MEANS; i++)
        loading[i - 1] = sqrt(means[0].variance / (means[0].variance + means[i].variance));
    struct dunnett_family one_by_one = { loading, MEANS - 1, 40, true, NULL };
    CU_ASSERT_EQUAL_FATAL(compare_dunnett_means(means, MEANS, 0, 40, COMPARE_TWO_SIDED, 0.95, against), STATUS_OK);
    const double critical = dunnett_quantile(0.95, &one_by_one);
    for (size_t i = 0; i < MEANS - 1; i += 5) {
        check_close("chance", against[i].p, dunnett_tail(fabs(against[i].statistic), &one_by_one), 1e-11);
        check_close("limit", against[i].upper - against[i].difference, critical * against[i].std_error, 1e-10);
    }
    struct dunnett_family counted = { (const double[]){ 0.5, 0.75 }, 2, 12, false, (const uint32_t[]){ 2, 3 } };
    struct dunnett_family listed = { (const double[]){ 0.75, 0.5, 0.75, 0.5, 0.75 }, 5, 12, false, NULL };
    check_close("counted", dunnett_tail(1.7, &counted), dunnett_tail(1.7, &listed), 1e-12);
    check_close("counted", dunnett_quantile(0.99, &counted), dunnett_quantile(0.99, &listed), 1e-10);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "pooled and Welch", test_pooled_and_welch },
        { "mileage", test_mileage },
        { "one-sided", test_one_sided },
        { "refusals", test_refusals },
        { "families of two", test_families_of_two },
        { "pair order", test_pair_order },
        { "Dunnett, unequal sizes", test_dunnett_unequal_sizes },
        { "Dunnett, edges", test_dunnett_edges },
        { "Dunnett, many others", test_dunnett_many_others },
    };
    return check_run("compare", cases, sizeof cases / sizeof *cases);
}
