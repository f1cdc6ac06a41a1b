#include "stats/bootstrap.h"
#include "stats/distribution.h"
#include "support/check.h"

#include "base/memory.h"

/* Means of six batches of two mixes. */
static const double batch_mean[6] = { 10.2, 11.9, 9.4, 20.5, 23.1, 19.8 };
static const uint32_t two_mixes[6] = { 0, 1, 0, 1, 0, 1 };

static bool mean_of_units(const uint32_t *units, size_t n, void *context, double *values)
{
    const double *data = context;
    values[0] = 0;
    for (size_t i = 0; i < n; i++)
        values[0] += data[units[i]] / (double)n;
    return true;
}

static bool run_mean(const struct bootstrap_plan *plan, struct bootstrap *got)
{
    struct problem problem;
    double data[6];
    memcpy(data, batch_mean, sizeof data);
    return bootstrap_run(plan, mean_of_units, data, got, &problem) == STATUS_OK;
}

static void test_threads_do_not_show(void)
{
    struct bootstrap_plan plan = { .n_units = 6, .n_values = 1, .n_resamples = 997, .seed = 3 };
    struct bootstrap one, many;
    CU_ASSERT_FATAL(run_mean(&plan, &one));
    static const unsigned threads[] = { 1, 2, 3, 8, 5000 };
    for (size_t i = 0; i < sizeof threads / sizeof *threads; i++) {
        plan.n_threads = threads[i];
        CU_ASSERT_FATAL(run_mean(&plan, &many));
        CU_ASSERT_EQUAL(memcmp(one.replicates, many.replicates, 997 * sizeof(double)), 0);
        bootstrap_release(&many);
    }
    plan.seed = 4;
    CU_ASSERT_FATAL(run_mean(&plan, &many));
    CU_ASSERT_NOT_EQUAL(memcmp(one.replicates, many.replicates, 997 * sizeof(double)), 0);
    bootstrap_release(&many);
    bootstrap_release(&one);
}

/* The replicates of a mean scatter by sqrt((n-1)/n) sd / sqrt n. */
static void test_scatter_of_the_mean(void)
{
    struct bootstrap_plan plan = { .n_units = 6, .n_values = 1, .n_resamples = 20000, .seed = 8 };
    struct bootstrap got;
    CU_ASSERT_FATAL(run_mean(&plan, &got));
    struct bootstrap_limits limits = bootstrap_limits(&got, 0, BOOTSTRAP_PERCENTILE, 0.95);
    double mean = 94.9 / 6, squares = 0;
    for (size_t i = 0; i < 6; i++)
        squares += (batch_mean[i] - mean) * (batch_mean[i] - mean);
    check_close("estimate", got.estimate[0], mean, 1e-14);
    check_close("std error", limits.std_error, sqrt(squares / 36), 0.02);
    CU_ASSERT_EQUAL(limits.share_usable, 1);
    CU_ASSERT(limits.lower < mean && mean < limits.upper && !limits.at_edge);
    bootstrap_release(&got);
}

/* Student's t at 5 df instead of the normal deviate: 99 % levels are asked for what t reaches at 95 %. */
static void test_expanded_levels(void)
{
    struct bootstrap_plan plan = { .n_units = 6, .n_values = 1, .n_resamples = 4999, .seed = 8 };
    struct bootstrap got;
    CU_ASSERT_FATAL(run_mean(&plan, &got));
    double same_level = 1 - 2 * normal_tail(t_quantile(0.975, 5));
    struct bootstrap_limits expanded = bootstrap_limits(&got, 0, BOOTSTRAP_EXPANDED, 0.95);
    struct bootstrap_limits percentile = bootstrap_limits(&got, 0, BOOTSTRAP_PERCENTILE, same_level);
    CU_ASSERT_EQUAL(expanded.method, BOOTSTRAP_EXPANDED);
    check_close("lower", expanded.lower, percentile.lower, 1e-9);
    check_close("upper", expanded.upper, percentile.upper, 1e-9);
    CU_ASSERT(expanded.lower < bootstrap_limits(&got, 0, BOOTSTRAP_PERCENTILE, 0.95).lower);
    bootstrap_release(&got);
}

/* Sizes of the strata as drawn, and whether a unit strayed. */
static bool count_strata(const uint32_t *units, size_t n, void *context, double *values)
{
    const uint32_t *stratum = context;
    values[0] = values[1] = 0;
    for (size_t i = 0; i < n; i++)
        values[stratum[units[i]]]++;
    for (size_t i = 1; i < n; i++)
        if (stratum[units[i]] < stratum[units[i - 1]])
            values[0] = 99;
    return true;
}

static void test_strata_keep_their_size(void)
{
    static uint32_t stratum[5] = { 1, 0, 1, 1, 0 };
    struct bootstrap_plan plan = { .n_units = 5, .stratum = stratum, .n_strata = 2, .n_values = 2, .n_resamples = 50, .seed = 1 };
    struct bootstrap got;
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(bootstrap_run(&plan, count_strata, stratum, &got, &problem), STATUS_OK);
    for (size_t r = 0; r < 50; r++)
        CU_ASSERT(got.replicates[r] == 2 && got.replicates[50 + r] == 3);
    struct bootstrap_limits limits = bootstrap_limits(&got, 1, BOOTSTRAP_BCA, 0.95); /* nothing varies */
    CU_ASSERT(limits.lower == 3 && limits.upper == 3);
    bootstrap_release(&got);
}

/* Acceleration of a mean: sum of cubes / (6 (sum of squares)^1.5) of distances from the mean, over strata with their own sizes. */
static void test_acceleration(void)
{
    struct bootstrap_plan plan = { .n_units = 6, .n_values = 1, .n_resamples = 10, .seed = 1 };
    struct bootstrap got;
    double squares = 0, cubes = 0;
    CU_ASSERT_FATAL(run_mean(&plan, &got));
    for (size_t i = 0; i < 6; i++) {
        double d = batch_mean[i] - 94.9 / 6;
        squares += d * d;
        cubes += d * d * d;
    }
    check_close("one stratum", got.acceleration[0], cubes / (6 * pow(squares, 1.5)), 1e-10);
    bootstrap_release(&got);
    plan.stratum = two_mixes;
    plan.n_strata = 2;
    squares = cubes = 0;
    for (size_t i = 0; i < 6; i++) { /* each mix of 3: influence on the mean of all, jackknifed with 5 left */
        double sum = 0;
        for (size_t j = 0; j < 6; j++)
            sum += two_mixes[j] == two_mixes[i] ? batch_mean[j] : 0;
        double influence = 2.0 / 5 * (batch_mean[i] - sum / 3);
        squares += influence * influence / 9;
        cubes += influence * influence * influence / 27;
    }
    CU_ASSERT_FATAL(run_mean(&plan, &got));
    check_close("two strata", got.acceleration[0], cubes / (6 * pow(squares, 1.5)), 1e-10);
    bootstrap_release(&got);
}

/* Fails when unit 0 is missing, and gives no second figure when it comes twice. */
static bool picky(const uint32_t *units, size_t n, void *context, double *values)
{
    size_t times = 0;
    (void)context;
    for (size_t i = 0; i < n; i++)
        times += units[i] == 0;
    values[0] = (double)times;
    values[1] = times > 1 ? NAN : 1;
    return times > 0;
}

static void test_resamples_without_answer(void)
{
    struct bootstrap_plan plan = { .n_units = 4, .n_values = 2, .n_resamples = 4000, .seed = 5 };
    struct bootstrap got;
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(bootstrap_run(&plan, picky, NULL, &got, &problem), STATUS_OK);
    double missing = pow(0.75, 4), once = 4 * 0.25 * pow(0.75, 3);
    struct bootstrap_limits first = bootstrap_limits(&got, 0, BOOTSTRAP_BCA, 0.9);
    struct bootstrap_limits second = bootstrap_limits(&got, 1, BOOTSTRAP_PERCENTILE, 0.9);
    CU_ASSERT_DOUBLE_EQUAL(first.share_usable, 1 - missing, 0.03);
    CU_ASSERT_DOUBLE_EQUAL(second.share_usable, once, 0.03);
    CU_ASSERT_EQUAL(first.method, BOOTSTRAP_PERCENTILE); /* leaving unit 0 out gave nothing: no acceleration */
    CU_ASSERT(isnan(got.acceleration[0]));
    CU_ASSERT(second.lower == 1 && second.upper == 1);
    bootstrap_release(&got);
}

static bool never(const uint32_t *units, size_t n, void *context, double *values)
{
    (void)units;
    (void)n;
    (void)context;
    values[0] = 1;
    return false;
}

static void test_refusals(void)
{
    static const uint32_t apart[3] = { 0, 1, 2 }, stray[3] = { 0, 9, 0 };
    struct bootstrap_plan plan = { .n_units = 3, .n_values = 1, .n_resamples = 20, .stratum = apart, .n_strata = 3 };
    struct bootstrap got;
    struct problem problem;
    CU_ASSERT_EQUAL(bootstrap_run(&plan, never, NULL, &got, &problem), STATUS_TOO_FEW);
    plan.stratum = stray;
    CU_ASSERT_EQUAL(bootstrap_run(&plan, never, NULL, &got, &problem), STATUS_NUMERIC);
    plan.stratum = NULL;
    CU_ASSERT_EQUAL(bootstrap_run(&plan, never, NULL, &got, &problem), STATUS_NUMERIC);
    plan.n_resamples = 0;
    CU_ASSERT_EQUAL(bootstrap_run(&plan, never, NULL, &got, &problem), STATUS_TOO_FEW);
    CU_ASSERT_PTR_NULL(got.replicates);
    plan.n_resamples = SIZE_MAX;
    plan.n_values = 3;
    CU_ASSERT_EQUAL(bootstrap_run(&plan, never, NULL, &got, &problem), STATUS_MEMORY);
    bootstrap_release(&got);
}

static void test_few_resamples_reach_the_edge(void)
{
    struct bootstrap_plan plan = { .n_units = 6, .n_values = 1, .n_resamples = 19, .seed = 2 };
    struct bootstrap got;
    CU_ASSERT_FATAL(run_mean(&plan, &got));
    CU_ASSERT(bootstrap_limits(&got, 0, BOOTSTRAP_PERCENTILE, 0.95).at_edge);
    CU_ASSERT(!bootstrap_limits(&got, 0, BOOTSTRAP_PERCENTILE, 0.5).at_edge);
    /* 19 replicates: the 0.25 and 0.75 levels are the 5th and 15th */
    struct bootstrap_limits quartiles = bootstrap_limits(&got, 0, BOOTSTRAP_PERCENTILE, 0.5);
    check_close("5th", quartiles.lower, got.replicates[4], 1e-14);
    check_close("15th", quartiles.upper, got.replicates[14], 1e-14);
    CU_ASSERT_EQUAL(bootstrap_limits(&got, 0, BOOTSTRAP_NONE, 0.5).method, BOOTSTRAP_NONE);
    CU_ASSERT(isnan(bootstrap_limits(&got, 0, BOOTSTRAP_BCA, 1).lower));
    CU_ASSERT(isnan(bootstrap_limits(&got, 1, BOOTSTRAP_BCA, 0.9).lower));
    bootstrap_release(&got);
}

static void test_every_allocation_failing(void)
{
    struct bootstrap_plan plan = { .n_units = 6, .n_values = 1, .n_resamples = 19, .n_threads = 2 };
    struct bootstrap got;
    unsigned long n;
    bool done = false;
    for (n = 1; n < 60 && !done; n++) {
        memory_fail_at(n, false);
        done = run_mean(&plan, &got);
        if (!done)
            CU_ASSERT_PTR_NULL(got.replicates);
    }
    memory_fail_at(0, false);
    CU_ASSERT(done && n > 10);
    bootstrap_release(&got);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "threads do not show", test_threads_do_not_show },
        { "scatter of the mean", test_scatter_of_the_mean },
        { "expanded levels", test_expanded_levels },
        { "strata keep their size", test_strata_keep_their_size },
        { "acceleration", test_acceleration },
        { "resamples without answer", test_resamples_without_answer },
        { "refusals", test_refusals },
        { "few resamples reach the edge", test_few_resamples_reach_the_edge },
        { "every allocation failing", test_every_allocation_failing },
    };
    return check_run("bootstrap", cases, sizeof cases / sizeof *cases);
}
