#include "stats/root.h"
#include "support/check.h"


/* Counts its calls, so that a search that never ends would show. */
struct curve { double shift; unsigned calls; };

static double cubic(double x, void *context)
{
    struct curve *curve = context;
    curve->calls++;
    return x * x * x - 2 - curve->shift;
}

static double step(double x, void *context)
{
    (void)context;
    return x < 0.3 ? -1 : 1;
}

static double wave(double x, void *context)
{
    (void)context;
    return sin(x);
}

static double hole(double x, void *context) /* no value between 0.4 and 0.6 */
{
    (void)context;
    return x > 0.4 && x < 0.6 ? NAN : 1 - x;
}

static double narrow_peak(double x, void *context)
{
    (void)context;
    return 0.01 - 100 * (x - 0.5321) * (x - 0.5321);
}

static double narrow_dip(double x, void *context)
{
    return -narrow_peak(x, context);
}

static double valley(double x, void *context)
{
    (void)context;
    return (x - 1.7) * (x - 1.7) + 3;
}

static void test_root(void)
{
    struct curve curve = { 0, 0 };
    double root;
    CU_ASSERT_EQUAL(root_between(cubic, &curve, 0, 4, 0, &root), STATUS_OK);
    check_close("cube root of 2", root, cbrt(2), 1e-15);
    CU_ASSERT(curve.calls < 40);
    CU_ASSERT_EQUAL(root_between(step, NULL, 0, 1, 1e-12, &root), STATUS_OK);
    CU_ASSERT_DOUBLE_EQUAL(root, 0.3, 2e-12);
    CU_ASSERT_EQUAL(root_between(wave, NULL, 0, 1, 0, &root), STATUS_OK); /* zero at an end */
    CU_ASSERT_EQUAL(root, 0);
}

static void test_no_root(void)
{
    struct curve curve = { 0, 0 };
    double root = 7;
    CU_ASSERT_EQUAL(root_between(cubic, &curve, 2, 4, 0, &root), STATUS_NUMERIC);
    CU_ASSERT(isnan(root));
    CU_ASSERT_EQUAL(root_between(cubic, &curve, 4, 2, 0, &root), STATUS_NUMERIC);
    CU_ASSERT_EQUAL(root_between(cubic, &curve, 0, INFINITY, 0, &root), STATUS_NUMERIC);
    CU_ASSERT_EQUAL(root_between(wave, NULL, 0, 0, 0, &root), STATUS_NUMERIC); /* a zero, but no stretch */
    curve.shift = NAN;
    CU_ASSERT_EQUAL(root_between(cubic, &curve, 0, 4, 0, &root), STATUS_NUMERIC);
    CU_ASSERT_EQUAL(root_between(hole, NULL, 0.3, 1.2, 0, &root), STATUS_OK); /* the hole is not on the way */
}

static void test_stretches(void)
{
    struct root_interval found[8];
    size_t n;
    const double pi = 3.14159265358979323846;
    CU_ASSERT_EQUAL(root_nonnegative(wave, NULL, -1, 8, 50, 1e-12, found, 8, &n), STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(n, 2);
    CU_ASSERT_DOUBLE_EQUAL(found[0].low, 0, 4e-12);
    CU_ASSERT_DOUBLE_EQUAL(found[0].high, pi, 4e-12);
    CU_ASSERT_DOUBLE_EQUAL(found[1].low, 2 * pi, 4e-12);
    CU_ASSERT_EQUAL(found[1].high, 8);
    for (size_t i = 0; i < 2; i++)
        CU_ASSERT(wave(found[i].low, NULL) >= 0 && wave(found[i].high, NULL) >= 0);
}

static void test_stretches_end_at_missing_values(void)
{
    struct root_interval found[4];
    size_t n;
    CU_ASSERT_EQUAL(root_nonnegative(hole, NULL, 0, 2, 20, 1e-9, found, 4, &n), STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(n, 2);
    CU_ASSERT_DOUBLE_EQUAL(found[0].high, 0.4, 1e-8);
    CU_ASSERT_DOUBLE_EQUAL(found[1].low, 0.6, 1e-8);
    CU_ASSERT_DOUBLE_EQUAL(found[1].high, 1, 1e-8);
    CU_ASSERT(hole(found[0].high, NULL) >= 0 && hole(found[1].low, NULL) >= 0);
}

static void test_narrow_stretch_between_grid_points(void)
{
    struct root_interval found[4];
    size_t n;
    CU_ASSERT_EQUAL(root_nonnegative(narrow_peak, NULL, 0, 1, 10, 1e-10, found, 4, &n), STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(n, 1);
    CU_ASSERT_DOUBLE_EQUAL(found[0].low, 0.5221, 1e-9);
    CU_ASSERT_DOUBLE_EQUAL(found[0].high, 0.5421, 1e-9);
    CU_ASSERT_EQUAL(root_nonnegative(narrow_dip, NULL, 0, 1, 10, 1e-10, found, 4, &n), STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(n, 2);
    CU_ASSERT_DOUBLE_EQUAL(found[0].high, 0.5221, 1e-9);
    CU_ASSERT_DOUBLE_EQUAL(found[1].low, 0.5421, 1e-9);
}

static void test_stretches_refused(void)
{
    struct root_interval found[1];
    size_t n;
    CU_ASSERT_EQUAL(root_nonnegative(wave, NULL, 0, 20, 0, 0, found, 1, &n), STATUS_NUMERIC);
    CU_ASSERT_EQUAL(root_nonnegative(wave, NULL, 1, 0, 5, 0, found, 1, &n), STATUS_NUMERIC);
    CU_ASSERT_EQUAL(root_nonnegative(wave, NULL, 0, 20, 50, 1e-9, found, 1, &n), STATUS_NUMERIC);
    CU_ASSERT_EQUAL(n, 4); /* 0-pi, 2pi-3pi, 4pi-5pi, 6pi-20 */
    CU_ASSERT_EQUAL(root_nonnegative(step, NULL, -1, 0, 5, 0, found, 1, &n), STATUS_OK);
    CU_ASSERT_EQUAL(n, 0);
    CU_ASSERT_EQUAL(root_nonnegative(wave, NULL, 0, 20, ROOT_STEPS_MAX + 1, 0, found, 1, &n), STATUS_NUMERIC);
}

static void test_minimum(void)
{
    double x;
    CU_ASSERT_EQUAL(root_minimum(valley, NULL, 0, 4, 7, 1e-9, &x), STATUS_OK);
    CU_ASSERT_DOUBLE_EQUAL(x, 1.7, 1e-7);
    CU_ASSERT_EQUAL(root_minimum(valley, NULL, 1.2, 2.2, 1, 1e-9, &x), STATUS_OK); /* both ends equal, bottom between */
    CU_ASSERT_DOUBLE_EQUAL(x, 1.7, 1e-7);
    CU_ASSERT_EQUAL(root_minimum(valley, NULL, 2, 4, 7, 1e-9, &x), STATUS_OK);
    CU_ASSERT_EQUAL(x, 2);
    CU_ASSERT_EQUAL(root_minimum(hole, NULL, 0, 0.7, 7, 1e-9, &x), STATUS_OK);
    CU_ASSERT_EQUAL(x, 0.7);
    CU_ASSERT_EQUAL(root_minimum(hole, NULL, 0.45, 0.55, 3, 1e-9, &x), STATUS_NUMERIC);
    CU_ASSERT(isnan(x));
}

int main(void)
{
    static const struct check_case cases[] = {
        { "root", test_root },
        { "no root", test_no_root },
        { "stretches", test_stretches },
        { "stretches end at missing values", test_stretches_end_at_missing_values },
        { "narrow stretch between grid points", test_narrow_stretch_between_grid_points },
        { "stretches refused", test_stretches_refused },
        { "minimum", test_minimum },
    };
    return check_run("root", cases, sizeof cases / sizeof *cases);
}
