#include "stats/nonlinear.h"
#include "support/certified.h"

/*
 * NIST Statistical Reference Datasets, nonlinear regression, with both
 * starting points, https://www.itl.nist.gov/div898/strd/ . 11 digits are
 * certified.
 */

static void misra1a(const double *b, double x, void *context, double *value, double *gradient)
{
    (void)context;
    gradient[0] = -expm1(-b[1] * x);
    gradient[1] = b[0] * x * exp(-b[1] * x);
    *value = b[0] * gradient[0];
}

static void misra1c(const double *b, double x, void *context, double *value, double *gradient)
{
    (void)context;
    double inner = 1 + 2 * b[1] * x;
    gradient[0] = 1 - 1 / sqrt(inner);
    gradient[1] = b[0] * x * pow(inner, -1.5);
    *value = b[0] * gradient[0];
}

static void misra1d(const double *b, double x, void *context, double *value, double *gradient)
{
    (void)context;
    double inner = 1 + b[1] * x;
    gradient[0] = b[1] * x / inner;
    gradient[1] = b[0] * x / (inner * inner);
    *value = b[0] * gradient[0];
}

static void chwirut(const double *b, double x, void *context, double *value, double *gradient)
{
    (void)context;
    double below = b[1] + b[2] * x;
    *value = exp(-b[0] * x) / below;
    gradient[0] = -x * *value;
    gradient[1] = -*value / below;
    gradient[2] = -x * *value / below;
}

static void danwood(const double *b, double x, void *context, double *value, double *gradient)
{
    (void)context;
    gradient[0] = pow(x, b[1]);
    *value = b[0] * gradient[0];
    gradient[1] = *value * log(x);
}

static void eckerle(const double *b, double x, void *context, double *value, double *gradient)
{
    (void)context;
    double z = (x - b[2]) / b[1];
    gradient[0] = exp(-z * z / 2) / b[1];
    *value = b[0] * gradient[0];
    gradient[1] = *value * (z * z - 1) / b[1];
    gradient[2] = *value * z / b[1];
}

static void lanczos(const double *b, double x, void *context, double *value, double *gradient)
{
    (void)context;
    *value = 0;
    for (int j = 0; j < 6; j += 2) {
        gradient[j] = exp(-b[j + 1] * x);
        gradient[j + 1] = -b[j] * x * gradient[j];
        *value += b[j] * gradient[j];
    }
}

static void bennett(const double *b, double x, void *context, double *value, double *gradient)
{
    (void)context;
    double inner = b[1] + x;
    gradient[0] = pow(inner, -1 / b[2]);
    *value = b[0] * gradient[0];
    gradient[1] = -*value / (b[2] * inner);
    gradient[2] = *value * log(inner) / (b[2] * b[2]);
}

enum { CONSTANTS_MAX = 6 };

struct nonlinear_case {
    const char *name;
    nonlinear_model *model;
    size_t n_parameters;
    double start[2][CONSTANTS_MAX], value[CONSTANTS_MAX], std_error[CONSTANTS_MAX], rss, residual_sd;
};

static const struct nonlinear_case nonlinear_cases[] = {
    { "Misra1a", misra1a, 2, { { 500, 0.0001 }, { 250, 0.0005 } },
      { 2.3894212918E+02, 5.5015643181E-04 }, { 2.7070075241, 7.2668688436E-06 }, 1.2455138894E-01, 1.0187876330E-01 },
    { "Misra1c", misra1c, 2, { { 500, 0.0001 }, { 600, 0.0002 } },
      { 6.3642725809E+02, 2.0813627256E-04 }, { 4.6638326572, 1.7728423155E-06 }, 4.0966836971E-02, 5.8428615257E-02 },
    { "Misra1d", misra1d, 2, { { 500, 0.0001 }, { 450, 0.0003 } },
      { 4.3736970754E+02, 3.0227324449E-04 }, { 3.6489174345, 2.9334354479E-06 }, 5.6419295283E-02, 6.8568272111E-02 },
    { "Chwirut2", chwirut, 3, { { 0.1, 0.01, 0.02 }, { 0.15, 0.008, 0.010 } },
      { 1.6657666537E-01, 5.1653291286E-03, 1.2150007096E-02 },
      { 3.8303286810E-02, 6.6621605126E-04, 1.5304234767E-03 }, 5.1304802941E+02, 3.1717133040 },
    { "DanWood", danwood, 2, { { 1, 5 }, { 0.7, 4 } },
      { 7.6886226176E-01, 3.8604055871 }, { 1.8281973860E-02, 5.1726610913E-02 }, 4.3173084083E-03, 3.2853114039E-02 },
    { "Eckerle4", eckerle, 3, { { 1, 10, 500 }, { 1.5, 5, 450 } },
      { 1.5543827178, 4.0888321754, 4.5154121844E+02 },
      { 1.5408051163E-02, 4.6803020753E-02, 4.6800518816E-02 }, 1.4635887487E-03, 6.7629245447E-03 },
    { "Lanczos3", lanczos, 6, { { 1.2, 0.3, 5.6, 5.5, 6.5, 7.6 }, { 0.5, 0.7, 3.6, 4.2, 4, 6.3 } },
      { 8.6816414977E-02, 9.5498101505E-01, 8.4400777463E-01, 2.9515951832, 1.5825685901, 4.9863565084 },
      { 1.7197908859E-02, 9.7041624475E-02, 4.1488663282E-02, 1.0766312506E-01, 5.8371576281E-02, 3.4436403035E-02 },
      1.6117193594E-08, 2.9923229172E-05 },
    { "Bennett5", bennett, 3, { { -2000, 50, 0.8 }, { -1500, 45, 0.85 } },
      { -2.5235058043E+03, 4.6736564644E+01, 9.3218483193E-01 },
      { 2.9715175411E+02, 1.2448871856, 2.0272299378E-02 }, 5.2404744073E-04, 1.8629312528E-03 },
};

static void check_case_from(const struct nonlinear_case *want, size_t start)
{
    char file[64], what[64];
    snprintf(file, sizeof file, "nist-nonlinear/%s.csv", want->name);
    struct certified_table table = certified_read(file);
    double *x = certified_numbers(&table, "x"), *y = certified_numbers(&table, "y");
    struct nonlinear_data data = { .n_rows = table.n_rows, .n_parameters = want->n_parameters, .x = x, .y = y,
                                   .model = want->model, .start = want->start[start] };
    struct nonlinear_fit fit;
    struct problem problem = { .text = "" };
    enum status status = nonlinear_fit_estimate(&data, &fit, &problem);
    CU_ASSERT_EQUAL(status, STATUS_OK);
    if (status != STATUS_OK)
        fprintf(stderr, "%s from start %zu: %s\n", want->name, start + 1, problem.text);
    for (size_t j = 0; status == STATUS_OK && j < want->n_parameters; j++) {
        snprintf(what, sizeof what, "b%zu from start %zu", j + 1, start + 1);
        certified_check(want->name, what, fit.parameter[j], want->value[j], 10);
        snprintf(what, sizeof what, "error of b%zu from start %zu", j + 1, start + 1);
        certified_check(want->name, what, nonlinear_fit_std_error(&fit, j), want->std_error[j], 10);
    }
    if (status == STATUS_OK) {
        certified_check(want->name, "residual squares", fit.residual_sum_squares, want->rss, 10);
        certified_check(want->name, "residual sd", fit.residual_sd, want->residual_sd, 10);
        nonlinear_fit_release(&fit);
    }
    free(x);
    free(y);
    certified_release(&table);
}

static void test_far_start(void)
{
    for (size_t i = 0; i < sizeof nonlinear_cases / sizeof *nonlinear_cases; i++)
        check_case_from(&nonlinear_cases[i], 0);
}

static void test_near_start(void)
{
    for (size_t i = 0; i < sizeof nonlinear_cases / sizeof *nonlinear_cases; i++)
        check_case_from(&nonlinear_cases[i], 1);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "far start", test_far_start },
        { "near start", test_near_start },
    };
    return check_run("nonlinear", cases, sizeof cases / sizeof *cases);
}
