/*
 * Limits, time constants and profile intervals of the three studies: worked with 30 digits in mpmath 1.3 (the time
 * constant as the root of the derivative of the projected residual squares, the ends by the secant method). Masses invented.
 */
#include "stats/approach.h"
#include "support/check.h"

#include "base/memory.h"

#include <math.h>

static void check_fit(const double *t, const double *y, size_t n, double confidence, const struct approach_fit *want)
{
    struct approach_fit fit;
    struct problem problem = { 0 };
    CU_ASSERT_EQUAL(approach_fit_estimate(t, y, n, confidence, &fit, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(fit.n, n);
    check_close("limit", fit.limit, want->limit, 1e-11);
    check_close("start", fit.start, want->start, 1e-11);
    check_close("time constant", fit.time_constant, want->time_constant, 1e-9);
    check_close("residual sd", fit.residual_sd, want->residual_sd, 1e-9);
    check_close("df", fit.df, (double)n - 3, 0);
    check_close("lower", fit.limit_lower, want->limit_lower, 1e-11);
    check_close("upper", fit.limit_upper, want->limit_upper, 1e-11);
}

static const double oven_h[] = { 0, 6, 12, 24, 36, 48, 72, 96 };
static const double oven_kg[] = { 2.3104, 2.2411, 2.1888, 2.1200, 2.0802, 2.0567, 2.0351, 2.0281 };

static void falling(void)
{
    struct approach_fit want = { .limit = 2.024805905572, .start = 2.3099704647905, .time_constant = 21.834846457785,
                                 .residual_sd = 0.00048788441718096, .limit_lower = 2.0237442238623, .limit_upper = 2.0258583615356 };
    check_fit(oven_h, oven_kg, 8, 0.95, &want);
}

/* Barely bent: the limit may lie farther below than above. */
static void hardly_bent(void)
{
    const double t[] = { 0, 4, 8, 12, 24 }, y[] = { 2.310, 2.262, 2.222, 2.187, 2.120 };
    struct approach_fit want = { .limit = 2.0331283157992, .start = 2.310363846194, .time_constant = 20.633248625341,
                                 .residual_sd = 0.0010493618876555, .limit_lower = 1.9993870224475, .limit_upper = 2.0576694243117 };
    check_fit(t, y, 5, 0.95, &want);
}

static void rising(void)
{
    const double t[] = { 0, 1, 3, 7, 14, 28 }, y[] = { 0.600, 0.6301, 0.6651, 0.6938, 0.7041, 0.7062 };
    struct approach_fit want = { .limit = 0.70558852132887, .start = 0.6005112714499, .time_constant = 3.1326238271379,
                                 .residual_sd = 0.00077750363781721, .limit_lower = 0.70428034117644, .limit_upper = 0.70691183558018 };
    check_fit(t, y, 6, 0.90, &want);
}

/* Another start of time, another unit of time and of mass: the same curve. */
static void units_and_origin(void)
{
    double t[8], y[8];
    struct approach_fit first, other;
    struct problem problem;
    for (int i = 0; i < 8; i++) {
        t[i] = 1000 + oven_h[i] / 24;
        y[i] = oven_kg[i] * 1000;
    }
    CU_ASSERT_EQUAL(approach_fit_estimate(oven_h, oven_kg, 8, 0.9, &first, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(approach_fit_estimate(t, y, 8, 0.9, &other, &problem), STATUS_OK);
    check_close("limit", other.limit, 1000 * first.limit, 1e-11);
    check_close("lower", other.limit_lower, 1000 * first.limit_lower, 1e-11);
    check_close("time constant", other.time_constant, first.time_constant / 24, 1e-8);
    check_close("at the start", approach_fit_at(&first, 0), first.start, 1e-15);
    check_close("far on", approach_fit_at(&first, 1e6), first.limit, 1e-15);
    check_close("after one time constant", approach_fit_at(&first, first.time_constant),
                first.limit + (first.start - first.limit) / exp(1), 1e-14);
}

/* No scatter at all: the curve itself comes back, with limits of no width. */
static void no_scatter(void)
{
    double t[6], y[6];
    struct approach_fit fit;
    struct problem problem;
    for (int i = 0; i < 6; i++) {
        t[i] = i * i;
        y[i] = 3 + 0.7 * exp(-t[i] / 5.5);
    }
    CU_ASSERT_EQUAL(approach_fit_estimate(t, y, 6, 0.95, &fit, &problem), STATUS_OK);
    check_close("limit", fit.limit, 3, 1e-9);
    check_close("time constant", fit.time_constant, 5.5, 1e-7);
    check_close("width", fit.limit_upper - fit.limit_lower, 0, 1e-8);
}

/* All lost by the second weighing: the limit is known, how fast it was reached is not. */
static void one_step(void)
{
    const double t[] = { 0, 24, 48, 72, 96 }, y[] = { 2.3, 2.0, 2.001, 1.999, 2.0 };
    struct approach_fit fit;
    struct problem problem;
    CU_ASSERT_EQUAL(approach_fit_estimate(t, y, 5, 0.95, &fit, &problem), STATUS_OK);
    check_close("limit", fit.limit, 2.0, 1e-4);
    CU_ASSERT(fit.limit_lower < 1.999 && fit.limit_upper > 2.001 && fit.time_constant < 12);
}

static void check_refused(const double *t, const double *y, size_t n, double confidence, enum status want, const char *words)
{
    struct approach_fit fit;
    struct problem problem = { 0 };
    CU_ASSERT_EQUAL(approach_fit_estimate(t, y, n, confidence, &fit, &problem), want);
    CU_ASSERT_PTR_NOT_NULL(strstr(problem.text, words));
    if (!strstr(problem.text, words))
        fprintf(stderr, "'%s' is not about '%s'\n", problem.text, words);
}

static void refused(void)
{
    const double t[] = { 0, 1, 2, 3, 4 }, line[] = { 2, 1.9001, 1.7999, 1.7001, 1.5999 }, flat[] = { 2, 2, 2, 2, 2 };
    const double noise[] = { 2, 2.001, 2, 2.001, 2 }, faster[] = { 2, 2.1, 2.2, 2.4, 2.8 }, broken[] = { 2, 1.9, NAN, 1.7, 1.6 };
    const double twice[] = { 0, 1, 1, 3, 4 };
    check_refused(t, line, 5, 0.95, STATUS_NUMERIC, "straight line");
    check_refused(t, flat, 5, 0.95, STATUS_NUMERIC, "do not change");
    check_refused(t, noise, 5, 0.95, STATUS_NUMERIC, "scatter");
    check_refused(t, faster, 5, 0.95, STATUS_NUMERIC, "scatter");
    check_refused(t, broken, 5, 0.95, STATUS_NUMERIC, "finite");
    check_refused(twice, line, 5, 0.95, STATUS_NUMERIC, "rise");
    check_refused(t, line, 3, 0.95, STATUS_TOO_FEW, "4 results");
    check_refused(t, line, 5, 1, STATUS_NUMERIC, "confidence");
}

static void memory(void)
{
    memory_fail_at(0, false);
    unsigned long before = memory_calls();
    falling();
    unsigned long n_calls = memory_calls() - before;
    CU_ASSERT(n_calls >= 2);
    for (unsigned long n = 1; n <= n_calls; n++) {
        struct approach_fit fit;
        struct problem problem = { 0 };
        memory_fail_at(n, false);
        enum status status = approach_fit_estimate(oven_h, oven_kg, 8, 0.95, &fit, &problem);
        memory_fail_at(0, false);
        CU_ASSERT_EQUAL(status, STATUS_MEMORY);
    }
}

int main(void)
{
    static const struct check_case cases[] = {
        { "falling", falling }, { "hardly bent", hardly_bent }, { "rising", rising }, { "units and origin", units_and_origin },
        { "no scatter", no_scatter }, { "one step", one_step }, { "refused", refused }, { "memory", memory },
    };
    return check_run("approach", cases, sizeof cases / sizeof *cases);
}
