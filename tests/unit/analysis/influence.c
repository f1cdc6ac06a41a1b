/* What a fit hangs on, held against leaving units out for real; numbers invented. */
#include "analysis/influence.h"
#include "base/memory.h"
#include "support/check.h"

enum { N = 12 };

static const double x[N] = { 0.11, 0.17, 0.23, 0.29, 0.31, 0.37, 0.43, 0.47, 0.53, 0.59, 0.61, 0.97 };
static const double y[N] = { 38.1, 36.9, 34.2, 33.8, 31.1, 30.7, 28.8, 28.2, 25.9, 24.1, 24.8, 19.3 };

struct bench { double design[2 * N]; struct mixed_data data; };

static void start(struct bench *bench, const uint32_t *batch, size_t n_batches)
{
    for (size_t i = 0; i < N; i++) {
        bench->design[2 * i] = 1;
        bench->design[2 * i + 1] = x[i];
    }
    bench->data = (struct mixed_data){ .n_rows = N, .n_terms = 2, .design = bench->design, .response = y, .batch = batch,
                                       .n_batches = n_batches };
}

static struct mixed_fit fit_of(const struct mixed_data *data, enum mixed_method method)
{
    struct mixed_fit fit;
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(mixed_fit_estimate(data, method, &fit, &problem), STATUS_OK);
    return fit;
}

/* (move)' V^-1 (move) / p with V the covariance of the whole fit. */
static double cook(const struct mixed_fit *all, const struct mixed_fit *without)
{
    const double *v = all->covariance, a = all->coefficient[0] - without->coefficient[0], b = all->coefficient[1] - without->coefficient[1];
    return (v[3] * a * a - 2 * v[1] * a * b + v[0] * b * b) / (v[0] * v[3] - v[1] * v[1]) / 2;
}

static void rows_left_out(void)
{
    struct bench bench;
    struct influence influence;
    start(&bench, NULL, 0);
    struct mixed_fit all = fit_of(&bench.data, MIXED_LEAST_SQUARES);
    CU_ASSERT_EQUAL_FATAL(influence_judge(&bench.data, &all, &influence), STATUS_OK);
    CU_ASSERT_FALSE(influence.by_batch);
    CU_ASSERT_EQUAL_FATAL(influence.n_units, INFLUENCE_UNITS);
    CU_ASSERT_EQUAL(influence.units[0].row, N - 1);
    double mean = 0, squares = 0;
    for (size_t i = 0; i < N; i++)
        mean += x[i] / N;
    for (size_t i = 0; i < N; i++)
        squares += (x[i] - mean) * (x[i] - mean);
    for (size_t u = 0; u < influence.n_units; u++) {
        const struct influence_unit *unit = &influence.units[u];
        struct bench less;
        double response[N];
        start(&less, NULL, 0);
        memcpy(response, y, sizeof response);
        memmove(less.design + 2 * unit->row, less.design + 2 * unit->row + 2, (N - 1 - unit->row) * 2 * sizeof(double));
        memmove(response + unit->row, response + unit->row + 1, (N - 1 - unit->row) * sizeof(double));
        less.data.n_rows = N - 1;
        less.data.response = response;
        struct mixed_fit without = fit_of(&less.data, MIXED_LEAST_SQUARES);
        check_close("Cook's distance", unit->cooks_distance, cook(&all, &without), 1e-9);
        check_close("leverage", unit->leverage, 1.0 / N + pow(x[unit->row] - mean, 2) / squares, 1e-10);
        CU_ASSERT(u == 0 || unit->cooks_distance <= influence.units[u - 1].cooks_distance);
        mixed_fit_release(&without);
    }
    CU_ASSERT(influence.residuals.w > 0 && influence.residuals.w < 1);
    mixed_fit_release(&all);
}

static void batches_as_units(void)
{
    static const uint32_t batch[N] = { 0, 0, 0, 1, 1, 2, 2, 2, 3, 3, 4, 4 };
    struct bench bench;
    struct influence influence;
    start(&bench, batch, 5);
    struct mixed_fit fit = fit_of(&bench.data, MIXED_REML);
    CU_ASSERT_EQUAL_FATAL(influence_judge(&bench.data, &fit, &influence), STATUS_OK);
    CU_ASSERT_TRUE(influence.by_batch);
    CU_ASSERT_EQUAL(influence.n_units, 5);
    CU_ASSERT_EQUAL(influence.units[0].unit, 4);
    CU_ASSERT_EQUAL(influence.units[0].row, 10);
    check_close("the larger leverage", influence.units[0].leverage, fit.leverage[11], 0);
    mixed_fit_release(&fit);
}

/* Third column: the second and a little of its own; inflation is 1 / (1 - r^2) of two columns. */
static void columns_alike(void)
{
    double design[4 * N], sums[5] = { 0 };
    struct near_dependence found;
    for (size_t i = 0; i < N; i++) {
        double own[4] = { 1, x[i], 2 * x[i] + (i % 3 == 1 ? 0.02 : -0.01), (i % 2) ? 3.5 : -2.5 };
        memcpy(design + 4 * i, own, sizeof own);
    }
    struct mixed_data data = { .n_rows = N, .n_terms = 3, .design = design, .response = y };
    double pair[3 * N];
    for (size_t i = 0; i < N; i++)
        memcpy(pair + 3 * i, design + 4 * i, 3 * sizeof(double));
    data.design = pair;
    for (size_t i = 0; i < N; i++) {
        sums[0] += pair[3 * i + 1] / N;
        sums[1] += pair[3 * i + 2] / N;
    }
    for (size_t i = 0; i < N; i++) {
        double a = pair[3 * i + 1] - sums[0], b = pair[3 * i + 2] - sums[1];
        sums[2] += a * a;
        sums[3] += a * b;
        sums[4] += b * b;
    }
    double correlation = sums[3] / sqrt(sums[2] * sums[4]);
    CU_ASSERT_EQUAL_FATAL(near_dependence_find(&data, 1, true, &found), STATUS_OK);
    check_close("inflation", found.inflation, 1 / (1 - correlation * correlation), 1e-8);
    check_close("correlation", found.correlation, correlation, 1e-12);
    data.n_terms = 4;
    data.design = design;
    CU_ASSERT_EQUAL_FATAL(near_dependence_find(&data, 1, true, &found), STATUS_OK);
    CU_ASSERT(found.term + found.with == 3 && found.inflation > 100);
    data.n_terms = 2;
    CU_ASSERT_EQUAL(near_dependence_find(&data, 1, true, &found), STATUS_OK);
    CU_ASSERT(found.term == 2 && isnan(found.inflation));
}

static void no_memory(void)
{
    struct bench bench;
    struct influence influence;
    enum status status = STATUS_MEMORY;
    start(&bench, NULL, 0);
    struct mixed_fit fit = fit_of(&bench.data, MIXED_LEAST_SQUARES);
    unsigned long n;
    for (n = 1; n < 60 && status == STATUS_MEMORY; n++) {
        memory_fail_at(n, true);
        status = influence_judge(&bench.data, &fit, &influence);
        memory_fail_at(0, false);
    }
    CU_ASSERT(status == STATUS_OK && n > 4);
    mixed_fit_release(&fit);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "rows left out", rows_left_out },
        { "batches as units", batches_as_units },
        { "columns alike", columns_alike },
        { "no memory", no_memory },
    };
    return check_run("influence", cases, sizeof cases / sizeof *cases);
}
