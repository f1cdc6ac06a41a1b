#include "stats/anova.h"
#include "stats/spread.h"
#include "support/check.h"

#include "base/memory.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

static const double mixed_sizes[] = { 5.0, 5.4, 4.9, 6.1, 6.4, 7.0 };
static const uint32_t mixed_group[] = { 0, 0, 0, 2, 2, 3 }; /* group 1 is empty, group 3 has one */

static void test_unequal_groups(void)
{
    struct grouped_data data = { mixed_sizes, mixed_group, COUNT(mixed_sizes), 4 };
    struct anova got;
    struct problem problem;
    CU_ASSERT_EQUAL(anova_one_way(&data, &got, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(got.n_groups, 3);
    CU_ASSERT(got.df_between == 2 && got.df_within == 3);
    /* By hand: means 5.1, 6.25, 7.0, grand 5.8; within 0.14 + 0.045; between 3*0.49 + 2*0.2025 + 1.44. */
    check_close("within", got.ss_within, 0.185, 1e-12);
    check_close("between", got.ss_between, 3.315, 1e-12);
    check_close("group size", got.group_size, (6 - 14.0 / 6) / 2, 1e-14);
    check_close("variance between", got.var_between, (3.315 / 2 - 0.185 / 3) / got.group_size, 1e-12);
    CU_ASSERT(!got.var_between_negative);
}

static void test_groups_closer_than_chance(void)
{
    const double y[] = { 1, 9, 2, 8.5, 1.5, 8 };
    const uint32_t group[] = { 0, 0, 1, 1, 2, 2 };
    struct grouped_data data = { y, group, 6, 3 };
    struct anova got;
    struct problem problem;
    CU_ASSERT_EQUAL(anova_one_way(&data, &got, &problem), STATUS_OK);
    CU_ASSERT(got.var_between == 0 && got.var_between_negative);
    struct precision precision = anova_precision(&got);
    CU_ASSERT_EQUAL(precision.between_sd, 0);
    check_close("s_R is s_r then", precision.reproducibility_sd, precision.repeatability_sd, 1e-15);
    check_close("limit", precision.repeatability_limit, 2.8 * sqrt(got.ms_within), 1e-15);
}

/* s_r 0.021, s_R 0.057 give r 0.059, R 0.160 (aggregate sulfur precision table). */
static void test_limits(void)
{
    struct anova table = { .ms_within = 0.021 * 0.021, .var_between = 0.057 * 0.057 - 0.021 * 0.021 };
    struct precision got = anova_precision(&table);
    CU_ASSERT_DOUBLE_EQUAL(got.repeatability_limit, 0.0588, 1e-9);
    CU_ASSERT_DOUBLE_EQUAL(got.reproducibility_limit, 0.1596, 1e-9);
}

static void test_no_scatter(void)
{
    const double same[] = { 0.1, 0.1, 0.1, 0.1, 0.1 }, apart[] = { 0.1, 0.1, 0.3, 0.3, 0.3 };
    const uint32_t group[] = { 0, 0, 1, 1, 1 };
    struct grouped_data data = { same, group, 5, 2 };
    struct anova got;
    struct welch_anova welch;
    struct spread_test spread;
    struct problem problem;
    CU_ASSERT_EQUAL(anova_one_way(&data, &got, &problem), STATUS_NUMERIC);
    data.values = apart;
    CU_ASSERT_EQUAL(anova_one_way(&data, &got, &problem), STATUS_OK);
    CU_ASSERT(isinf(got.f) && got.p == 0 && got.r_squared == 1 && got.residual_sd == 0);
    CU_ASSERT_EQUAL(anova_welch(&data, &welch, &problem), STATUS_NUMERIC);
    CU_ASSERT(isnan(welch.p));
    CU_ASSERT_EQUAL(spread_bartlett(&data, &spread, &problem), STATUS_NUMERIC);
    CU_ASSERT_EQUAL(spread_levene(&data, SPREAD_MEDIAN, &spread, &problem), STATUS_NUMERIC);
}

static void test_refusals(void)
{
    const double y[] = { 1, 2, 3 }, bad[] = { 1, NAN, 3 };
    const uint32_t each_own[] = { 0, 1, 2 }, one[] = { 0, 0, 0 }, stray[] = { 0, 7, 0 };
    struct grouped_data data = { y, each_own, 3, 3 };
    struct anova got;
    struct welch_anova welch;
    struct spread_test spread;
    struct problem problem;
    CU_ASSERT_EQUAL(anova_one_way(&data, &got, &problem), STATUS_TOO_FEW);
    CU_ASSERT_EQUAL(anova_welch(&data, &welch, &problem), STATUS_TOO_FEW);
    CU_ASSERT_EQUAL(spread_bartlett(&data, &spread, &problem), STATUS_TOO_FEW);
    data.group = one;
    CU_ASSERT_EQUAL(anova_one_way(&data, &got, &problem), STATUS_TOO_FEW);
    CU_ASSERT_EQUAL(anova_welch(&data, &welch, &problem), STATUS_TOO_FEW);
    data.group = stray;
    CU_ASSERT_EQUAL(anova_one_way(&data, &got, &problem), STATUS_NUMERIC);
    CU_ASSERT_EQUAL(spread_levene(&data, SPREAD_MEAN, &spread, &problem), STATUS_NUMERIC);
    for (size_t at = 0; at < 3; at++) { /* wherever it stands */
        double spoiled[] = { 1, 2, 3 };
        uint32_t outside[] = { 0, 0, 1 };
        spoiled[at] = INFINITY;
        data = (struct grouped_data){ spoiled, one, 3, 3 };
        CU_ASSERT_EQUAL(anova_one_way(&data, &got, &problem), STATUS_NUMERIC);
        outside[at] = 3;
        data = (struct grouped_data){ y, outside, 3, 3 };
        CU_ASSERT_EQUAL(anova_one_way(&data, &got, &problem), STATUS_NUMERIC);
    }
    data = (struct grouped_data){ bad, each_own, 3, 3 };
    CU_ASSERT_EQUAL(anova_one_way(&data, &got, &problem), STATUS_NUMERIC);
    data.n_values = 0;
    CU_ASSERT_EQUAL(anova_one_way(&data, &got, &problem), STATUS_TOO_FEW);
    CU_ASSERT_EQUAL(spread_levene(&data, SPREAD_MEAN, &spread, &problem), STATUS_TOO_FEW);
}

/* Two groups: Welch's F is the square of Welch's t (sleep, Student 1908: t -1.86081, df 17.7765). */
static void test_welch_of_two(void)
{
    const double y[] = { 0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0,
                         1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4 };
    uint32_t group[20];
    for (size_t i = 0; i < 20; i++)
        group[i] = i >= 10;
    struct grouped_data data = { y, group, 20, 2 };
    struct welch_anova got;
    struct problem problem;
    CU_ASSERT_EQUAL(anova_welch(&data, &got, &problem), STATUS_OK);
    check_close("F", got.f, 1.86081346748685 * 1.86081346748685, 1e-12);
    check_close("df", got.df2, 17.7764735161785, 1e-12);
    check_close("p", got.p, 0.0793941401873582, 1e-11);
}

static void test_every_allocation_failing(void)
{
    struct grouped_data data = { mixed_sizes, mixed_group, COUNT(mixed_sizes), 4 };
    struct anova table;
    struct spread_test spread;
    struct problem problem;
    enum status status = STATUS_MEMORY;
    unsigned long n;
    for (n = 1; n < 50 && status != STATUS_OK; n++) {
        memory_fail_at(n, false);
        status = anova_one_way(&data, &table, &problem);
        CU_ASSERT(status == STATUS_OK || status == STATUS_MEMORY);
    }
    CU_ASSERT(n > 5 && status == STATUS_OK);
    status = STATUS_MEMORY;
    for (n = 1; n < 50 && status != STATUS_OK; n++) {
        memory_fail_at(n, true);
        status = spread_levene(&data, SPREAD_MEDIAN, &spread, &problem);
        CU_ASSERT(status == STATUS_OK || status == STATUS_MEMORY || status == STATUS_NUMERIC);
    }
    memory_fail_at(0, false);
    CU_ASSERT(n > 5 && status == STATUS_OK);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "unequal groups", test_unequal_groups },
        { "groups closer than chance", test_groups_closer_than_chance },
        { "limits", test_limits },
        { "no scatter", test_no_scatter },
        { "refusals", test_refusals },
        { "Welch of two", test_welch_of_two },
        { "every allocation failing", test_every_allocation_failing },
    };
    return check_run("anova", cases, sizeof cases / sizeof *cases);
}
