#include "stats/distribution.h"
#include "stats/tolerance.h"
#include "support/check.h"

#include <stdbool.h>

/* By integration in 30 digits with mpmath 1.3. Beyond a noncentrality of 37 and in far tails the usual series fails. */
static void test_known_values(void)
{
    static const struct { double t, df, noncentrality, below; } known[] = {
        { -3, 10, 5, 2.45812596609126828e-12 }, { 60, 10, 50, 0.730144145366100835 },
        { 130, 120, 127, 0.623084882341738659 }, { -2, 4, -1, 0.235432546175675729 },
        { 5, 7.5, 2, 0.964862483839724732 },     { 0.001, 3, 2, 0.0227999288071273948 },
        { 100, 2, 3, 0.999000709948965969 },
    };
    for (size_t i = 0; i < sizeof known / sizeof *known; i++)
        check_close("chance below t", noncentral_t_probability(known[i].t, known[i].df, known[i].noncentrality),
                    known[i].below, 1e-12);
}

/* Where a simpler distribution is known. */
static void test_simple_cases(void)
{
    for (double df = 0.5; df < 2000; df *= 2.3)
        for (double t = 0.1; t < 30; t *= 1.9) {
            check_close("no noncentrality is t", 2 * noncentral_t_probability(-t, df, 0), t_two_sided_p(t, df), 1e-12);
            check_close("t = 0 is normal", noncentral_t_probability(0, df, t), normal_tail(t), 1e-12);
            check_close("mirror", noncentral_t_probability(t, df, 2) + noncentral_t_probability(-t, df, -2), 1, 1e-13);
        }
    check_close("infinite df", noncentral_t_probability(3, INFINITY, 1), normal_tail(-2), 1e-14);
    check_close("infinite df, quantile", noncentral_t_quantile(0.95, INFINITY, 1), 1 + normal_quantile(0.95), 1e-14);
    CU_ASSERT_EQUAL(noncentral_t_probability(INFINITY, 3, 1), 1);
    CU_ASSERT_EQUAL(noncentral_t_probability(-INFINITY, 3, 1), 0);
}

/* Small and large df, far tails, df and noncentrality that do not belong together. */
static void test_round_trips(void)
{
    static const double probabilities[] = { 1e-10, 1e-4, 0.01, 0.25, 0.5, 0.75, 0.95, 0.9999, 1 - 1e-7 };
    static const double dfs[] = { 0.8, 1, 2, 5, 17.5, 120, 4999, 99999 };
    static const double shifts[] = { -20, -1, 0, 0.3, 3, 38, 120, 1200 };
    for (size_t i = 0; i < sizeof probabilities / sizeof *probabilities; i++)
        for (size_t j = 0; j < sizeof dfs / sizeof *dfs; j++)
            for (size_t k = 0; k < sizeof shifts / sizeof *shifts; k++) {
                double p = probabilities[i], t = noncentral_t_quantile(p, dfs[j], shifts[k]);
                bool low = p < 0.5; /* the small tail is the one that tells */
                double tail = low ? noncentral_t_probability(t, dfs[j], shifts[k])
                                  : noncentral_t_probability(-t, dfs[j], -shifts[k]);
                check_close("there and back", tail, low ? p : 1 - p, 1e-10);
            }
}

/* The quick way against the careful one, at t's and shifts from trivial to middling; where one cannot be had the other is. */
static void test_near(void)
{
    static const double dfs[] = { 0.5, 1, 2.5, 4, 9, 40, 1500, INFINITY }, shifts[] = { -40, -3, 0, 0.01, 1, 4, 9, 25, 60, 150, 2000 };
    double worst = 0;
    for (size_t i = 0; i < sizeof dfs / sizeof dfs[0]; i++)
        for (size_t j = 0; j < sizeof shifts / sizeof shifts[0]; j++)
            for (double t = -6; t < 300; t += t < 12 ? 0.7 : 23) {
                double near = noncentral_t_probability_near(t, dfs[i], shifts[j]);
                worst = fmax(worst, fabs(near - noncentral_t_probability(t, dfs[i], shifts[j])));
                CU_ASSERT(near >= 0 && near <= 1);
            }
    CU_ASSERT(worst < 1e-13);
    CU_ASSERT(isnan(noncentral_t_probability_near(NAN, 5, 1)) && isnan(noncentral_t_probability_near(1, 0, 1)));
    CU_ASSERT(isnan(noncentral_t_probability_near(1, 5, INFINITY)));
    CU_ASSERT(noncentral_t_probability_near(INFINITY, 5, 1) == 1 && noncentral_t_probability_near(-INFINITY, 5, 1) == 0);
}

static void test_domain(void)
{
    CU_ASSERT_TRUE(isnan(noncentral_t_probability(NAN, 3, 1)));
    CU_ASSERT_TRUE(isnan(noncentral_t_probability(1, 0, 1)));
    CU_ASSERT_TRUE(isnan(noncentral_t_probability(1, NAN, 1)));
    CU_ASSERT_TRUE(isnan(noncentral_t_probability(1, 3, INFINITY)));
    CU_ASSERT_TRUE(isnan(noncentral_t_quantile(0, 3, 1)));
    CU_ASSERT_TRUE(isnan(noncentral_t_quantile(1, 3, 1)));
    CU_ASSERT_TRUE(isnan(noncentral_t_quantile(NAN, 3, 1)));
    CU_ASSERT_TRUE(isnan(noncentral_t_quantile(0.5, -1, 1)));
    CU_ASSERT_TRUE(isnan(noncentral_t_quantile(0.5, 3, NAN)));
}

static void test_tolerance(void)
{
    /* NIST/SEMATECH e-Handbook 7.2.6.3: N = 43, content 0.90, confidence 0.99, exact one-sided 1.8740 */
    check_close("handbook", tolerance_factor(43, 42, 0.90, 0.99), 1.8740, 5e-5);
    /* ISO 12491 / EN 1990 practice: confidence 0.75, content 0.95, n = 3: 3.15 */
    check_close("n 3", tolerance_factor(3, 2, 0.95, 0.75), 3.151842138184501, 1e-12);
    /* half the population: the bound of the mean, t / sqrt(n) */
    check_close("content 0.5", tolerance_factor(7, 6, 0.5, 0.95), t_quantile(0.95, 6) / sqrt(7), 1e-12);
    /* sd known: z_content + z_confidence / sqrt(n); printed 2.0343 for n = 3, confidence 0.75 */
    check_close("sd known", tolerance_factor(3, INFINITY, 0.95, 0.75), 2.0343, 5e-5);
    CU_ASSERT_TRUE(tolerance_factor(5, 4, 0.95, 0.95) > tolerance_factor(6, 5, 0.95, 0.95));
    CU_ASSERT_TRUE(isnan(tolerance_factor(0, 4, 0.95, 0.95)));
    CU_ASSERT_TRUE(isnan(tolerance_factor(INFINITY, 4, 0.95, 0.95)));
    CU_ASSERT_TRUE(isnan(tolerance_factor(5, 0, 0.95, 0.95)));
    CU_ASSERT_TRUE(isnan(tolerance_factor(5, 4, 1, 0.95)));
    CU_ASSERT_TRUE(isnan(tolerance_factor(5, 4, 0.95, 0)));
}

int main(void)
{
    static const struct check_case cases[] = {
        { "known values", test_known_values },   { "simple cases", test_simple_cases },
        { "there and back", test_round_trips },  { "out of domain is NaN", test_domain },
        { "near", test_near },                   { "tolerance factor", test_tolerance },
    };
    return check_run("noncentral_t", cases, sizeof cases / sizeof *cases);
}
