#include "stats/distribution.h"
#include "stats/growth.h"
#include "support/check.h"

#include "base/memory.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* Invented strengths, MPa, at 3 to 90 days, two results an age. */
static const double days[] = { 3, 3, 7, 7, 14, 14, 28, 28, 56, 56, 90, 90 };
static const double mpa[] = { 4.1, 4.5, 6.4, 6.2, 8.1, 8.4, 9.6, 9.2, 10.1, 10.4, 10.6, 10.3 };

static void test_words(void)
{
    CU_ASSERT_STRING_EQUAL(growth_law_word(GROWTH_HYPERBOLIC), "hyperbolic");
    CU_ASSERT_EQUAL(growth_law_parameters(GROWTH_EXPONENTIAL), 3);
    CU_ASSERT_STRING_EQUAL(growth_law_parameter(GROWTH_EXPONENTIAL, 2), "shape");
    CU_ASSERT_STRING_EQUAL(growth_law_parameter(GROWTH_HYPERBOLIC, 2), "");
    for (int law = 0; law < GROWTH_LAW_COUNT; law++)
        CU_ASSERT(strlen(growth_law_formula((enum growth_law)law)) > 10);
}

/*
 * ACI 209: f(t)/f28 = t/(4.0 + 0.85 t) is hyperbolic with limit 1/0.85 and
 * half time 4/0.85. EN 1992-1-1, 3.1.2: exp(s (1 - sqrt(28/t))) is
 * root-exponential with limit e^s and time constant 28 s^2.
 */
static void test_published_age_factors(void)
{
    static const double age[] = { 3, 7, 14, 28, 90 };
    static const double aci[] = { 0.458015, 0.703518, 0.880503, 1.00719, 1.11801 };
    static const double en[] = { 0.598240, 0.778801, 0.901628, 1, 1.11690 };
    const double hyperbolic[] = { 1 / 0.85, 4 / 0.85 }, root[] = { exp(0.25), 28 * 0.25 * 0.25 };
    const double general[] = { exp(0.25), 28 * 0.25 * 0.25, 0.5 };
    for (size_t i = 0; i < COUNT(age); i++) {
        CU_ASSERT_DOUBLE_EQUAL(growth_law_value(GROWTH_HYPERBOLIC, hyperbolic, age[i]), aci[i], 5.1e-6);
        CU_ASSERT_DOUBLE_EQUAL(growth_law_value(GROWTH_ROOT_EXPONENTIAL, root, age[i]), en[i], 5.1e-6);
        check_close("same law", growth_law_value(GROWTH_EXPONENTIAL, general, age[i]),
                    growth_law_value(GROWTH_ROOT_EXPONENTIAL, root, age[i]), 1e-14);
    }
    CU_ASSERT_EQUAL(growth_law_value(GROWTH_HYPERBOLIC, hyperbolic, 0), 0);
    CU_ASSERT(isnan(growth_law_value(GROWTH_HYPERBOLIC, hyperbolic, -1)));
    CU_ASSERT(isnan(growth_law_value(GROWTH_HYPERBOLIC, (const double[]){ -1, 4 }, 28)));
    CU_ASSERT(isnan(growth_law_value(GROWTH_HYPERBOLIC, (const double[]){ 1, -4 }, 28)));
}

static void test_exact_data_give_their_law(void)
{
    static const double truth[GROWTH_LAW_COUNT][GROWTH_PARAMETERS_MAX] = { { 12, 5, 0 }, { 12, 4, 0.8 }, { 12, 2.5, 0 } };
    for (int law = 0; law < GROWTH_LAW_COUNT; law++) {
        double y[COUNT(days)];
        for (size_t i = 0; i < COUNT(days); i++)
            y[i] = growth_law_value((enum growth_law)law, truth[law], days[i]);
        struct growth_fit fit;
        struct problem problem;
        CU_ASSERT_EQUAL_FATAL(growth_fit_estimate((enum growth_law)law, days, y, COUNT(days), &fit, &problem), STATUS_OK);
        for (size_t j = 0; j < growth_law_parameters((enum growth_law)law); j++)
            check_close(growth_law_parameter((enum growth_law)law, j), fit.fit.parameter[j], truth[law][j], 1e-9);
        growth_fit_release(&fit);
    }
}

/* At the least squares solution the residuals are at a right angle with every derivative (taken by differences here). */
static void test_solution_is_stationary(void)
{
    for (int law = 0; law < GROWTH_LAW_COUNT; law++) {
        struct growth_fit fit;
        struct problem problem;
        CU_ASSERT_EQUAL_FATAL(growth_fit_estimate((enum growth_law)law, days, mpa, COUNT(days), &fit, &problem), STATUS_OK);
        for (size_t j = 0; j < fit.fit.n_parameters; j++) {
            double along = 0, length = 0, moved[GROWTH_PARAMETERS_MAX];
            memcpy(moved, fit.fit.parameter, fit.fit.n_parameters * sizeof *moved);
            double step = 1e-5 * moved[j];
            for (size_t i = 0; i < COUNT(days); i++) {
                double rest = mpa[i] - growth_law_value((enum growth_law)law, fit.fit.parameter, days[i]);
                moved[j] = fit.fit.parameter[j] + step;
                double above = growth_law_value((enum growth_law)law, moved, days[i]);
                moved[j] = fit.fit.parameter[j] - step;
                double slope = (above - growth_law_value((enum growth_law)law, moved, days[i])) / (2 * step);
                along += rest * slope;
                length += slope * slope;
            }
            CU_ASSERT(fabs(along) < 1e-7 * sqrt(length * fit.fit.residual_sum_squares));
        }
        growth_fit_release(&fit);
    }
}

static void test_value_and_limits(void)
{
    struct growth_fit fit;
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(growth_fit_estimate(GROWTH_HYPERBOLIC, days, mpa, COUNT(days), &fit, &problem), STATUS_OK);
    struct growth_value at_28 = growth_fit_at(&fit, 28, 0.95), later = growth_fit_at(&fit, 180, 0.95);
    const double *b = fit.fit.parameter, *v = fit.fit.covariance;
    check_close("estimate", at_28.estimate, b[0] * 28 / (b[1] + 28), 1e-14);
    double by_limit = 28 / (b[1] + 28), by_half = -b[0] * 28 / ((b[1] + 28) * (b[1] + 28));
    double variance = by_limit * by_limit * v[0] + 2 * by_limit * by_half * v[1] + by_half * by_half * v[3];
    check_close("error", at_28.std_error, sqrt(variance), 1e-12);
    double reach = t_quantile(0.975, 10) * sqrt(variance) / at_28.estimate;
    check_close("upper", at_28.upper, at_28.estimate * exp(reach), 1e-12);
    check_close("lower", at_28.lower, at_28.estimate * exp(-reach), 1e-12);
    CU_ASSERT(!at_28.outside && later.outside);
    CU_ASSERT(isnan(growth_fit_at(&fit, 0, 0.95).estimate));
    growth_fit_release(&fit);
}

static void test_refusals(void)
{
    static const double two_ages[] = { 7, 7, 28, 28, 28 }, values[] = { 5, 5.2, 8, 8.1, 7.9 };
    static const double straight_t[] = { 1, 2, 3, 4, 5, 6 }, straight_y[] = { 2.01, 3.98, 6.0, 8.02, 9.99, 12.0 };
    static const double zero[] = { 0, 7, 28 };
    struct growth_fit fit;
    struct problem problem;
    CU_ASSERT_EQUAL(growth_fit_estimate(GROWTH_EXPONENTIAL, two_ages, values, 5, &fit, &problem), STATUS_TOO_FEW);
    CU_ASSERT_EQUAL(growth_fit_estimate(GROWTH_HYPERBOLIC, two_ages, values, 5, &fit, &problem), STATUS_OK);
    growth_fit_release(&fit);
    CU_ASSERT_EQUAL(growth_fit_estimate(GROWTH_HYPERBOLIC, two_ages, values, 2, &fit, &problem), STATUS_TOO_FEW);
    CU_ASSERT_EQUAL(growth_fit_estimate(GROWTH_HYPERBOLIC, two_ages, values, 0, &fit, &problem), STATUS_TOO_FEW);
    CU_ASSERT_EQUAL(growth_fit_estimate(GROWTH_HYPERBOLIC, zero, values, 3, &fit, &problem), STATUS_NUMERIC);
    CU_ASSERT_EQUAL(growth_fit_estimate(GROWTH_HYPERBOLIC, straight_t, straight_y, 6, &fit, &problem), STATUS_NUMERIC);
    CU_ASSERT_PTR_NULL(fit.fit.parameter);
}

static void test_every_allocation_failing(void)
{
    struct growth_fit fit;
    struct problem problem;
    enum status status = STATUS_MEMORY;
    unsigned long n;
    for (n = 1; n < 60 && status == STATUS_MEMORY; n++) {
        memory_fail_at(n, false);
        status = growth_fit_estimate(GROWTH_HYPERBOLIC, days, mpa, COUNT(days), &fit, &problem);
    }
    memory_fail_at(0, false);
    CU_ASSERT(status == STATUS_OK && n > 8);
    growth_fit_release(&fit);
}

/* n results at so many times, drawn about the exponential law. */
static void draw_results(double *t, double *y, size_t n, size_t n_times)
{
    static const double truth[] = { 40, 6, 0.7 };
    unsigned state = 9;
    for (size_t i = 0; i < n; i++) {
        t[i] = 1 + 90.0 * (double)(i % n_times) / (double)n_times;
        state = state * 1664525u + 1013904223u; /* Numerical Recipes' quick generator will do here */
        y[i] = growth_law_value(GROWTH_EXPONENTIAL, truth, t[i]) * (0.9 + 0.2 * (double)(state >> 8) / (1 << 24));
    }
}

/* Results that all stand twice move no constant, double the squares, and make the constants surer by the degrees of freedom. */
static void check_doubled(enum growth_law law, size_t n, size_t n_times)
{
    static double t[2000], y[2000];
    struct growth_fit once, twice;
    struct problem problem;
    draw_results(t, y, n, n_times);
    memcpy(t + n, t, n * sizeof *t);
    memcpy(y + n, y, n * sizeof *y);
    CU_ASSERT_EQUAL_FATAL(growth_fit_estimate(law, t, y, n, &once, &problem), STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(growth_fit_estimate(law, t, y, 2 * n, &twice, &problem), STATUS_OK);
    CU_ASSERT(twice.fit.n_rows == 2 * n && twice.t_min == once.t_min && twice.t_max == once.t_max);
    check_close("squares", twice.fit.residual_sum_squares, 2 * once.fit.residual_sum_squares, 1e-11);
    CU_ASSERT_EQUAL(twice.fit.df, (double)(2 * n - growth_law_parameters(law)));
    for (size_t j = 0; j < growth_law_parameters(law); j++) {
        check_close(growth_law_parameter(law, j), twice.fit.parameter[j], once.fit.parameter[j], 1e-8);
        check_close("error", nonlinear_fit_std_error(&twice.fit, j), nonlinear_fit_std_error(&once.fit, j) * sqrt(once.fit.df / twice.fit.df), 1e-7);
    }
    growth_fit_release(&once);
    growth_fit_release(&twice);
}

/* Many results at few times are fitted by their means at each: held against half of them, which are fitted one by one. */
static void test_many_results(void)
{
    for (int law = 0; law < GROWTH_LAW_COUNT; law++) {
        check_doubled((enum growth_law)law, 499, 3);
        check_doubled((enum growth_law)law, 499, 5);
        check_doubled((enum growth_law)law, 480, 150);
        check_doubled((enum growth_law)law, 520, 520); /* too many times */
        check_doubled((enum growth_law)law, 1000, 4); /* both by means */
    }
    static double t[600], y[600];
    struct growth_fit fit;
    struct problem problem;
    draw_results(t, y, 600, 2);
    CU_ASSERT_EQUAL(growth_fit_estimate(GROWTH_EXPONENTIAL, t, y, 600, &fit, &problem), STATUS_TOO_FEW);
    CU_ASSERT_STRING_EQUAL(problem.text, "the exponential law needs results at 3 different times and one result more, there are 2 times and 600 results");
    y[599] = -1;
    CU_ASSERT_EQUAL(growth_fit_estimate(GROWTH_HYPERBOLIC, t, y, 600, &fit, &problem), STATUS_NUMERIC);
}

/* Results taken out of those pooled, all those of one time among them, leave what the others alone would be. */
static void test_results_taken_out(void)
{
    enum { N = 1000, OUT = 40 };
    static double t[N], y[N];
    struct growth_times times;
    struct problem problem;
    draw_results(t, y, N, 7);
    t[3] = 200; /* alone at its time, and the last */
    for (int law = 0; law < GROWTH_LAW_COUNT; law++) {
        struct growth_fit whole, again, rest;
        CU_ASSERT_TRUE_FATAL(growth_times_pool(&times, t, y, N));
        CU_ASSERT_EQUAL(times.n_times, 8);
        CU_ASSERT_EQUAL_FATAL(growth_fit_estimate((enum growth_law)law, t, y, N, &whole, &problem), STATUS_OK);
        for (size_t i = 0; i < OUT; i++)
            growth_times_take_out(&times, t[i], y[i]);
        CU_ASSERT(times.n_times == 7 && times.n_results == N - OUT);
        CU_ASSERT_EQUAL_FATAL(growth_fit_again(&whole, &times, &again, &problem), STATUS_OK);
        CU_ASSERT_EQUAL_FATAL(growth_fit_estimate((enum growth_law)law, t + OUT, y + OUT, N - OUT, &rest, &problem), STATUS_OK);
        CU_ASSERT(again.t_min == rest.t_min && again.t_max == rest.t_max && again.fit.df == rest.fit.df && again.fit.n_rows == N - OUT);
        check_close("squares", again.fit.residual_sum_squares, rest.fit.residual_sum_squares, 1e-10);
        for (size_t j = 0; j < growth_law_parameters((enum growth_law)law); j++) {
            check_close(growth_law_parameter((enum growth_law)law, j), again.fit.parameter[j], rest.fit.parameter[j], 1e-8);
            check_close("error", nonlinear_fit_std_error(&again.fit, j), nonlinear_fit_std_error(&rest.fit, j), 1e-7);
        }
        growth_fit_release(&again);
        growth_fit_release(&rest);
        for (unsigned long n = 1; n <= 4; n++) {
            memory_fail_at(n, false);
            CU_ASSERT_EQUAL(growth_fit_again(&whole, &times, &again, &problem), STATUS_MEMORY);
            memory_fail_at(n, false);
            CU_ASSERT_EQUAL(growth_fit_estimate((enum growth_law)law, t, y, N, &rest, &problem), STATUS_MEMORY);
            memory_fail_at(0, false);
        }
        while (times.n_times > 1)
            for (size_t k = times.n_times - 1, n = (size_t)times.n[k]; n > 0; n--)
                growth_times_take_out(&times, times.t[k], times.mean[k]);
        CU_ASSERT_EQUAL(growth_fit_again(&whole, &times, &again, &problem), STATUS_TOO_FEW);
        growth_fit_release(&whole);
    }
}

int main(void)
{
    static const struct check_case cases[] = {
        { "words", test_words },
        { "published age factors", test_published_age_factors },
        { "exact data give their law", test_exact_data_give_their_law },
        { "solution is stationary", test_solution_is_stationary },
        { "value and limits", test_value_and_limits },
        { "refusals", test_refusals },
        { "many results", test_many_results }, { "results taken out", test_results_taken_out },
        { "every allocation failing", test_every_allocation_failing },
    };
    return check_run("growth", cases, sizeof cases / sizeof *cases);
}
