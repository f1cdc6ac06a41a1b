#include "support/certified.h"

#include <jansson.h>

/*
 * Published data through the program as a user calls it: CSV in, --json out.
 * What the libraries reach must not be lost in reading or printing. The
 * program lies two folders above this one.
 */
static char program[512];

static double answer(const struct certified_table *answers, const char *data_set, const char *method, const char *quantity)
{
    for (size_t i = 0; i < answers->n_rows; i++)
        if (strcmp(certified_text(answers, i, "data_set"), data_set) == 0 &&
            (!method || strcmp(certified_text(answers, i, "method"), method) == 0) &&
            strcmp(certified_text(answers, i, "quantity"), quantity) == 0)
            return certified_number(answers, i, "value");
    fprintf(stderr, "no answer for %s of %s\n", quantity, data_set);
    abort();
}

/* The answer of one call; arguments are for a shell. json_decref() it. */
static json_t *call(const char *arguments)
{
    char command[2048];
    snprintf(command, sizeof command, "%s %s --json --quiet 2>/dev/null", program, arguments);
    FILE *pipe = popen(command, "r");
    json_error_t error;
    json_t *root = pipe ? json_loadf(pipe, 0, &error) : NULL;
    bool good = pipe && pclose(pipe) == 0 && root;
    if (!good)
        fprintf(stderr, "%s: failed or gave no JSON\n", command);
    CU_ASSERT_FATAL(good);
    return root;
}

static double number(const json_t *object, const char *key)
{
    const json_t *value = json_object_get(object, key);
    return json_is_number(value) ? json_number_value(value) : NAN;
}

/* The fit of a law; NULL: the first. */
static const json_t *fit_of(const json_t *root, const char *law)
{
    const json_t *fits = json_object_get(root, "fits"), *fit;
    size_t i;
    json_array_foreach(fits, i, fit)
        if (!law || strcmp(json_string_value(json_object_get(fit, "law")), law) == 0)
            return fit;
    return NULL;
}

static const json_t *term(const json_t *fit, size_t k)
{
    return json_array_get(json_object_get(fit, "coefficients"), k);
}

/* ---- NIST linear regression ---- */

static const struct { const char *name, *columns; size_t n_terms; bool intercept; } linear_cases[] = {
    { "Norris", "--on x", 2, true },
    { "Pontius", "--on x --degree 2", 3, true },
    { "NoInt1", "--on x --no-intercept", 1, false },
    { "NoInt2", "--on x --no-intercept", 1, false },
    { "Filip", "--on x --degree 10", 11, true },
    { "Longley", "--on x1 --also x2 --also x3 --also x4 --also x5 --also x6", 7, true },
    { "Wampler1", "--on x --degree 5", 6, true },
    { "Wampler2", "--on x --degree 5", 6, true },
    { "Wampler3", "--on x --degree 5", 6, true },
    { "Wampler4", "--on x --degree 5", 6, true },
    { "Wampler5", "--on x --degree 5", 6, true },
};

static void test_linear_regression(void)
{
    struct certified_table answers = certified_read("nist-linreg/answers.csv");
    for (size_t i = 0; i < sizeof linear_cases / sizeof *linear_cases; i++) {
        const char *name = linear_cases[i].name;
        char arguments[256], quantity[32];
        snprintf(arguments, sizeof arguments, "fit " CERTIFIED_DATA "nist-linreg/%s.csv --response y %s", name, linear_cases[i].columns);
        json_t *root = call(arguments);
        const json_t *fit = fit_of(root, NULL);
        CU_ASSERT_EQUAL(json_array_size(json_object_get(fit, "coefficients")), linear_cases[i].n_terms);
        for (size_t k = 0; k < linear_cases[i].n_terms; k++) {
            snprintf(quantity, sizeof quantity, "B%zu", k + !linear_cases[i].intercept);
            certified_check(name, quantity, number(term(fit, k), "estimate"), answer(&answers, name, NULL, quantity), 9);
            snprintf(quantity, sizeof quantity, "se_B%zu", k + !linear_cases[i].intercept);
            certified_check(name, quantity, number(term(fit, k), "std_error"), answer(&answers, name, NULL, quantity), 9);
        }
        certified_check(name, "residual_sd", number(fit, "residual_sd"), answer(&answers, name, NULL, "resid_sd"), 9);
        certified_check(name, "r_squared", number(fit, "r_squared"), answer(&answers, name, NULL, "r_squared"), 9);
        json_decref(root);
    }
    certified_release(&answers);
}

/* NIST/SEMATECH e-Handbook 4.6.1.5, load cell (the data of Pontius): lack of fit, published 214.7464 and 0.8107; in rational arithmetic. */
static void test_lack_of_fit(void)
{
    static const double f[2] = { 214.74692365390877, 0.8107239003096023 };
    for (size_t degree = 1; degree <= 2; degree++) {
        char arguments[128];
        snprintf(arguments, sizeof arguments, "fit " CERTIFIED_DATA "nist-linreg/Pontius.csv --response y --on x --degree %zu", degree);
        json_t *root = call(arguments);
        const json_t *lack = json_object_get(fit_of(root, NULL), "lack_of_fit");
        certified_check("load cell", degree == 1 ? "lack of fit of the line" : "lack of fit of the parabola", number(lack, "f"), f[degree - 1], 9);
        CU_ASSERT_EQUAL(number(lack, "df1"), degree == 1 ? 18 : 17);
        CU_ASSERT_EQUAL(number(lack, "df2"), 20);
        json_decref(root);
    }
}

/* ---- NIST univariate: a fit of nothing but the mean ---- */

static const struct { const char *name; double mean, sd; } univariate_cases[] = {
    { "PiDigits", 4.53480000000000, 2.86733906028871 },
    { "Lottery", 518.958715596330275, 291.699727470969084 },
    { "Mavro", 2.00185600000000, 0.000429123454003053 },
    { "NumAcc1", 10000002, 1 },
    { "NumAcc2", 1.2, 0.1 },
};

static void test_univariate(void)
{
    for (size_t i = 0; i < sizeof univariate_cases / sizeof *univariate_cases; i++) {
        char arguments[128];
        const char *name = univariate_cases[i].name;
        snprintf(arguments, sizeof arguments, "fit " CERTIFIED_DATA "nist-univariate/%s.csv --response y", name);
        json_t *root = call(arguments);
        const json_t *fit = fit_of(root, NULL);
        certified_check(name, "intercept: mean", number(term(fit, 0), "estimate"), univariate_cases[i].mean, 13);
        certified_check(name, "residual_sd: sd", number(fit, "residual_sd"), univariate_cases[i].sd, 13);
        json_decref(root);
    }
}

/* ---- NIST analysis of variance: compare for F, fit with batches for the variances ---- */

static const struct { const char *name; double f, var_within, var_between, bar_f, bar_within, bar_between; } anova_cases[] = {
    { "SiRstv", 1.18046237440254751, 2.16636560000000E-01 / 20, 0.00039094748, 13.1, 13.1, 12.3 },
    { "SmLs01", 21, 0.01, 0.00952380952380952381, 13, 13, 13 },
    { "SmLs02", 201, 0.01, 0.00995024875621890547, 13, 13, 13 },
    { "SmLs03", 2001, 0.01, 0.00999500249875062469, 13, 13, 13 },
    { "SmLs04", 21, 0.01, 0.00952380952380952381, 10.4, 10.3, 10.0 },
    { "SmLs05", 201, 0.01, 0.00995024875621890547, 10.2, 10.3, 9.9 },
    { "SmLs06", 2001, 0.01, 0.00999500249875062469, 10.2, 10.3, 9.9 },
};

static double square(double x)
{
    return x * x;
}

static void test_analysis_of_variance(void)
{
    for (size_t i = 0; i < sizeof anova_cases / sizeof *anova_cases; i++) {
        char arguments[256];
        const char *name = anova_cases[i].name;
        snprintf(arguments, sizeof arguments, "compare " CERTIFIED_DATA "nist-anova/%s.csv --column mix=treatment --column 'density=y[kg/m3]'", name);
        json_t *root = call(arguments);
        const json_t *means = json_object_get(json_array_get(json_object_get(root, "methods"), 0), "equal_means");
        certified_check(name, "compare: F", number(means, "f"), anova_cases[i].f, anova_cases[i].bar_f);
        json_decref(root);
        snprintf(arguments, sizeof arguments, "fit " CERTIFIED_DATA "nist-anova/%s.csv --response y --batch treatment", name);
        root = call(arguments);
        const json_t *fit = fit_of(root, NULL);
        certified_check(name, "sd_specimen squared", square(number(fit, "sd_specimen")), anova_cases[i].var_within, anova_cases[i].bar_within);
        certified_check(name, "sd_batch squared", square(number(fit, "sd_batch")), anova_cases[i].var_between, anova_cases[i].bar_between);
        json_decref(root);
    }
}

/* ---- random batches ---- */

static const struct { const char *name, *folder, *columns, *predictor; } mixed_cases[] = {
    { "Dyestuff", "mixed", "--response yield --batch batch", NULL },
    { "Dyestuff2", "mixed", "--response yield --batch batch", NULL },
    { "LoomStrength", "mixed", "--response strength --batch loom", NULL },
    { "GearBatch", "mixed", "--response diameter --batch batch", NULL },
    { "Orthodont", "mixed", "--response distance --on age --batch subject", "age" },
    { "S1_balanced", "synthetic", "--response strength --on fraction --batch batch", "fraction" },
    { "S3_zero_variance", "synthetic", "--response strength --on fraction --batch batch", "fraction" },
};

static void check_batches(const json_t *fit, const struct certified_table *answers, const char *name, const char *predictor)
{
    char quantity[64];
    certified_check(name, "sd_batch squared", square(number(fit, "sd_batch")), answer(answers, name, "REML", "var_group"), 8);
    certified_check(name, "sd_specimen squared", square(number(fit, "sd_specimen")), answer(answers, name, "REML", "var_residual"), 8);
    for (size_t k = 0; k < (predictor ? 2u : 1u); k++) {
        const char *term_name = k ? predictor : "intercept";
        snprintf(quantity, sizeof quantity, "%s estimate", term_name);
        certified_check(name, quantity, number(term(fit, k), "estimate"), answer(answers, name, "REML", quantity), 9);
        snprintf(quantity, sizeof quantity, "%s se_kr", term_name);
        certified_check(name, quantity, number(term(fit, k), "std_error"), answer(answers, name, "REML", quantity), 8);
        snprintf(quantity, sizeof quantity, "%s df_kr", term_name);
        certified_check(name, quantity, number(term(fit, k), "df"), answer(answers, name, "REML", quantity), 6);
    }
}

static void test_random_batches(void)
{
    struct certified_table published = certified_read("mixed/answers.csv"), made = certified_read("synthetic/answers.csv");
    for (size_t i = 0; i < sizeof mixed_cases / sizeof *mixed_cases; i++) {
        const struct certified_table *answers = strcmp(mixed_cases[i].folder, "mixed") == 0 ? &published : &made;
        char arguments[256];
        snprintf(arguments, sizeof arguments, "fit " CERTIFIED_DATA "%s/%s.csv %s", mixed_cases[i].folder, mixed_cases[i].name, mixed_cases[i].columns);
        json_t *root = call(arguments);
        check_batches(fit_of(root, NULL), answers, mixed_cases[i].name, mixed_cases[i].predictor);
        json_decref(root);
    }
    certified_release(&published);
    certified_release(&made);
}

/* ---- the laws, by aggregate: AICc counts the Jacobian of ln y, twice the sum of ln y, in S6 311.148055807502 (R 4.2.2) ---- */

#define AS_STUDY "--column 'compressive_strength=strength[MPa]' --column aggregate_fraction=fraction"

static void test_laws(void)
{
    static const struct { const char *name, *law; double jacobian; } cases[] = {
        { "S1_balanced", "linear", 0 }, { "S3_zero_variance", "linear", 0 }, { "S6_log_response", "exponential", 311.148055807502 },
    };
    struct certified_table answers = certified_read("synthetic/answers.csv");
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char arguments[256];
        snprintf(arguments, sizeof arguments, "fit " CERTIFIED_DATA "synthetic/%s.csv " AS_STUDY, cases[i].name);
        json_t *root = call(arguments);
        const json_t *fit = fit_of(root, cases[i].law);
        check_batches(fit, &answers, cases[i].name, "fraction");
        certified_check(cases[i].name, "aicc", number(fit, "aicc"),
                        answer(&answers, cases[i].name, "ML", "aicc") + cases[i].jacobian, 9);
        json_decref(root);
    }
    certified_release(&answers);
}

int main(int argc, char **argv)
{
    static const struct check_case cases[] = {
        { "linear regression", test_linear_regression }, { "lack of fit", test_lack_of_fit },
        { "univariate", test_univariate },               { "analysis of variance", test_analysis_of_variance },
        { "random batches", test_random_batches },       { "laws", test_laws },
    };
    const char *slash = argc > 0 ? strrchr(argv[0], '/') : NULL;
    if (!slash)
        return 2;
    snprintf(program, sizeof program, "%.*s/../../plumestone", (int)(slash - argv[0]), argv[0]);
    return check_run("program", cases, sizeof cases / sizeof *cases);
}
