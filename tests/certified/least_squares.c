#include "stats/mixed.h"
#include "support/certified.h"

/*
 * NIST Statistical Reference Datasets, linear regression,
 * https://www.itl.nist.gov/div898/strd/ . Bars: 9 digits; the powers up to
 * 20^5 of the Wampler sets and up to x^10 of Filip are nearly dependent.
 * Wampler1 and 2 fit exactly: their spreads are 0 and digits count from 1.
 */
struct linear_case {
    const char *name;
    const char *predictors[6]; /* headings; with degree, the one whose powers are the terms */
    size_t n_predictors, degree;
    bool intercept;
};

static const double BAR = 9;

static const struct linear_case linear_cases[] = {
    { "Norris", { "x" }, 1, 1, true },
    { "Pontius", { "x" }, 1, 2, true },
    { "NoInt1", { "x" }, 1, 1, false },
    { "Longley", { "x1", "x2", "x3", "x4", "x5", "x6" }, 6, 1, true },
    { "Wampler1", { "x" }, 1, 5, true },
    { "Wampler2", { "x" }, 1, 5, true },
    { "Wampler3", { "x" }, 1, 5, true },
    { "Wampler4", { "x" }, 1, 5, true },
    { "Wampler5", { "x" }, 1, 5, true },
    { "NoInt2", { "x" }, 1, 1, false },
    { "Filip", { "x" }, 1, 10, true },
};

static double answer(const struct certified_table *answers, const char *data_set, const char *quantity)
{
    for (size_t i = 0; i < answers->n_rows; i++)
        if (strcmp(certified_text(answers, i, "data_set"), data_set) == 0 &&
            strcmp(certified_text(answers, i, "quantity"), quantity) == 0)
            return certified_number(answers, i, "value");
    fprintf(stderr, "no answer for %s of %s\n", quantity, data_set);
    abort();
}

/* Design in row-major order: intercept, then predictors or powers. */
static double *design_of(const struct certified_table *table, const struct linear_case *want, size_t *n_terms)
{
    size_t powers = want->n_predictors == 1 ? want->degree : want->n_predictors;
    *n_terms = powers + want->intercept;
    double *design = malloc(table->n_rows * *n_terms * sizeof *design);
    if (!design)
        abort();
    for (size_t row = 0; row < table->n_rows; row++) {
        double *x = design + row * *n_terms, power = 1;
        if (want->intercept)
            x[0] = 1;
        for (size_t k = 0; k < powers; k++) {
            double value = certified_number(table, row, want->predictors[want->n_predictors == 1 ? 0 : k]);
            power *= value;
            x[k + want->intercept] = want->n_predictors == 1 ? power : value;
        }
    }
    return design;
}

/* The coefficient, or standard error, with the fewest digits stands for all. */
static void check_worst(const struct linear_case *want, const struct mixed_fit *fit,
                        const struct certified_table *answers, bool errors)
{
    double worst_got = NAN, worst_want = NAN, worst = 99;
    for (size_t k = 0; k < fit->n_terms; k++) {
        char quantity[16];
        snprintf(quantity, sizeof quantity, "%sB%zu", errors ? "se_" : "", k + !want->intercept);
        double got = errors ? sqrt(fit->covariance[k * fit->n_terms + k]) : fit->coefficient[k];
        double certified = answer(answers, want->name, quantity), digits = certified_digits(got, certified);
        if (digits < worst) {
            worst = digits;
            worst_got = got;
            worst_want = certified;
        }
    }
    certified_check(want->name, errors ? "standard errors" : "coefficients", worst_got, worst_want, BAR);
}

static void check_fit(const struct linear_case *want, const struct mixed_fit *fit, const struct certified_table *answers)
{
    check_worst(want, fit, answers, false);
    check_worst(want, fit, answers, true);
    certified_check(want->name, "residual sd", sqrt(fit->var_specimen), answer(answers, want->name, "resid_sd"), BAR);
    certified_check(want->name, "residual sum of squares", fit->residual_sum_squares,
                    answer(answers, want->name, "ss_res"), BAR);
    certified_check(want->name, "R squared", fit->r_squared, answer(answers, want->name, "r_squared"), BAR);
    CU_ASSERT_EQUAL(fit->residual_df, answer(answers, want->name, "df_res"));
}

static void test_certified_values(void)
{
    struct certified_table answers = certified_read("nist-linreg/answers.csv");
    for (size_t i = 0; i < sizeof linear_cases / sizeof *linear_cases; i++) {
        const struct linear_case *want = &linear_cases[i];
        char file[64];
        snprintf(file, sizeof file, "nist-linreg/%s.csv", want->name);
        struct certified_table table = certified_read(file);
        double *response = certified_numbers(&table, "y");
        size_t n_terms;
        double *design = design_of(&table, want, &n_terms);
        struct mixed_data data = { .n_rows = table.n_rows, .n_terms = n_terms, .design = design, .response = response };
        struct mixed_fit fit;
        struct problem problem;
        enum status status = mixed_fit_estimate(&data, MIXED_LEAST_SQUARES, &fit, &problem);
        CU_ASSERT_EQUAL_FATAL(status, STATUS_OK);
        check_fit(want, &fit, &answers);
        mixed_fit_release(&fit);
        free(design);
        free(response);
        certified_release(&table);
    }
    certified_release(&answers);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "NIST linear regression", test_certified_values },
    };
    return check_run("certified least squares", cases, sizeof cases / sizeof *cases);
}
