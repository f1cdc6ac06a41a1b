#include "stats/ancova.h"
#include "support/check.h"

#include "base/memory.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* Parallel lines y = 2 x + (1, 4, 2.5), with scatter that sums to 0 and has no slope in any group. */
static const double x[] = { 1, 2, 3, 4, 5, 6, 7, 8, 3, 3 };
static const double y[] = { 3.1, 4.8, 6.8, 9.3, 14.2, 15.6, 17.8, 20.4, 8.4, 8.6 };
static const uint32_t group[] = { 0, 0, 0, 0, 1, 1, 1, 1, 2, 2 };
static const char *const names[] = { "perlite", "pumice", "clay" };

static struct ancova_data sound_data(void)
{
    struct ancova_data data = { x, y, group, COUNT(x), 3, names };
    return data;
}

static void test_group_without_own_slope(void)
{
    struct ancova_data data = sound_data();
    struct ancova got;
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(ancova_fit(&data, &got, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(got.n_sloped, 2);
    CU_ASSERT(isnan(got.group_slope[2]) && isnan(got.group_slope_std_error[2]));
    CU_ASSERT(got.common_slope.df1 == 1 && got.common_slope.df2 == 5 && got.df == 6);
    CU_ASSERT(got.coincidence.df1 == 3 && got.coincidence.df2 == 5);
    check_close("slope", got.slope, (got.group_slope[0] + got.group_slope[1]) / 2, 1e-12); /* equal Sxx */
    check_close("x mean", got.x_mean, 4.2, 1e-14);
    check_close("adjusted", got.adjusted_mean[2], 8.5 + got.slope * 1.2, 1e-12);
    ancova_release(&got);
}

/* The difference of adjusted means does not depend on where groups are compared. */
static void test_differences(void)
{
    struct ancova_data data = sound_data();
    struct ancova got;
    struct problem problem;
    struct comparison pairs[3];
    CU_ASSERT_EQUAL_FATAL(ancova_fit(&data, &got, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(ancova_compare(&got, 0.95, pairs), STATUS_OK);
    CU_ASSERT(pairs[0].a == 1 && pairs[0].b == 0 && pairs[2].a == 2 && pairs[2].b == 1);
    check_close("difference", pairs[0].difference, 17 - 6 - got.slope * 4, 1e-12); /* means 6 at 2.5, 17 at 6.5 */
    double within_xx = 10, variance = got.residual_variance * (0.25 + 0.25 + 16 / within_xx);
    check_close("error", pairs[0].std_error, sqrt(variance), 1e-12);
    check_close("middle", (pairs[0].lower + pairs[0].upper) / 2, pairs[0].difference, 1e-12);
    CU_ASSERT(pairs[0].p > 0 && pairs[0].p < 1);
    ancova_release(&got);
}

/* Both variables far from zero: the same answer to all digits that the data keep. */
static void test_shift(void)
{
    struct ancova_data data = sound_data();
    double moved_x[COUNT(x)], moved_y[COUNT(x)];
    struct ancova a, b;
    struct problem problem;
    for (size_t i = 0; i < COUNT(x); i++) {
        moved_x[i] = x[i] + 1048576;
        moved_y[i] = y[i] * 8 + 65536;
    }
    CU_ASSERT_EQUAL_FATAL(ancova_fit(&data, &a, &problem), STATUS_OK);
    data.x = moved_x;
    data.y = moved_y;
    CU_ASSERT_EQUAL_FATAL(ancova_fit(&data, &b, &problem), STATUS_OK);
    check_close("slope", b.slope, 8 * a.slope, 1e-12);
    check_close("common slope F", b.common_slope.f, a.common_slope.f, 1e-9);
    check_close("equal intercepts F", b.equal_intercepts.f, a.equal_intercepts.f, 1e-9);
    ancova_release(&a);
    ancova_release(&b);
}

static void test_refusals(void)
{
    static const uint32_t empty_middle[] = { 0, 0, 0, 0, 0, 0, 0, 0, 2, 2 }, stray[] = { 0, 0, 0, 0, 1, 1, 1, 1, 2, 3 };
    static const double level[] = { 1, 1, 1, 1, 2, 2, 2, 2, 3, 3 };
    struct ancova_data data = sound_data();
    struct ancova got;
    struct problem problem;
    data.group = empty_middle;
    CU_ASSERT_EQUAL(ancova_fit(&data, &got, &problem), STATUS_TOO_FEW);
    CU_ASSERT_PTR_NOT_NULL(strstr(problem.text, "'pumice'"));
    data.group = stray;
    CU_ASSERT_EQUAL(ancova_fit(&data, &got, &problem), STATUS_NUMERIC);
    data = sound_data();
    data.x = level;
    CU_ASSERT_EQUAL(ancova_fit(&data, &got, &problem), STATUS_NUMERIC);
    CU_ASSERT_PTR_NULL(got.adjusted_mean);
    data = sound_data();
    data.n_groups = 1;
    CU_ASSERT_EQUAL(ancova_fit(&data, &got, &problem), STATUS_TOO_FEW);
    struct ancova_data few = { &x[3], &y[3], &group[3], 3, 2, NULL }; /* 3 rows, 2 lines of one slope: no df */
    CU_ASSERT_EQUAL(ancova_fit(&few, &got, &problem), STATUS_TOO_FEW);
}

static void test_every_allocation_failing(void)
{
    struct ancova_data data = sound_data();
    struct ancova got;
    struct problem problem;
    enum status status = STATUS_MEMORY;
    unsigned long n;
    for (n = 1; n < 60 && status == STATUS_MEMORY; n++) {
        memory_fail_at(n, false);
        status = ancova_fit(&data, &got, &problem);
        if (status != STATUS_OK)
            CU_ASSERT_PTR_NULL(got.group_n);
    }
    memory_fail_at(0, false);
    CU_ASSERT(status == STATUS_OK && n > 8);
    ancova_release(&got);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "group without own slope", test_group_without_own_slope },
        { "differences", test_differences },
        { "shift", test_shift },
        { "refusals", test_refusals },
        { "every allocation failing", test_every_allocation_failing },
    };
    return check_run("ancova", cases, sizeof cases / sizeof *cases);
}
