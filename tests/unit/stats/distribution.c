#include "stats/distribution.h"
#include "support/check.h"

#include <unistd.h>

/* Closed forms, or integration in 25 digits with mpmath 1.3. */
static void test_known_values(void)
{
    check_close("normal 0.975", normal_quantile(0.975), 1.959963984540054, 1e-14);
    check_close("normal tail at 6", normal_tail(6), 9.86587645037698e-10, 1e-12);
    check_close("t 0.975, 2", t_quantile(0.975, 2), 0.95 / sqrt(2 * 0.975 * 0.025), 1e-13);
    check_close("t 0.95, 1.5 is fractional", t_quantile(0.95, 1.5), 3.705180820096751672, 1e-13);
    check_close("chi-square 0.95, 3", chi_square_quantile(0.95, 3), 7.814727903251179, 1e-13);
    check_close("chi-square tail", chi_square_tail(7.814727903251179, 3), 0.05, 1e-13);
    check_close("F 0.95, 1, 271, where GSL gives NaN", f_quantile(0.95, 1, 271), 3.87600142, 1e-8);
    check_close("F tail", f_tail(4.747225346722511, 1, 12), 0.05, 1e-13);
    check_close("12 of 12 passed", beta_quantile(0.05, 12, 1), pow(0.05, 1.0 / 12), 1e-13);
}

static void test_limits(void)
{
    check_close("t, infinite df", t_quantile(0.975, INFINITY), normal_quantile(0.975), 1e-14);
    check_close("t p, infinite df", t_two_sided_p(1.959963984540054, INFINITY), 0.05, 1e-13);
    check_close("F, infinite df2", f_quantile(0.95, 3, INFINITY), chi_square_quantile(0.95, 3) / 3, 1e-14);
    check_close("F, infinite df1", f_quantile(0.95, INFINITY, 3), 3 / chi_square_quantile(0.05, 3), 1e-13);
    CU_ASSERT_EQUAL(f_quantile(0.95, INFINITY, INFINITY), 1);
    for (int df = 1; df <= 60; df++) /* half of it lies below 1, where the search for it begins */
        check_close("F, median of equal df", f_quantile(0.5, df, df), 1, 1e-12);
    CU_ASSERT_EQUAL(t_two_sided_p(0, 5), 1);
    CU_ASSERT_EQUAL(f_tail(-1, 2, 3), 1);
    CU_ASSERT_EQUAL(chi_square_tail(-1, 2), 1);
    CU_ASSERT_EQUAL(t_quantile(1, 5), INFINITY);
    CU_ASSERT_EQUAL(normal_quantile(0), -INFINITY);
}

/* Quantile and tail undo one another over the whole working region, and t squared is F with 1 df. */
static void test_round_trips(void)
{
    static const double probabilities[] = { 0.001, 0.05, 0.5, 0.9, 0.95, 0.99, 0.9999 };
    static const double dfs[] = { 0.7, 1, 2, 3.3, 7, 30, 271, 5000, 600000, 1e8 };
    for (size_t i = 0; i < sizeof probabilities / sizeof *probabilities; i++)
        for (size_t j = 0; j < sizeof dfs / sizeof *dfs; j++) {
            double p = probabilities[i], df = dfs[j];
            check_close("chi-square there and back", chi_square_tail(chi_square_quantile(p, df), df), 1 - p, 1e-9);
            if (p > 0.5)
                check_close("t there and back", t_two_sided_p(t_quantile(p, df), df), 2 * (1 - p), 1e-9);
            for (double df1 = 1; df1 < 40; df1 += 3)
                check_close("F there and back", f_tail(f_quantile(p, df1, df), df1, df), 1 - p, 1e-9);
            double t = t_quantile(0.5 + p / 2, df);
            check_close("t squared is F", f_quantile(p, 1, df), t * t, 1e-9);
        }
}

static void test_domain(void)
{
    static const double bad[] = { NAN, -1, 0 };
    for (size_t i = 0; i < 3; i++) {
        CU_ASSERT_TRUE(isnan(t_quantile(0.95, bad[i])));
        CU_ASSERT_TRUE(isnan(t_two_sided_p(1, bad[i])));
        CU_ASSERT_TRUE(isnan(chi_square_quantile(0.95, bad[i])));
        CU_ASSERT_TRUE(isnan(chi_square_tail(1, bad[i])));
        CU_ASSERT_TRUE(isnan(f_quantile(0.95, bad[i], 3)));
        CU_ASSERT_TRUE(isnan(f_quantile(0.95, 3, bad[i])));
        CU_ASSERT_TRUE(isnan(f_tail(1, 3, bad[i])));
        CU_ASSERT_TRUE(isnan(f_tail(1, bad[i], 3)));
        CU_ASSERT_TRUE(isnan(beta_quantile(0.5, bad[i], 1)));
        CU_ASSERT_TRUE(isnan(beta_quantile(0.5, 1, bad[i])));
    }
    static const double not_probability[] = { NAN, -0.1, 1.1, INFINITY };
    for (size_t i = 0; i < 4; i++) {
        CU_ASSERT_TRUE(isnan(normal_quantile(not_probability[i])));
        CU_ASSERT_TRUE(isnan(t_quantile(not_probability[i], 3)));
        CU_ASSERT_TRUE(isnan(chi_square_quantile(not_probability[i], 3)));
        CU_ASSERT_TRUE(isnan(f_quantile(not_probability[i], 3, 3)));
        CU_ASSERT_TRUE(isnan(beta_quantile(not_probability[i], 3, 3)));
    }
    CU_ASSERT_TRUE(isnan(normal_tail(NAN)));
    CU_ASSERT_TRUE(isnan(t_two_sided_p(NAN, 3)));
    CU_ASSERT_TRUE(isnan(f_tail(NAN, 3, 3)));
    CU_ASSERT_TRUE(isnan(chi_square_tail(NAN, 3)));
}

/* The library below prints on standard output when it is worried; it must find no reason to. */
static void call_everything(void)
{
    static const double values[] = { NAN, -INFINITY, -3, 0, 1e-300, 0.05, 0.5, 0.99999, 1, 2.5, 40, 1e6, INFINITY };
    size_t n = sizeof values / sizeof *values;
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++) {
            double a = values[i], b = values[j];
            (void)(normal_quantile(a) + normal_tail(a) + t_quantile(a, b) + t_two_sided_p(a, b));
            (void)(chi_square_quantile(a, b) + chi_square_tail(a, b));
            for (size_t k = 0; k < n; k++)
                (void)(f_quantile(a, b, values[k]) + f_tail(a, b, values[k]) + beta_quantile(a, b, values[k]));
        }
}

static void test_nothing_is_printed(void)
{
    FILE *catcher = tmpfile();
    CU_ASSERT_PTR_NOT_NULL_FATAL(catcher);
    fflush(stdout);
    int kept = dup(1);
    CU_ASSERT_TRUE_FATAL(kept >= 0 && dup2(fileno(catcher), 1) >= 0);
    call_everything();
    fflush(stdout);
    dup2(kept, 1);
    close(kept);
    CU_ASSERT_EQUAL(lseek(fileno(catcher), 0, SEEK_END), 0);
    fclose(catcher);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "known values", test_known_values },
        { "limits", test_limits },
        { "there and back", test_round_trips },
        { "out of domain is NaN", test_domain },
        { "nothing is printed", test_nothing_is_printed },
    };
    return check_run("distribution", cases, sizeof cases / sizeof *cases);
}
