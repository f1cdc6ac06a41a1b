#include "stats/proportion.h"
#include "support/check.h"

/* Limits of R 4.2.2's binom.test, and closed forms where there are any. */
static void test_limits(void)
{
    struct proportion got = proportion_limits(9, 12, 0.95);
    check_close("estimate", got.estimate, 0.75, 0);
    check_close("lower", got.lower, 0.4281415381218109, 1e-12);
    check_close("upper", got.upper, 0.9451393554720072, 1e-12);
    got = proportion_limits(0, 7, 0.95);
    CU_ASSERT_EQUAL(got.lower, 0);
    check_close("upper", got.upper, 0.4096163972250034, 1e-12);
    check_close("closed form", got.upper, 1 - pow(0.025, 1.0 / 7), 1e-12);
}

static void test_all_passed(void)
{
    /* "12 of 12 passed: at least 78 % would, at 95 %" */
    double lower = proportion_lower(12, 12, 0.95);
    check_close("closed form", lower, pow(0.05, 1.0 / 12), 1e-12);
    CU_ASSERT_DOUBLE_EQUAL(lower, 0.779, 5e-4);
    CU_ASSERT_EQUAL(proportion_upper(12, 12, 0.95), 1);
}

/* The bound is the share at which so many passes or more have just the chance that is left. */
static void test_bound_by_its_meaning(void)
{
    double lower = proportion_lower(3, 5, 0.9), chance = 0;
    static const double ways[6] = { 1, 5, 10, 10, 5, 1 };
    for (int k = 3; k <= 5; k++)
        chance += ways[k] * pow(lower, k) * pow(1 - lower, 5 - k);
    check_close("chance", chance, 0.1, 1e-11);
    check_close("mirror", proportion_upper(2, 5, 0.9), 1 - lower, 1e-13);
}

static void test_trials_without_failure(void)
{
    CU_ASSERT_EQUAL(proportion_trials_without_failure(0.90, 0.95), 29); /* textbook: 0.9^29 = 0.0471 */
    CU_ASSERT_EQUAL(proportion_trials_without_failure(0.95, 0.95), 59);
    CU_ASSERT_EQUAL(proportion_trials_without_failure(0.5, 0.5), 1);
    CU_ASSERT_EQUAL(proportion_trials_without_failure(0.5, 0.875), 3);
    CU_ASSERT_EQUAL(proportion_trials_without_failure(0.01, 0.5), 1);
    CU_ASSERT_EQUAL(proportion_trials_without_failure(1, 0.95), 0);
    CU_ASSERT_EQUAL(proportion_trials_without_failure(NAN, 0.95), 0);
}

static void test_refusals(void)
{
    CU_ASSERT(isnan(proportion_limits(0, 0, 0.95).lower));
    CU_ASSERT(isnan(proportion_limits(4, 3, 0.95).estimate));
    CU_ASSERT(isnan(proportion_lower(1, 3, 1)));
    CU_ASSERT(isnan(proportion_upper(1, 3, NAN)));
}

int main(void)
{
    static const struct check_case cases[] = {
        { "limits", test_limits },
        { "all passed", test_all_passed },
        { "bound by its meaning", test_bound_by_its_meaning },
        { "trials without failure", test_trials_without_failure },
        { "refusals", test_refusals },
    };
    return check_run("proportion", cases, sizeof cases / sizeof *cases);
}
