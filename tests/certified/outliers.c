#include "stats/outlier.h"
#include "stats/summary.h"
#include "support/certified.h"

/* The worst of a table's values carries the line; every value must reach the bar. */
struct worst { double digits, got, want; };

static void worst_keep(struct worst *worst, double got, double want)
{
    if (certified_digits(got, want) > worst->digits)
        return;
    *worst = (struct worst){ certified_digits(got, want), got, want };
}

/* Grubbs' critical values: two printed tables, recomputed to 20 digits. */
static void test_grubbs_critical_values(void)
{
    struct certified_table table = certified_read("factors/grubbs.csv");
    struct worst worst = { 15, 1, 1 };
    CU_ASSERT_EQUAL(table.n_rows, 70);
    for (size_t i = 0; i < table.n_rows; i++) {
        bool two_sided = strcmp(certified_text(&table, i, "sided"), "two") == 0;
        size_t n = (size_t)certified_number(&table, i, "n");
        double alpha = certified_number(&table, i, "alpha");
        double got = outlier_grubbs_critical(n, alpha, two_sided);
        worst_keep(&worst, got, certified_number(&table, i, "exact"));
        check_close("p of the critical value", outlier_grubbs_p(got, n, two_sided), alpha, 1e-8);
    }
    certified_check("Grubbs' tables", "worst of 70 critical values", worst.got, worst.want, 12);
    certified_release(&table);
}

/* Cochran's critical values: the usual printed table, recomputed to 20 digits. */
static void test_cochran_critical_values(void)
{
    struct certified_table table = certified_read("factors/cochran.csv");
    struct worst worst = { 15, 1, 1 };
    CU_ASSERT_EQUAL(table.n_rows, 133);
    for (size_t i = 0; i < table.n_rows; i++) {
        size_t n = (size_t)certified_number(&table, i, "n_groups");
        double df = certified_number(&table, i, "df_each"), alpha = certified_number(&table, i, "alpha");
        double got = outlier_cochran_critical(n, df, alpha);
        worst_keep(&worst, got, certified_number(&table, i, "exact"));
        check_close("p of the critical value", outlier_cochran_p(got, n, df), alpha, 1e-8);
    }
    certified_check("Cochran's table", "worst of 133 critical values", worst.got, worst.want, 12);
    certified_release(&table);
}

/* NIST/SEMATECH e-Handbook 1.3.5.17.1: mass spectrometer readings (Tietjen and Moore 1972), published G 2.4687, 2.032. */
static void test_uranium(void)
{
    struct certified_table table = certified_read("comparisons/uranium.csv");
    double *y = certified_numbers(&table, "y");
    struct outlier got;
    CU_ASSERT_EQUAL(outlier_grubbs(y, table.n_rows, OUTLIER_HIGH, &got), STATUS_OK);
    certified_check("uranium", "G", got.statistic, 2.46876461121245, 13);
    CU_ASSERT_EQUAL(got.index, 7);
    CU_ASSERT(got.p < 0.001);
    CU_ASSERT_DOUBLE_EQUAL(outlier_grubbs_critical(8, 0.05, false), 2.03165, 5.1e-6);
    CU_ASSERT_DOUBLE_EQUAL(outlier_grubbs_critical(8, 0.05, true), 2.12665, 5.1e-6);
    free(y);
    certified_release(&table);
}

/* Largest share of variance among the ten gears of NIST/SEMATECH GEAR.DAT, in rational arithmetic. */
static void test_gear_variances(void)
{
    struct certified_table table = certified_read("comparisons/gear.csv");
    double *y = certified_numbers(&table, "y"), variance[16], df[16];
    size_t n_groups;
    uint32_t *group = certified_groups(&table, "group", &n_groups);
    struct outlier got;
    for (size_t g = 0; g < n_groups; g++) {
        double part[16];
        size_t n = 0;
        for (size_t i = 0; i < table.n_rows; i++)
            if (group[i] == g)
                part[n++] = y[i];
        variance[g] = summary_of(part, n).variance;
        df[g] = (double)n - 1;
    }
    CU_ASSERT_EQUAL(outlier_cochran(variance, df, n_groups, &got), STATUS_OK);
    certified_check("gear", "Cochran's C", got.statistic, 0.27712665406427221, 12);
    free(y);
    free(group);
    certified_release(&table);
}

/* Dixon's ratio, three values: closed form, one end: P(r > q) = 1/2 - 3/pi atan((2q - 1)/sqrt 3). */
static void test_dixon_three_values(void)
{
    const double pi = 3.14159265358979323846;
    static const double ratio[] = { 0.02, 0.37, 0.5, 0.7713, 0.941, 0.9939 };
    for (size_t i = 0; i < sizeof ratio / sizeof *ratio; i++) {
        double p = 0.5 - 3 / pi * atan((2 * ratio[i] - 1) / sqrt(3));
        char what[64];
        snprintf(what, sizeof what, "p of ratio %g, n 3", ratio[i]);
        certified_check("Dixon", what, outlier_dixon_p(ratio[i], 3, false), p, 10);
    }
}

/* More values, one end: double integral over the two ends in 22-digit arithmetic. */
static void test_dixon_integrals(void)
{
    certified_check("Dixon", "p of ratio 0.92, n 4", outlier_dixon_p(0.92, 4, false), 0.005086258455019279355516, 11);
    certified_check("Dixon", "p of ratio 0.6, n 6", outlier_dixon_p(0.6, 6, false), 0.03401718916486625317054, 11);
    certified_check("Dixon", "p of ratio 0.45, n 10", outlier_dixon_p(0.45, 10, false), 0.03089505087315613594148, 11);
}

/*
 * Critical values at both ends together, as printed in D. B. Rorabacher,
 * Anal. Chem. 63 (1991) 139-146, table 1. The print was smoothed by hand and
 * is good to about 0.003, but for n 4 at 1 %: 0.926 there, 0.9207 by
 * integration, 0.9208 in two million simulated samples.
 */
static void test_dixon_printed_values(void)
{
    static const double alpha[3] = { 0.10, 0.05, 0.01 };
    static const double printed[3][8] = {
        { 0.941, 0.765, 0.642, 0.560, 0.507, 0.468, 0.437, 0.412 },
        { 0.970, 0.829, 0.710, 0.625, 0.568, 0.526, 0.493, 0.466 },
        { 0.994, 0.9208, 0.821, 0.740, 0.680, 0.634, 0.598, 0.568 },
    };
    for (size_t a = 0; a < 3; a++)
        for (size_t n = 3; n <= 10; n++)
            CU_ASSERT_DOUBLE_EQUAL(outlier_dixon_critical(n, alpha[a], true), printed[a][n - 3], 0.003);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "Grubbs' critical values", test_grubbs_critical_values },
        { "Cochran's critical values", test_cochran_critical_values },
        { "uranium", test_uranium },
        { "gear variances", test_gear_variances },
        { "Dixon, three values", test_dixon_three_values },
        { "Dixon, integrals", test_dixon_integrals },
        { "Dixon, printed values", test_dixon_printed_values },
    };
    return check_run("outliers", cases, sizeof cases / sizeof *cases);
}
