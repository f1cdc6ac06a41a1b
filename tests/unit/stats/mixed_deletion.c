#include "stats/mixed.h"
#include "support/check.h"

#include <stdlib.h>

/* Lack of fit, leaving out, and influence. By refitting in full. */
enum { N = 12 };

static const double x_values[N] = { 0, 0, 0.25, 0.25, 0.5, 0.5, 0.5, 0.75, 0.75, 1, 1, 1 };
static const double y_values[N] = { 41.2, 40.1, 38.9, 37.2, 36.0, 35.1, 35.9, 31.2, 32.9, 28.8, 27.1, 29.9 };
static const uint32_t level[N] = { 0, 0, 1, 1, 2, 2, 2, 3, 3, 4, 4, 4 };
static const uint32_t six_batches[N] = { 0, 0, 1, 1, 2, 2, 2, 3, 3, 4, 5, 5 };

struct line { double design[2 * N]; struct mixed_data data; };

static void line_fill(struct line *line)
{
    for (size_t i = 0; i < N; i++) {
        line->design[2 * i] = 1;
        line->design[2 * i + 1] = x_values[i];
    }
    line->data = (struct mixed_data){ .n_rows = N, .n_terms = 2, .design = line->design, .response = y_values };
}

static struct mixed_fit fit_of(const struct mixed_data *data)
{
    struct mixed_fit fit;
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(mixed_fit_estimate(data, MIXED_REML, &fit, &problem), STATUS_OK);
    return fit;
}

/* Straight line by the schoolbook, without row `out`. */
static void line_without(size_t out, double *intercept, double *slope)
{
    double n = 0, mx = 0, my = 0, sxx = 0, sxy = 0;
    for (size_t i = 0; i < N; i++)
        if (i != out) {
            n++;
            mx += x_values[i];
            my += y_values[i];
        }
    mx /= n;
    my /= n;
    for (size_t i = 0; i < N; i++)
        if (i != out) {
            sxx += (x_values[i] - mx) * (x_values[i] - mx);
            sxy += (x_values[i] - mx) * (y_values[i] - my);
        }
    *slope = sxy / sxx;
    *intercept = my - *slope * mx;
}

static void test_rows_left_out(void)
{
    struct line line;
    line_fill(&line);
    struct mixed_fit fit = fit_of(&line.data);
    double rmse, distance[N], squares = 0;
    CU_ASSERT_EQUAL(mixed_leave_one_batch_out(&line.data, &fit, NULL, &rmse), STATUS_OK);
    CU_ASSERT_EQUAL(mixed_cooks_distance(&line.data, &fit, distance), STATUS_OK);
    for (size_t out = 0; out < N; out++) {
        double a, b, error, move = 0;
        line_without(out, &a, &b);
        error = y_values[out] - a - b * x_values[out];
        squares += error * error;
        for (size_t i = 0; i < N; i++) {
            double shift = a - fit.coefficient[0] + (b - fit.coefficient[1]) * x_values[i];
            move += shift * shift;
        }
        check_close("Cook's distance", distance[out], move / 2 / fit.var_specimen, 1e-10);
    }
    check_close("root mean square error", rmse, sqrt(squares / N), 1e-11);
    mixed_fit_release(&fit);
}

/* Four terms: each row's error without it is its residual over 1 - leverage. */
static void test_many_terms(void)
{
    struct line line;
    double design[4 * N], rmse, squares = 0;
    line_fill(&line);
    for (size_t i = 0; i < N; i++)
        for (size_t k = 0; k < 4; k++)
            design[4 * i + k] = k == 3 ? sin((double)i) : pow(x_values[i], (double)k);
    line.data.design = design;
    line.data.n_terms = 4;
    struct mixed_fit fit = fit_of(&line.data);
    CU_ASSERT_EQUAL(mixed_leave_one_batch_out(&line.data, &fit, NULL, &rmse), STATUS_OK);
    for (size_t i = 0; i < N; i++) {
        double residual = y_values[i];
        for (size_t k = 0; k < 4; k++)
            residual -= design[4 * i + k] * fit.coefficient[k];
        squares += residual * residual / (1 - fit.leverage[i]) / (1 - fit.leverage[i]);
    }
    check_close("root mean square error", rmse, sqrt(squares / N), 1e-10);
    mixed_fit_release(&fit);
}

/* Batches in mixed order in the file, an empty one among them. */
static void test_batches_left_out_in_any_order(void)
{
    struct line line, shuffled;
    double response[N], distance[6], other_distance[8], rmse, other_rmse;
    uint32_t batch[N];
    line_fill(&line);
    line_fill(&shuffled);
    line.data.batch = six_batches;
    line.data.n_batches = 6;
    for (size_t i = 0; i < N; i++) {
        size_t from = i * 5 % N;
        shuffled.design[2 * i + 1] = x_values[from];
        response[i] = y_values[from];
        batch[i] = 7 - six_batches[from];
    }
    shuffled.data.batch = batch;
    shuffled.data.n_batches = 8;
    shuffled.data.response = response;
    struct mixed_fit fit = fit_of(&line.data), other = fit_of(&shuffled.data);
    CU_ASSERT_EQUAL(mixed_leave_one_batch_out(&line.data, &fit, NULL, &rmse), STATUS_OK);
    CU_ASSERT_EQUAL(mixed_leave_one_batch_out(&shuffled.data, &other, NULL, &other_rmse), STATUS_OK);
    check_close("same error", other_rmse, rmse, 1e-10);
    CU_ASSERT_EQUAL(mixed_cooks_distance(&line.data, &fit, distance), STATUS_OK);
    CU_ASSERT_EQUAL(mixed_cooks_distance(&shuffled.data, &other, other_distance), STATUS_OK);
    for (size_t b = 0; b < 6; b++)
        check_close("same distance", other_distance[7 - b], distance[b], 1e-9);
    CU_ASSERT_EQUAL(other_distance[0], 0);
    mixed_fit_release(&fit);
    mixed_fit_release(&other);
}

/* One batch alone shows what happens at its value: without it the terms are not determined. */
static void test_batch_that_carries_a_term(void)
{
    struct line line;
    double distance[N], rmse;
    line_fill(&line);
    for (size_t i = 0; i < N; i++)
        line.design[2 * i + 1] = i == 4;
    struct mixed_fit fit = fit_of(&line.data);
    CU_ASSERT_EQUAL(mixed_leave_one_batch_out(&line.data, &fit, NULL, &rmse), STATUS_TOO_FEW);
    CU_ASSERT_TRUE(isnan(rmse));
    CU_ASSERT_EQUAL(mixed_cooks_distance(&line.data, &fit, distance), STATUS_OK);
    CU_ASSERT_EQUAL(distance[4], INFINITY);
    CU_ASSERT_TRUE(isfinite(distance[0]));
    mixed_fit_release(&fit);
}

/* Pure error within the levels against the line: the schoolbook analysis of variance. */
static void test_lack_of_fit_of_rows(void)
{
    struct line line;
    struct lack_of_fit lack;
    line_fill(&line);
    struct mixed_fit fit = fit_of(&line.data);
    double pure = 0;
    for (uint32_t g = 0; g < 5; g++) {
        double n = 0, mean = 0;
        for (size_t i = 0; i < N; i++)
            if (level[i] == g)
                mean += (y_values[i] - mean) / ++n;
        for (size_t i = 0; i < N; i++)
            if (level[i] == g)
                pure += (y_values[i] - mean) * (y_values[i] - mean);
    }
    CU_ASSERT_EQUAL(mixed_lack_of_fit(&line.data, level, 5, &lack), STATUS_OK);
    CU_ASSERT_TRUE(lack.available);
    CU_ASSERT_EQUAL(lack.df1, 3);
    CU_ASSERT_EQUAL(lack.df2, 7);
    check_close("F", lack.f, (fit.residual_sum_squares - pure) / 3 / (pure / 7), 1e-10);
    mixed_fit_release(&fit);
}

static void check_unavailable(const struct line *line, const uint32_t *group, size_t n_groups)
{
    struct lack_of_fit lack;
    CU_ASSERT_EQUAL(mixed_lack_of_fit(&line->data, group, n_groups, &lack), STATUS_OK);
    CU_ASSERT_FALSE(lack.available);
    CU_ASSERT_TRUE(isnan(lack.f) && isnan(lack.p));
}

static void test_lack_of_fit_needs(void)
{
    static const uint32_t straddling[N] = { 0, 0, 1, 1, 2, 2, 2, 3, 3, 3, 4, 4 }, one_each[N] = { 0, 0, 1, 1, 2, 2, 2, 3, 3, 4, 4, 4 };
    static const uint32_t two[N] = { 0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 1, 1 };
    struct line line;
    line_fill(&line);
    check_unavailable(&line, two, 2); /* no more groups than terms; the design changes within them too */
    for (size_t i = 0; i < N; i++)
        line.design[2 * i + 1] = i >= 6;
    check_unavailable(&line, two, 2); /* no more groups than terms, all else in order */
    line_fill(&line);
    line.data.batch = one_each;
    line.data.n_batches = 5;
    check_unavailable(&line, level, 5); /* no level has a second batch */
    line.data.batch = straddling;
    check_unavailable(&line, level, 5); /* a batch lies in two levels */
    line.data.batch = NULL;
    line.design[1] = 0.1;
    check_unavailable(&line, level, 5); /* the predictor changes within a level */
}

/* Levels without any scatter: off the line for certain, or on it and nothing to test. */
static void test_lack_of_fit_without_scatter(void)
{
    struct line line;
    struct lack_of_fit lack;
    double bent[N], straight[N];
    line_fill(&line);
    for (size_t i = 0; i < N; i++) {
        bent[i] = 5 + x_values[i] * x_values[i];
        straight[i] = 5 + x_values[i];
    }
    line.data.response = bent;
    CU_ASSERT_EQUAL(mixed_lack_of_fit(&line.data, level, 5, &lack), STATUS_OK);
    CU_ASSERT_TRUE(lack.available);
    CU_ASSERT_TRUE(lack.f > 1e20);
    CU_ASSERT_EQUAL(lack.p, 0);
    line.data.response = straight;
    CU_ASSERT_EQUAL(mixed_lack_of_fit(&line.data, level, 5, &lack), STATUS_OK);
    CU_ASSERT_TRUE(!lack.available || lack.p > 0.01);
}

/* Unequal batches: batch means weighted by the variances of the nested analysis of variance, by hand. */
static void test_lack_of_fit_of_unequal_batches(void)
{
    static const uint32_t batch[N] = { 0, 1, 2, 3, 4, 5, 5, 6, 6, 7, 7, 8 };
    struct line line;
    struct lack_of_fit lack;
    line_fill(&line);
    line.data.batch = batch;
    line.data.n_batches = 9;
    CU_ASSERT_EQUAL(mixed_lack_of_fit(&line.data, level, 5, &lack), STATUS_OK);
    CU_ASSERT_TRUE(lack.available);
    CU_ASSERT_EQUAL(lack.df1, 3);
    CU_ASSERT_EQUAL(lack.df2, 4);
    /* batches 5 (35.1, 35.9), 6 (31.2, 32.9), 7 (28.8, 27.1): the only spread inside */
    double inside = (0.4 * 0.4 * 2 + 0.85 * 0.85 * 2 + 0.85 * 0.85 * 2) / 3;
    double mean[9] = { 41.2, 40.1, 38.9, 37.2, 36.0, 35.5, 32.05, 27.95, 29.9 };
    double size[9] = { 1, 1, 1, 1, 1, 2, 2, 2, 1 };
    static const size_t at[9] = { 0, 0, 1, 1, 2, 2, 3, 4, 4 };
    double between = 0, usual = 12, level_size[5] = { 2, 2, 3, 2, 3 }, level_mean[5] = { 0 };
    for (size_t b = 0; b < 9; b++)
        level_mean[at[b]] += size[b] * mean[b] / level_size[at[b]];
    for (size_t b = 0; b < 9; b++) {
        between += size[b] * (mean[b] - level_mean[at[b]]) * (mean[b] - level_mean[at[b]]) / 4;
        usual -= size[b] * size[b] / level_size[at[b]];
    }
    double ratio = fmax(0, (between - inside) / (usual / 4)) / inside, design[18], weights[9];
    for (size_t b = 0; b < 9; b++) {
        design[2 * b] = 1;
        design[2 * b + 1] = 0.25 * (double)at[b];
        weights[b] = size[b] / (1 + ratio * size[b]);
    }
    struct mixed_data means = { .n_rows = 9, .n_terms = 2, .design = design, .response = mean, .weights = weights };
    struct lack_of_fit by_means;
    uint32_t group[9];
    for (size_t b = 0; b < 9; b++)
        group[b] = (uint32_t)at[b];
    CU_ASSERT_EQUAL(mixed_lack_of_fit(&means, group, 5, &by_means), STATUS_OK);
    CU_ASSERT_TRUE(ratio > 0);
    check_close("F", lack.f, by_means.f, 1e-10);
    check_close("p", lack.p, by_means.p, 1e-9);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "rows left out", test_rows_left_out },
        { "many terms", test_many_terms },
        { "batches left out in any order", test_batches_left_out_in_any_order },
        { "batch that carries a term", test_batch_that_carries_a_term },
        { "lack of fit of rows", test_lack_of_fit_of_rows },
        { "lack of fit needs", test_lack_of_fit_needs },
        { "lack of fit without scatter", test_lack_of_fit_without_scatter },
        { "lack of fit of unequal batches", test_lack_of_fit_of_unequal_batches },
    };
    return check_run("mixed_deletion", cases, sizeof cases / sizeof *cases);
}
