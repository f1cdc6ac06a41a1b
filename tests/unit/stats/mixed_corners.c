#include "support/study_of_batches.h"

#include "base/memory.h"

static void test_boundary(void)
{
    struct study study;
    study_fill(&study, 8, 4, 0);
    for (size_t row = 0; row < 32; row++) /* batches agree better than their specimens */
        study.response[row] = 30 + 5 * study.design[2 * row + 1] + (row % 4 < 2 ? 1 : -1) * (1 + (double)(row % 2));
    struct mixed_fit fit = fit_by(&study.data, MIXED_REML);
    CU_ASSERT_TRUE(fit.at_boundary && fit.has_batch_effect);
    CU_ASSERT_EQUAL(fit.var_batch, 0);
    check_close("pooled variance", fit.var_specimen, 80.0 / 30, 1e-12);
    double slope[2] = { 0, 1 };
    struct contrast contrast;
    mixed_fit_contrast(&fit, slope, &contrast);
    check_close("Kenward-Roger keeps the df of the batches", contrast.df, 6, 1e-9);
    check_close("Satterthwaite takes the df of the rows", mixed_fit_satterthwaite_df(&fit, slope), 30, 1e-9);
    mixed_fit_release(&fit);
}

static void test_one_specimen_a_batch(void)
{
    struct study study;
    study_fill(&study, 20, 1, 1);
    struct mixed_fit fit = fit_by(&study.data, MIXED_REML);
    CU_ASSERT_FALSE(fit.has_batch_effect);
    CU_ASSERT_EQUAL(fit.n_batches, 20);
    study.data.batch = NULL;
    struct mixed_fit plain = fit_by(&study.data, MIXED_LEAST_SQUARES);
    check_close("same variance", fit.var_specimen, plain.var_specimen, 1e-12);
    check_close("same slope", fit.coefficient[1], plain.coefficient[1], 1e-12);
    check_close("same criterion", fit.criterion, plain.criterion, 1e-12);
    check_close("variance of the variance", fit.variance_covariance[3], 2 * fit.var_specimen * fit.var_specimen / 18, 1e-13);
    double at[2] = { 1, 0.4 }, variance, df, again;
    struct contrast contrast;
    mixed_fit_contrast(&fit, at, &contrast);
    CU_ASSERT_EQUAL(contrast.df, 18);
    CU_ASSERT_EQUAL(mixed_fit_satterthwaite_df(&fit, at), 18);
    mixed_fit_prediction(&fit, at, 3, &variance, &df);
    mixed_fit_prediction(&fit, at, 1, &again, &df);
    CU_ASSERT_EQUAL(variance, again);
    check_close("prediction", variance, contrast.variance_mean + fit.var_specimen, 1e-13);
    mixed_fit_total_variance(&fit, &variance, &df);
    check_close("total", variance, fit.var_specimen, 1e-13);
    CU_ASSERT_EQUAL(df, 18);
    mixed_fit_release(&fit);
    mixed_fit_release(&plain);
}

/*
 * Without an intercept R squared counts from zero, also when the term is nearly a constant:
 * x = 1, 1, 1.1 and y = 2, 2.1, 2.2 give b = 6.52 / 3.21, and R squared = 6.52^2 / 3.21 / 13.25 by hand.
 */
static void test_r_squared_without_intercept(void)
{
    static const double x[] = { 1, 1, 1.1 }, y[] = { 2, 2.1, 2.2 };
    struct mixed_data data = { .n_rows = 3, .n_terms = 1, .design = x, .response = y, .term_names = study_terms + 1 };
    struct mixed_fit fit = fit_by(&data, MIXED_LEAST_SQUARES);
    check_close("slope", fit.coefficient[0], 6.52 / 3.21, 1e-14);
    check_close("R squared", fit.r_squared, 6.52 * 6.52 / 3.21 / 13.25, 1e-13);
    mixed_fit_release(&fit);
}

/*
 * The fewest rows that have an AICc: k = 3 with the variance, n - k - 1 = 1. By hand: x = -2 .. 2, y = 1, 0, 2, 1, 1 gives
 * the line 1 + 0.1 x, and its squares about the mean, 2, less 10 * 0.1^2 leave 1.9.
 */
static void test_fewest_rows_for_aicc(void)
{
    static const double design[] = { 1, -2, 1, -1, 1, 0, 1, 1, 1, 2 }, y[] = { 1, 0, 2, 1, 1 };
    struct mixed_data data = { .n_rows = 5, .n_terms = 2, .design = design, .response = y, .term_names = study_terms };
    struct mixed_fit fit = fit_by(&data, MIXED_LEAST_SQUARES);
    check_close("slope", fit.coefficient[1], 0.1, 1e-14);
    check_close("AICc", mixed_fit_aicc(&fit), 5 * log(2 * acos(-1) * 1.9 / 5) + 5 + 2 * 3 + 2 * 3 * 4, 1e-13);
    mixed_fit_release(&fit);
    data.n_rows = 4;
    fit = fit_by(&data, MIXED_LEAST_SQUARES);
    CU_ASSERT(mixed_fit_aicc(&fit) == INFINITY);
    mixed_fit_release(&fit);
}

/* Identical results inside every batch: the means are all there is, and the batches count, not the rows. */
static void test_identical_specimens(void)
{
    struct study study, means;
    study_fill(&study, 8, 3, 1);
    study_fill(&means, 8, 1, 1);
    for (size_t row = 0; row < 24; row++)
        study.response[row] = means.response[row / 3];
    for (size_t row = 0; row < 8; row++)
        means.design[2 * row + 1] = study.design[6 * row + 1];
    struct mixed_fit fit = fit_by(&study.data, MIXED_REML), plain = fit_by(&means.data, MIXED_REML);
    CU_ASSERT_EQUAL(fit.var_specimen, 0);
    check_close("batch variance", fit.var_batch, plain.var_specimen, 1e-12);
    check_close("slope", fit.coefficient[1], plain.coefficient[1], 1e-12);
    check_close("slope variance", fit.covariance_kr[3], plain.covariance_kr[3], 1e-12);
    check_close("likelihood of the means", fit.log_likelihood, plain.log_likelihood, 1e-12);
    double at[2] = { 1, 0.5 }, variance, df, plain_variance, rmse = 0, plain_rmse = 0, distance[8], plain_distance[8];
    struct contrast contrast;
    mixed_fit_contrast(&fit, at, &contrast);
    CU_ASSERT_EQUAL(contrast.df, 6);
    mixed_fit_prediction(&fit, at, 3, &variance, &df);
    CU_ASSERT_EQUAL(df, 6);
    mixed_fit_prediction(&plain, at, 3, &plain_variance, &df);
    check_close("prediction", variance, plain_variance, 1e-12);
    check_close("tolerance", mixed_fit_tolerance_margin(&fit, at, 0.95, 0.95),
                mixed_fit_tolerance_margin(&plain, at, 0.95, 0.95), 1e-12);
    CU_ASSERT_EQUAL(mixed_leave_one_batch_out(&study.data, &fit, NULL, &rmse), STATUS_OK);
    CU_ASSERT_EQUAL(mixed_leave_one_batch_out(&means.data, &plain, NULL, &plain_rmse), STATUS_OK);
    check_close("left out", rmse, plain_rmse, 1e-11);
    CU_ASSERT_EQUAL(mixed_cooks_distance(&study.data, &fit, distance), STATUS_OK);
    CU_ASSERT_EQUAL(mixed_cooks_distance(&means.data, &plain, plain_distance), STATUS_OK);
    check_close("Cook's distance", distance[3], plain_distance[3], 1e-10);
    mixed_fit_release(&fit);
    mixed_fit_release(&plain);
}

static void test_perfect_fit(void)
{
    struct study study;
    study_fill(&study, 8, 3, 1);
    for (size_t row = 0; row < 24; row++)
        study.response[row] = 40 - 12 * study.design[2 * row + 1];
    for (int batches = 0; batches < 2; batches++) {
        study.data.batch = batches ? study.batch : NULL;
        struct mixed_fit fit = fit_by(&study.data, MIXED_REML);
        double at[2] = { 1, 0.5 }, variance, df;
        struct contrast contrast;
        mixed_fit_contrast(&fit, at, &contrast);
        mixed_fit_prediction(&fit, at, 3, &variance, &df);
        check_close("slope", fit.coefficient[1], -12, 1e-12);
        check_close("R squared", fit.r_squared, 1, 1e-14);
        check_close("no width", contrast.std_error, 0, 1e-12);
        check_close("no width ahead", variance, 0, 1e-20);
        CU_ASSERT_TRUE(isfinite(contrast.df) && isfinite(df));
        check_close("no margin", mixed_fit_tolerance_margin(&fit, at, 0.95, 0.95), 0, 1e-12);
        mixed_fit_release(&fit);
    }
    for (size_t row = 0; row < 24; row++)
        study.response[row] = 7;
    struct mixed_fit flat = fit_by(&study.data, MIXED_REML);
    CU_ASSERT_EQUAL(flat.coefficient[1], 0);
    check_close("level", flat.coefficient[0], 7, 1e-15);
    CU_ASSERT_TRUE(isnan(flat.r_squared));
    mixed_fit_release(&flat);
}

static void test_refusals(void)
{
    struct study study;
    study_fill(&study, 2, 3, 1);
    check_failure(&study.data, MIXED_REML, STATUS_TOO_FEW, "2 batches for 2 terms");
    study_fill(&study, 2, 1, 1);
    check_failure(&study.data, MIXED_REML, STATUS_TOO_FEW, "2 results for 2 terms");
    study.data.n_rows = 0;
    check_failure(&study.data, MIXED_LEAST_SQUARES, STATUS_TOO_FEW, "0 results");
    study_fill(&study, 5, 3, 1);
    study.data.n_terms = 0;
    check_failure(&study.data, MIXED_REML, STATUS_NUMERIC, "1 to 256 terms");
    study_fill(&study, 5, 3, 1);
    study.response[4] = NAN;
    check_failure(&study.data, MIXED_REML, STATUS_NUMERIC, "row 5");
    study_fill(&study, 5, 3, 1);
    study.design[7] = INFINITY;
    check_failure(&study.data, MIXED_REML, STATUS_NUMERIC, "'fraction'");
    study.data.term_names = NULL;
    check_failure(&study.data, MIXED_REML, STATUS_NUMERIC, "'term 2'");
    study_fill(&study, 5, 3, 1);
    study.batch[3] = 5;
    check_failure(&study.data, MIXED_REML, STATUS_NUMERIC, "names a batch");
    study_fill(&study, 5, 3, 1);
    study.data.weights = study.weights;
    static const double bad[] = { 0, -1, NAN, INFINITY };
    for (size_t i = 0; i < 4; i++) {
        study.weights[2] = bad[i];
        check_failure(&study.data, MIXED_REML, STATUS_NUMERIC, "weight in row 3");
    }
}

/* Parts that add up to one beside an intercept: exact dependence is refused by name. */
static void test_dependent_terms(void)
{
    struct study study;
    study_fill(&study, 8, 3, 1);
    study.data.n_terms = 4;
    for (size_t row = 0; row < 24; row++) {
        double *x = study.design + 4 * row, r = (double)row;
        x[0] = 1;
        x[1] = 0.2 + 0.6 * fmod(0.618 * r, 1);
        x[2] = 0.1 * fmod(0.414 * r, 1);
        x[3] = 1 - x[1] - x[2];
    }
    check_failure(&study.data, MIXED_REML, STATUS_NUMERIC, "'sand' follows from 'fraction', 'fraction^2':");
    for (size_t row = 0; row < 24; row++)
        study.design[4 * row + 3] = 0.35;
    check_failure(&study.data, MIXED_REML, STATUS_NUMERIC, "'sand' has the same value in every row");
    for (size_t row = 0; row < 24; row++)
        study.design[4 * row + 3] = 3 * study.design[4 * row + 1];
    check_failure(&study.data, MIXED_REML, STATUS_NUMERIC, "'sand' follows from 'fraction':");
    for (size_t row = 0; row < 24; row++)
        study.design[4 * row + 3] = 0;
    check_failure(&study.data, MIXED_REML, STATUS_NUMERIC, "'sand' has the same value in every row");
    /* rounded parts are let through, but the condition tells */
    for (size_t row = 0; row < 24; row++) {
        double *x = study.design + 4 * row;
        x[3] = round(1e3 * (1 - x[1] - x[2])) / 1e3;
    }
    struct mixed_fit fit = fit_by(&study.data, MIXED_REML);
    CU_ASSERT_TRUE(fit.condition > 1e3);
    mixed_fit_release(&fit);
}

/* A quadratic far from zero (densities) is fitted as well as the same one about its centre. */
static void test_ill_conditioned_terms(void)
{
    struct study far, near;
    study_fill(&far, 10, 3, 1.5);
    study_fill(&near, 10, 3, 1.5);
    far.data.n_terms = near.data.n_terms = 3;
    for (size_t row = 0; row < 30; row++) {
        double z = (double)(row / 3) - 4.5, x = 150000 + z;
        double both[2] = { x, z };
        for (int i = 0; i < 2; i++) {
            double *design = (i ? near.design : far.design) + 3 * row;
            design[0] = 1;
            design[1] = both[i];
            design[2] = both[i] * both[i];
        }
    }
    for (enum mixed_method method = MIXED_REML; method <= MIXED_LEAST_SQUARES; method++) {
        struct mixed_fit rough = fit_by(&far.data, method), smooth = fit_by(&near.data, method);
        CU_ASSERT_TRUE(rough.condition > 1e4 && smooth.condition < 10);
        check_close("curvature", rough.coefficient[2], smooth.coefficient[2], 1e-9);
        check_close("batch variance", rough.var_batch, smooth.var_batch, 1e-8);
        check_close("specimen variance", rough.var_specimen, smooth.var_specimen, 1e-9);
        check_close("curvature variance", rough.covariance_kr[8], smooth.covariance_kr[8], 1e-8);
        check_close("restricted likelihood", rough.log_likelihood_reml, smooth.log_likelihood_reml, 1e-9);
        check_close("likelihood", rough.log_likelihood, smooth.log_likelihood, 1e-9);
        check_close("criterion", rough.criterion, smooth.criterion, 1e-9);
        check_close("leverage", rough.leverage[4], smooth.leverage[4], 1e-9);
        mixed_fit_release(&rough);
        mixed_fit_release(&smooth);
    }
}

/* Every allocation failing in turn: a clean refusal, and the fit released. */
static void check_each_allocation(const struct mixed_data *data, enum mixed_method method, unsigned long at_least)
{
    for (unsigned long n = 1;; n++) {
        struct mixed_fit fit;
        struct problem problem;
        memory_fail_at(n, false);
        enum status status = mixed_fit_estimate(data, method, &fit, &problem);
        bool reached = memory_calls() >= n;
        memory_fail_at(0, false);
        if (!reached) {
            mixed_fit_release(&fit);
            CU_ASSERT_TRUE(n > at_least);
            return;
        }
        CU_ASSERT_EQUAL(status, STATUS_MEMORY);
        CU_ASSERT_PTR_NULL(fit.coefficient);
    }
}

static void test_memory_of_fits(void)
{
    struct study study;
    study_fill(&study, 10, 3, 1.5);
    check_each_allocation(&study.data, MIXED_REML, 10);
    check_each_allocation(&study.data, MIXED_LEAST_SQUARES, 9);
    study.data.n_terms = 3;
    for (size_t row = 0; row < 30; row++) { /* badly conditioned: made orthogonal first */
        double x = 1000 + (double)(row / 3);
        study.design[3 * row] = 1;
        study.design[3 * row + 1] = x;
        study.design[3 * row + 2] = x * x;
    }
    check_each_allocation(&study.data, MIXED_REML, 20);
}

static void test_memory_of_diagnostics(void)
{
    struct study study;
    study_fill(&study, 10, 3, 1.5);
    uint32_t group[30];
    for (size_t row = 0; row < 30; row++) {
        study.design[2 * row + 1] = (double)(row / 3 % 4);
        study.batch[row] = (uint32_t)(9 - row / 3); /* out of order, so that rows are sorted */
        group[row] = (uint32_t)(row / 3 % 4);
    }
    struct mixed_fit fit = fit_by(&study.data, MIXED_REML);
    for (unsigned long n = 1; n < 8; n++) {
        double rmse, distance[10];
        struct lack_of_fit lack;
        memory_fail_at(n, true);
        enum status left_out = mixed_leave_one_batch_out(&study.data, &fit, NULL, &rmse);
        CU_ASSERT_EQUAL(left_out, memory_calls() >= n ? STATUS_MEMORY : STATUS_OK);
        memory_fail_at(n, true);
        enum status cook = mixed_cooks_distance(&study.data, &fit, distance);
        CU_ASSERT_EQUAL(cook, memory_calls() >= n ? STATUS_MEMORY : STATUS_OK);
        memory_fail_at(n, true);
        enum status lacking = mixed_lack_of_fit(&study.data, group, 4, &lack);
        CU_ASSERT_EQUAL(lacking, memory_calls() >= n ? STATUS_MEMORY : STATUS_OK);
        memory_fail_at(0, false);
    }
    mixed_fit_release(&fit);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "boundary", test_boundary },
        { "one specimen a batch", test_one_specimen_a_batch },
        { "identical specimens", test_identical_specimens },
        { "R squared without an intercept", test_r_squared_without_intercept },
        { "the fewest rows that have an AICc", test_fewest_rows_for_aicc },
        { "perfect fit", test_perfect_fit },
        { "refusals", test_refusals },
        { "dependent terms", test_dependent_terms },
        { "ill-conditioned terms", test_ill_conditioned_terms },
        { "memory of fits", test_memory_of_fits },
        { "memory of diagnostics", test_memory_of_diagnostics },
    };
    return check_run("mixed_corners", cases, sizeof cases / sizeof *cases);
}
