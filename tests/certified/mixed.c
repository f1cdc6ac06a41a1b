#include "stats/distribution.h"
#include "stats/mixed.h"
#include "stats/tolerance.h"
#include "support/certified.h"

/*
 * Random batch effects: published data with answers recomputed in 40 digits
 * from the closed forms or by Newton's method on the exact likelihood
 * (tests/certified/data/mixed/README.md), and studies made with fixed seeds
 * (tests/certified/data/synthetic). Bars: variances 8, coefficients 9,
 * degrees of freedom 6, criterion 9 digits.
 */
struct mixed_case {
    const char *name, *folder, *batch, *response, *predictor; /* predictor NULL: mean only */
    bool log_response;
};

static const struct mixed_case mixed_cases[] = {
    { "Dyestuff", "mixed", "batch", "yield", NULL, false },
    { "Dyestuff2", "mixed", "batch", "yield", NULL, false },
    { "LoomStrength", "mixed", "loom", "strength", NULL, false },
    { "GearBatch", "mixed", "batch", "diameter", NULL, false },
    { "Orthodont", "mixed", "subject", "distance", "age", false },
    { "S1_balanced", "synthetic", "batch", "strength", "fraction", false },
    { "S3_zero_variance", "synthetic", "batch", "strength", "fraction", false },
    { "S6_log_response", "synthetic", "batch", "strength", "fraction", true },
};

/* A study read into the arrays that a fit borrows. */
struct study {
    struct certified_table table;
    double *design, *response;
    uint32_t *batch, *group; /* group: rows of equal predictor */
    size_t n_groups;
    struct mixed_data data;
};

static struct study study_read(const struct mixed_case *want, size_t degree)
{
    struct study study;
    char file[96];
    snprintf(file, sizeof file, "%s/%s.csv", want->folder, want->name);
    study.table = certified_read(file);
    size_t n = study.table.n_rows, n_terms = want->predictor ? degree + 1 : 1, n_batches;
    study.response = certified_numbers(&study.table, want->response);
    study.batch = certified_groups(&study.table, want->batch, &n_batches);
    study.group = certified_groups(&study.table, want->predictor ? want->predictor : want->batch, &study.n_groups);
    study.design = malloc(n * n_terms * sizeof *study.design);
    if (!study.design)
        abort();
    for (size_t row = 0; row < n; row++) {
        double x = want->predictor ? certified_number(&study.table, row, want->predictor) : 0;
        for (size_t k = 0; k < n_terms; k++)
            study.design[row * n_terms + k] = k ? study.design[row * n_terms + k - 1] * x : 1;
        if (want->log_response)
            study.response[row] = log(study.response[row]);
    }
    study.data = (struct mixed_data){ .n_rows = n, .n_terms = n_terms, .design = study.design,
                                      .response = study.response, .batch = study.batch, .n_batches = n_batches };
    return study;
}

static void study_release(struct study *study)
{
    free(study->design);
    free(study->response);
    free(study->batch);
    free(study->group);
    certified_release(&study->table);
}

static struct mixed_fit study_fit(const struct study *study, enum mixed_method method)
{
    struct mixed_fit fit;
    struct problem problem;
    enum status status = mixed_fit_estimate(&study->data, method, &fit, &problem);
    CU_ASSERT_EQUAL_FATAL(status, STATUS_OK);
    return fit;
}

/* Answer by data set, method (or law) and quantity. */
static double answer(const struct certified_table *answers, const char *data_set, const char *second_heading,
                     const char *second, const char *quantity)
{
    for (size_t i = 0; i < answers->n_rows; i++)
        if (strcmp(certified_text(answers, i, "data_set"), data_set) == 0 &&
            strcmp(certified_text(answers, i, second_heading), second) == 0 &&
            strcmp(certified_text(answers, i, "quantity"), quantity) == 0)
            return certified_number(answers, i, "value");
    fprintf(stderr, "no answer for %s %s %s\n", data_set, second, quantity);
    abort();
}

static void check_term(const struct certified_table *answers, const struct mixed_case *want, const char *method,
                       const struct mixed_fit *fit, size_t term)
{
    char quantity[64], label[96];
    double combination[2] = { term == 0, term == 1 };
    struct contrast contrast;
    mixed_fit_contrast(fit, combination, &contrast);
    bool restricted = strcmp(method, "REML") == 0;
    const struct { const char *what; double got, bar; bool restricted_only; } checks[] = {
        { "estimate", contrast.estimate, 9, false },
        { "se", sqrt(fit->covariance[term * fit->n_terms + term]), 9, false },
        { "se_kr", contrast.std_error, 8, true },
        { "df_kr", contrast.df, 6, true },
        { "df_satterthwaite", mixed_fit_satterthwaite_df(fit, combination), 6, true },
    };
    for (size_t i = 0; i < sizeof checks / sizeof *checks; i++) {
        if (checks[i].restricted_only && !restricted)
            continue;
        const char *name = term == 0 ? "intercept" : want->predictor;
        snprintf(quantity, sizeof quantity, "%s %s", name, checks[i].what);
        snprintf(label, sizeof label, "%s %s", method, quantity);
        certified_check(want->name, label, checks[i].got, answer(answers, want->name, "method", method, quantity),
                        checks[i].bar);
    }
}

static void check_method(const struct certified_table *answers, const struct mixed_case *want, const struct study *study,
                         enum mixed_method method)
{
    bool restricted = method == MIXED_REML;
    const char *name = restricted ? "REML" : "ML";
    struct mixed_fit fit = study_fit(study, method);
    CU_ASSERT_TRUE(fit.has_batch_effect);
    double var_batch = answer(answers, want->name, "method", name, "var_group");
    CU_ASSERT_EQUAL(fit.at_boundary, var_batch == 0);
    certified_check(want->name, restricted ? "REML batch variance" : "ML batch variance", fit.var_batch, var_batch, 8);
    certified_check(want->name, restricted ? "REML specimen variance" : "ML specimen variance", fit.var_specimen,
                    answer(answers, want->name, "method", name, "var_residual"), 8);
    certified_check(want->name, restricted ? "REML criterion" : "ML deviance", fit.criterion,
                    answer(answers, want->name, "method", name, restricted ? "criterion" : "deviance"), 9);
    if (restricted) /* the likelihood of the same model at its ML estimates comes along */
        certified_check(want->name, "ML log likelihood beside REML", -2 * fit.log_likelihood,
                        answer(answers, want->name, "method", "ML", "deviance"), 9);
    for (size_t term = 0; term < fit.n_terms; term++)
        check_term(answers, want, name, &fit, term);
    mixed_fit_release(&fit);
}

static void test_random_batch(void)
{
    struct certified_table published = certified_read("mixed/answers.csv");
    struct certified_table made = certified_read("synthetic/answers.csv");
    for (size_t i = 0; i < sizeof mixed_cases / sizeof *mixed_cases; i++) {
        const struct mixed_case *want = &mixed_cases[i];
        const struct certified_table *answers = strcmp(want->folder, "mixed") == 0 ? &published : &made;
        struct study study = study_read(want, 1);
        check_method(answers, want, &study, MIXED_REML);
        check_method(answers, want, &study, MIXED_ML);
        study_release(&study);
    }
    certified_release(&published);
    certified_release(&made);
}

/* The laws of the synthetic studies fitted without batches; answers by R 4.2 lm at 15 digits. */
struct law { const char *name; size_t degree; bool log_response; };

static const struct law laws[] = { { "linear", 1, false }, { "quadratic", 2, false }, { "log_linear", 1, true } };

static void check_law(const struct certified_table *answers, const char *data_set, const struct law *law)
{
    struct mixed_case want = { data_set, "synthetic", "batch", "strength", "fraction", law->log_response };
    struct study study = study_read(&want, law->degree);
    struct mixed_data plain = study.data;
    plain.batch = NULL;
    struct mixed_fit fit;
    struct problem problem;
    struct lack_of_fit lack;
    CU_ASSERT_EQUAL_FATAL(mixed_fit_estimate(&plain, MIXED_LEAST_SQUARES, &fit, &problem), STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(mixed_lack_of_fit(&plain, study.group, study.n_groups, &lack), STATUS_OK);
    CU_ASSERT_TRUE(lack.available);
    const struct { const char *what; double got, bar; } checks[] = {
        { "resid_sd", sqrt(fit.var_specimen), 9 },   { "rss", fit.residual_sum_squares, 9 },
        { "df", fit.residual_df, 9 },                { "r_squared", fit.r_squared, 9 },
        { "loglik", fit.log_likelihood, 9 },         { "lack of fit F", lack.f, 9 },
        { "lack of fit df1", lack.df1, 9 },          { "lack of fit df2", lack.df2, 9 },
        { "lack of fit p", lack.p, 9 },
    };
    char label[64];
    for (size_t i = 0; i < sizeof checks / sizeof *checks; i++) {
        snprintf(label, sizeof label, "%s %s", law->name, checks[i].what);
        certified_check(data_set, label, checks[i].got, answer(answers, data_set, "law", law->name, checks[i].what),
                        checks[i].bar);
    }
    if (!law->log_response) { /* batches left out whole, coefficients by least squares */
        double rmse = NAN;
        CU_ASSERT_EQUAL(mixed_leave_one_batch_out(&study.data, &fit, NULL, &rmse), STATUS_OK);
        snprintf(label, sizeof label, "%s leave-one-batch-out error", law->name);
        certified_check(data_set, label, rmse, answer(answers, data_set, "law", law->name, "leave out rmse"), 9);
    }
    mixed_fit_release(&fit);
    study_release(&study);
}

static const char *const made_sets[] = { "S1_balanced", "S3_zero_variance", "S4_one_per_batch", "S6_log_response" };

static void test_plain_laws(void)
{
    struct certified_table answers = certified_read("synthetic/plain-answers.csv");
    for (size_t i = 0; i < sizeof made_sets / sizeof *made_sets; i++)
        for (size_t j = 0; j < sizeof laws / sizeof *laws; j++)
            check_law(&answers, made_sets[i], &laws[j]);
    certified_release(&answers);
}

/* Fit, bounds and tolerance factors along each law's curve. */
static void check_point(const struct certified_table *answers, size_t row)
{
    const char *data_set = certified_text(answers, row, "data_set"), *law_name = certified_text(answers, row, "law");
    size_t which = strcmp(law_name, "linear") == 0 ? 0 : strcmp(law_name, "quadratic") == 0 ? 1 : 2;
    struct mixed_case want = { data_set, "synthetic", "batch", "strength", "fraction", laws[which].log_response };
    struct study study = study_read(&want, laws[which].degree);
    study.data.batch = NULL;
    struct mixed_fit fit = study_fit(&study, MIXED_LEAST_SQUARES);
    double x = certified_number(answers, row, "fraction"), combination[3] = { 1, x, x * x }, variance, df;
    struct contrast contrast;
    mixed_fit_contrast(&fit, combination, &contrast);
    mixed_fit_prediction(&fit, combination, 1, &variance, &df);
    double lower = contrast.estimate - t_quantile(0.95, contrast.df) * contrast.std_error;
    double predicted = contrast.estimate - t_quantile(0.975, df) * sqrt(variance);
    double k = tolerance_factor(fit.var_specimen / contrast.variance_mean, contrast.df, 0.95, 0.95);
    char label[96];
    const struct { const char *what; double got, bar; } checks[] = {
        { "fit", contrast.estimate, 9 },         { "se", contrast.std_error, 9 },
        { "lower_confidence", lower, 9 },        { "tolerance_k", k, 9 },
        { "lower_prediction", predicted, 9 },
    };
    for (size_t i = 0; i < sizeof checks / sizeof *checks; i++) {
        snprintf(label, sizeof label, "%s at %g %s", law_name, x, checks[i].what);
        certified_check(data_set, label, checks[i].got, certified_number(answers, row, checks[i].what), checks[i].bar);
    }
    check_close("the margin is the same bound", mixed_fit_tolerance_margin(&fit, combination, 0.95, 0.95),
                k * sqrt(fit.var_specimen), 1e-12);
    mixed_fit_release(&fit);
    study_release(&study);
}

static void test_curves(void)
{
    struct certified_table answers = certified_read("synthetic/curve-answers.csv");
    CU_ASSERT_EQUAL(answers.n_rows, 48);
    for (size_t row = 0; row < answers.n_rows; row++)
        check_point(&answers, row);
    certified_release(&answers);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "random batch effects", test_random_batch },
        { "laws by least squares", test_plain_laws },
        { "bounds along curves", test_curves },
    };
    return check_run("certified mixed", cases, sizeof cases / sizeof *cases);
}
