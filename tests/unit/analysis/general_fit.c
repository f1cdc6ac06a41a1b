#include "support/check.h"

#include "analysis/general_fit.h"
#include "base/memory.h"

static double coefficient(const struct general_fit *fit, const char *name)
{
    for (size_t i = 0; i < fit->n_coefficients; i++)
        if (strcmp(fit->coefficients[i].name, name) == 0)
            return fit->coefficients[i].estimate;
    return NAN;
}

static const struct coefficient_row *row(const struct general_fit *fit, size_t i)
{
    CU_ASSERT_FATAL(i < fit->n_coefficients);
    return &fit->coefficients[i];
}

/* NIST StRD linear regression, NoInt1: through zero. */
static void through_zero(void)
{
    static const double values[] = {130, 60, 131, 61, 132, 62, 133, 63, 134, 64, 135, 65,
                                    136, 66, 137, 67, 138, 68, 139, 69, 140, 70};
    static const char *const names[] = {"y", "x"};
    struct general_fit_question question = {
        .n_rows = 11, .n_columns = 2, .values = values, .names = names,
        .has_predictor = true, .no_intercept = true, .degree = 1, .confidence = 0.95,
    };
    struct general_fit fit;
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(general_fit_estimate(&question, &fit, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(fit.n_coefficients, 1);
    check_text(row(&fit, 0)->name, "x");
    check_close("B1", row(&fit, 0)->estimate, 2.07438016528926, 1e-13);
    check_close("standard error", row(&fit, 0)->std_error, 0.165289256198347e-01, 1e-12);
    check_close("residual sd", fit.residual_sd, 3.56753034006338, 1e-12);
    check_close("R squared", fit.r_squared, 0.999365492298663, 1e-13);
    check_close("AICc (exact arithmetic)", fit.aicc, 63.6494544005754981579487410027, 1e-12);
    check_text(fit.law, "linear");
    CU_ASSERT_FALSE(fit.lack_of_fit.available); /* no x twice */
    general_fit_release(&fit);
}

/* NIST StRD linear regression, Wampler3: degree 5. */
static void fifth_degree(void)
{
    static const double y[] = {760, -2042, 2111, -1684, 3888, 1858, 11379, 17560, 39287, 64382, 113159, 175108, 273291,
                               400186, 581243, 811568, 1121004, 1506550, 2002767, 2611612, 3369180};
    static const double se[] = {2152.32624678170, 2363.55173469681, 779.343524331583,
                                101.475507550350, 5.64566512170752, 0.112324854679312};
    static const char *const names[] = {"y", "x"};
    static const char *const terms[] = {"intercept", "x", "x^2", "x^3", "x^4", "x^5"};
    double values[42];
    for (size_t i = 0; i < 21; i++) {
        values[2 * i] = y[i];
        values[2 * i + 1] = (double)i;
    }
    struct general_fit_question question = {
        .n_rows = 21, .n_columns = 2, .values = values, .names = names,
        .has_predictor = true, .degree = 5, .confidence = 0.95,
    };
    struct general_fit fit;
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(general_fit_estimate(&question, &fit, &problem), STATUS_OK);
    for (size_t i = 0; i < 6; i++) {
        check_text(row(&fit, i)->name, terms[i]);
        check_close(terms[i], row(&fit, i)->estimate, 1, 1e-8);
        check_close("standard error", row(&fit, i)->std_error, se[i], 1e-9);
    }
    check_close("residual sd", fit.residual_sd, 2360.14502379268, 1e-11);
    check_text(fit.law, "polynomial");
    general_fit_release(&fit);
}

static const double hald[] = {
    /* heat, x1, x2, weight one */
    78.5, 7, 26, 1, 74.3, 1, 29, 1, 104.3, 11, 56, 1, 87.6, 11, 31, 1, 95.9, 7, 52, 1, 109.2, 11, 55, 1, 102.7, 3, 71, 1,
    72.5, 1, 31, 1, 93.1, 2, 54, 1, 115.9, 21, 47, 1, 83.8, 1, 40, 1, 113.3, 11, 66, 1, 109.4, 10, 68, 1,
};

/* Woods, Steinour and Starke 1932, heat of hardening cement; x1 and x2 as in Draper and Smith: b, RSS, R2, PRESS. */
static void two_columns(void)
{
    static const char *const names[] = {"heat", "x1", "x2", "weight"};
    struct general_fit_question question = {
        .n_rows = 13, .n_columns = 4, .values = hald, .names = names,
        .has_predictor = true, .has_weights = true, .degree = 1, .confidence = 0.95,
    };
    struct general_fit fit;
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(general_fit_estimate(&question, &fit, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(fit.n_coefficients, 3);
    check_close("intercept", coefficient(&fit, "intercept"), 52.5773, 1e-6);
    check_close("x1", coefficient(&fit, "x1"), 1.4683, 1e-5);
    check_close("x2", coefficient(&fit, "x2"), 0.6623, 1e-4);
    check_close("residual sum of squares", fit.residual_sd * fit.residual_sd * 10, 57.9045, 1e-6);
    check_close("R squared", fit.r_squared, 0.97868, 1e-5);
    check_close("PRESS", fit.cross_validation_rmse * fit.cross_validation_rmse * 13, 93.8825, 1e-6);
    general_fit_release(&fit);
}

/* Davies and Goldsmith 1972, table 6.3 (dyestuff): REML by lme4, batch sd 42.001, residual sd 49.51, mean 1527.5, se 19.383. */
static void batches(void)
{
    static const double yield[] = {1545, 1440, 1440, 1520, 1580, 1540, 1555, 1490, 1560, 1495, 1595, 1550, 1605, 1510, 1560,
                                   1445, 1440, 1595, 1465, 1545, 1595, 1630, 1515, 1635, 1625, 1520, 1455, 1450, 1480, 1445};
    static const char *const letters[] = {"F", "A", "C", "B", "E", "D"}; /* the order of batches must not matter */
    static const char *const names[] = {"yield"};
    const char *labels[30];
    for (size_t i = 0; i < 30; i++)
        labels[i] = letters[i / 5];
    struct general_fit_question question = {
        .n_rows = 30, .n_columns = 1, .values = yield, .names = names, .batches = labels, .confidence = 0.95,
    };
    struct general_fit fit;
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(general_fit_estimate(&question, &fit, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(fit.n_batches, 6);
    check_close("mean", coefficient(&fit, "intercept"), 1527.5, 1e-12);
    check_close("standard error", row(&fit, 0)->std_error, 19.383, 1e-4);
    check_close("df", row(&fit, 0)->df, 5, 1e-6);
    check_close("batch sd", fit.sd_batch, 42.001, 1e-4);
    check_close("specimen sd", fit.sd_specimen, 49.51, 1e-4);
    check_text(fit.law, "constant");
    CU_ASSERT_PTR_NULL(fit.predictor);
    general_fit_release(&fit);
}

static void weight_of_two_is_a_row_twice(void)
{
    static const double weighted[] = {1, 1, 2, 3, 2, 1, 4, 3, 1, 7, 5, 2};
    static const double twice[] = {1, 1, 1, 1, 3, 2, 4, 3, 7, 5, 7, 5};
    static const char *const names[] = {"y", "x", "w"};
    struct general_fit_question question = {
        .n_rows = 4, .n_columns = 3, .values = weighted, .names = names,
        .has_predictor = true, .has_weights = true, .degree = 1, .confidence = 0.95,
    };
    struct general_fit a, b;
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(general_fit_estimate(&question, &a, &problem), STATUS_OK);
    question.n_rows = 6;
    question.n_columns = 2;
    question.values = twice;
    question.has_weights = false;
    CU_ASSERT_EQUAL_FATAL(general_fit_estimate(&question, &b, &problem), STATUS_OK);
    check_close("intercept", coefficient(&a, "intercept"), coefficient(&b, "intercept"), 1e-12);
    check_close("slope", coefficient(&a, "x"), coefficient(&b, "x"), 1e-12);
    general_fit_release(&a);
    general_fit_release(&b);
}

/* y 1 2 | 4 6 | 5 at x 0 | 1 | 2: pure error 0.5 + 2 on 2 df; straight line residual and its rest by hand. */
static void lack_of_fit_by_repeats(void)
{
    static const double values[] = {1, 0, 2, 0, 4, 1, 6, 1, 5, 2};
    static const char *const names[] = {"y", "x"};
    struct general_fit_question question = {
        .n_rows = 5, .n_columns = 2, .values = values, .names = names,
        .has_predictor = true, .degree = 1, .confidence = 0.95,
    };
    struct general_fit fit;
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(general_fit_estimate(&question, &fit, &problem), STATUS_OK);
    /* slope = Sxy/Sxx = 5.6/2.8 = 2, intercept 2, RSS = 1+0+0+4+1... = (1-2)^2+(2-2)^2+(4-4)^2+(6-4)^2+(5-6)^2 = 6 */
    check_close("slope", coefficient(&fit, "x"), 2, 1e-12);
    check_close("residual sd", fit.residual_sd, sqrt(6.0 / 3), 1e-12);
    CU_ASSERT_TRUE(fit.lack_of_fit.available);
    check_close("F", fit.lack_of_fit.f, (6 - 2.5) / 1 / (2.5 / 2), 1e-12);
    check_close("df1", fit.lack_of_fit.df1, 1, 0);
    check_close("df2", fit.lack_of_fit.df2, 2, 0);
    general_fit_release(&fit);
}

static void refused(const struct general_fit_question *question, enum status want)
{
    struct general_fit fit;
    struct problem problem = {0};
    CU_ASSERT_EQUAL(general_fit_estimate(question, &fit, &problem), want);
    CU_ASSERT_NOT_EQUAL(problem.text[0], '\0');
}

static void what_cannot_be_fitted_is_refused(void)
{
    static const double same[] = {1, 2, 4, 2, 4, 8, 3, 6, 12, 5, 8, 16, 6, 9, 18}; /* third column twice the second */
    static const double flat[] = {1, 2, 2, 2, 3, 2};
    static const double minus[] = {1, 1, 1, 2, 2, -1, 3, 3, 1};
    static const char *const names[] = {"y", "x", "z"};
    struct general_fit_question question = {
        .n_rows = 5, .n_columns = 3, .values = same, .names = names, .has_predictor = true, .degree = 1, .confidence = 0.95,
    };
    refused(&question, STATUS_NUMERIC);
    question = (struct general_fit_question){.n_rows = 3, .n_columns = 2, .values = flat, .names = names,
                                             .has_predictor = true, .degree = 1, .confidence = 0.95};
    refused(&question, STATUS_NUMERIC);
    question.degree = 2;
    refused(&question, STATUS_TOO_FEW);
    question = (struct general_fit_question){.n_rows = 3, .n_columns = 3, .values = minus, .names = names,
                                             .has_predictor = true, .has_weights = true, .degree = 1, .confidence = 0.95};
    refused(&question, STATUS_INPUT);
    question = (struct general_fit_question){.n_rows = 3, .n_columns = 1, .values = minus, .names = names,
                                             .no_intercept = true, .confidence = 0.95};
    refused(&question, STATUS_USAGE);
}

static void no_memory_is_a_status(void)
{
    static const char *const names[] = {"heat", "x1", "x2", "weight"};
    struct general_fit_question question = {
        .n_rows = 13, .n_columns = 4, .values = hald, .names = names,
        .has_predictor = true, .has_weights = true, .degree = 1, .confidence = 0.95,
    };
    enum status status = STATUS_MEMORY;
    unsigned long n = 1;
    for (; n < 1000 && status != STATUS_OK; n++) {
        struct general_fit fit;
        struct problem problem = {0};
        memory_fail_at(n, true);
        status = general_fit_estimate(&question, &fit, &problem);
        memory_fail_at(0, false);
        CU_ASSERT_TRUE(status == STATUS_OK || status == STATUS_MEMORY);
        if (status == STATUS_OK)
            general_fit_release(&fit);
    }
    CU_ASSERT_TRUE(n > 5 && n < 1000);
}

int main(void)
{
    static const struct check_case cases[] = {
        {"through zero", through_zero},
        {"fifth degree", fifth_degree},
        {"two columns", two_columns},
        {"batches", batches},
        {"weight of two is a row twice", weight_of_two_is_a_row_twice},
        {"lack of fit by repeats", lack_of_fit_by_repeats},
        {"what cannot be fitted is refused", what_cannot_be_fitted_is_refused},
        {"no memory is a status", no_memory_is_a_status},
    };
    return check_run("general fit", cases, sizeof cases / sizeof cases[0]);
}
