#include "support/study_of_batches.h"

/* Balanced one-way data: REML is the analysis of variance, (MSB - MSW) / n and MSW. */
static void test_analysis_of_variance(void)
{
    struct study study;
    study_fill(&study, 7, 4, 2);
    study.data.n_terms = 1;
    double ones[28], total = 0, mean[7] = { 0 }, between = 0, within = 0;
    for (size_t row = 0; row < 28; row++) {
        ones[row] = 1;
        mean[row / 4] += study.response[row] / 4;
        total += study.response[row] / 28;
    }
    for (size_t row = 0; row < 28; row++) {
        between += (mean[row / 4] - total) * (mean[row / 4] - total) / 6;
        within += (study.response[row] - mean[row / 4]) * (study.response[row] - mean[row / 4]) / 21;
    }
    study.data.design = ones;
    struct mixed_fit fit = fit_by(&study.data, MIXED_REML);
    check_close("batch variance", fit.var_batch, (between - within) / 4, 1e-11);
    check_close("specimen variance", fit.var_specimen, within, 1e-11);
    check_close("mean", fit.coefficient[0], total, 1e-13);
    double variance, df, a = between / 4, b = within * 3 / 4; /* total variance = MSB / 4 + MSW 3 / 4 */
    mixed_fit_total_variance(&fit, &variance, &df);
    check_close("total variance", variance, a + b, 1e-11);
    check_close("its df", df, (a + b) * (a + b) / (a * a / 6 + b * b / 21), 1e-9);
    mixed_fit_release(&fit);
}

static void check_same_fit(const struct mixed_fit *got, const struct mixed_fit *want, double scale)
{
    check_close("batch variance", got->var_batch, want->var_batch * scale * scale, 1e-9);
    check_close("specimen variance", got->var_specimen, want->var_specimen * scale * scale, 1e-9);
    check_close("slope", got->coefficient[1], want->coefficient[1] * scale, 1e-10);
    check_close("slope variance", got->covariance_kr[3], want->covariance_kr[3] * scale * scale, 1e-9);
}

/* Order of rows, numbering of batches, units, level and empty batches must not matter. */
static void test_invariance(void)
{
    struct study study, other;
    study_fill(&study, 9, 3, 1.5);
    struct mixed_fit fit = fit_by(&study.data, MIXED_REML);
    study_fill(&other, 9, 3, 1.5);
    for (size_t row = 0; row < 27; row++) {
        size_t from = row * 10 % 27; /* 10 and 27 share no factor: a permutation */
        other.design[2 * row + 1] = study.design[2 * from + 1];
        other.response[row] = 1000 * (study.response[from] + 1e7);
        other.batch[row] = 40 - 2 * study.batch[from];
    }
    other.data.n_batches = 41;
    struct mixed_fit same = fit_by(&other.data, MIXED_REML);
    CU_ASSERT_EQUAL(same.n_batches, 9);
    check_close("batch variance", same.var_batch, fit.var_batch * 1e6, 1e-6);
    check_close("specimen variance", same.var_specimen, fit.var_specimen * 1e6, 1e-6);
    check_close("slope", same.coefficient[1], fit.coefficient[1] * 1000, 1e-7);
    mixed_fit_release(&same);
    for (size_t row = 0; row < 27; row++)
        other.response[row] = 1e-9 * study.response[row * 10 % 27];
    same = fit_by(&other.data, MIXED_REML);
    check_same_fit(&same, &fit, 1e-9);
    mixed_fit_release(&same);
    mixed_fit_release(&fit);
}

/* Columns in another order, and the constant not first or not 1: same variances, coefficients moved along. */
static void test_terms_in_any_order(void)
{
    struct study study, other;
    study_fill(&study, 9, 3, 1.5);
    study_fill(&other, 9, 3, 1.5);
    for (size_t row = 0; row < 27; row++) {
        other.design[2 * row] = study.design[2 * row + 1];
        other.design[2 * row + 1] = 4;
    }
    struct mixed_fit fit = fit_by(&study.data, MIXED_REML), turned = fit_by(&other.data, MIXED_REML);
    check_close("intercept", 4 * turned.coefficient[1], fit.coefficient[0], 1e-12);
    check_close("slope", turned.coefficient[0], fit.coefficient[1], 1e-12);
    check_close("R squared", turned.r_squared, fit.r_squared, 1e-12);
    check_close("restricted likelihood moves by ln 4", turned.criterion, fit.criterion + 2 * log(4), 1e-12);
    check_close("likelihood does not", turned.log_likelihood, fit.log_likelihood, 1e-12);
    mixed_fit_release(&fit);
    mixed_fit_release(&turned);
}

/* No constant term, but two columns that add up to one: R squared is still about the mean. */
static void test_hidden_constant(void)
{
    struct study study, other;
    study_fill(&study, 9, 3, 0.5);
    study_fill(&other, 9, 3, 0.5);
    for (size_t row = 0; row < 27; row++)
        other.design[2 * row] = 1 - other.design[2 * row + 1];
    struct mixed_fit fit = fit_by(&study.data, MIXED_REML), hidden = fit_by(&other.data, MIXED_REML);
    check_close("R squared", hidden.r_squared, fit.r_squared, 1e-11);
    check_close("value at 1", hidden.coefficient[1], fit.coefficient[0] + fit.coefficient[1], 1e-12);
    check_close("batch variance", hidden.var_batch, fit.var_batch, 1e-9);
    mixed_fit_release(&fit);
    mixed_fit_release(&hidden);
}

static void test_weights(void)
{
    struct study study;
    study_fill(&study, 9, 3, 1.5);
    struct mixed_fit plain = fit_by(&study.data, MIXED_REML);
    for (size_t row = 0; row < 27; row++)
        study.weights[row] = 5;
    study.data.weights = study.weights;
    struct mixed_fit heavy = fit_by(&study.data, MIXED_REML);
    check_close("specimen variance is for weight 1", heavy.var_specimen, 5 * plain.var_specimen, 1e-9);
    check_close("batch variance", heavy.var_batch, plain.var_batch, 1e-9);
    check_close("likelihood", heavy.log_likelihood, plain.log_likelihood, 1e-11);
    mixed_fit_release(&heavy);
    /* batches of many distinct weight sums keep their own rows; almost equal ones must give the same */
    struct study many;
    study_fill(&many, 200, 3, 1.5);
    struct mixed_fit squeezed = fit_by(&many.data, MIXED_REML);
    for (size_t row = 0; row < 600; row++)
        many.weights[row] = 1 + 1e-13 * (double)(row / 3 * 7 % 200);
    many.data.weights = many.weights;
    struct mixed_fit apart = fit_by(&many.data, MIXED_REML);
    check_same_fit(&apart, &squeezed, 1);
    check_close("criterion", apart.criterion, squeezed.criterion, 1e-11);
    mixed_fit_release(&apart);
    mixed_fit_release(&squeezed);
    mixed_fit_release(&plain);
}

/* A weight of 2 is a row twice over, for the coefficients of least squares. */
static void test_weights_in_least_squares(void)
{
    struct study once, twice;
    study_fill(&once, 9, 3, 1.5);
    study_fill(&twice, 9, 3, 1.5);
    once.data.batch = twice.data.batch = NULL;
    once.data.weights = once.weights;
    for (size_t row = 0; row < 5; row++) {
        once.weights[row] = 2;
        twice.design[2 * (27 + row)] = 1;
        twice.design[2 * (27 + row) + 1] = once.design[2 * row + 1];
        twice.response[27 + row] = once.response[row];
    }
    twice.data.n_rows = 32;
    struct mixed_fit weighted = fit_by(&once.data, MIXED_REML), doubled = fit_by(&twice.data, MIXED_REML);
    CU_ASSERT_FALSE(weighted.has_batch_effect);
    check_close("intercept", weighted.coefficient[0], doubled.coefficient[0], 1e-13);
    check_close("slope", weighted.coefficient[1], doubled.coefficient[1], 1e-12);
    check_close("residual squares", weighted.residual_sum_squares, doubled.residual_sum_squares, 1e-12);
    check_close("leverage", weighted.leverage[0], 2 * doubled.leverage[0], 1e-12);
    double sum = 0;
    for (size_t row = 0; row < 27; row++)
        sum += weighted.leverage[row];
    check_close("leverages add up to the terms", sum, 2, 1e-12);
    mixed_fit_release(&weighted);
    mixed_fit_release(&doubled);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "analysis of variance", test_analysis_of_variance },
        { "invariance", test_invariance },
        { "terms in any order", test_terms_in_any_order },
        { "hidden constant", test_hidden_constant },
        { "weights", test_weights },
        { "weights in least squares", test_weights_in_least_squares },
    };
    return check_run("mixed", cases, sizeof cases / sizeof *cases);
}
