#include "stats/nonlinear.h"
#include "support/check.h"

#include "base/memory.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

static void decay(const double *b, double x, void *context, double *value, double *gradient)
{
    (void)context;
    gradient[0] = exp(-b[1] * x);
    *value = b[0] * gradient[0];
    gradient[1] = -x * *value;
}

/* The same curve with a constant that does nothing of its own: only b0 * b2 counts. */
static void decay_with_twins(const double *b, double x, void *context, double *value, double *gradient)
{
    (void)context;
    double share = exp(-b[1] * x);
    *value = b[0] * b[2] * share;
    gradient[0] = b[2] * share;
    gradient[1] = -x * *value;
    gradient[2] = b[0] * share;
}

static void line(const double *b, double x, void *context, double *value, double *gradient)
{
    (void)context;
    gradient[0] = 1;
    gradient[1] = x;
    *value = b[0] + b[1] * x;
}

static void nowhere(const double *b, double x, void *context, double *value, double *gradient)
{
    (void)context;
    gradient[0] = b[0];
    gradient[1] = x;
    *value = NAN;
}

static const double x[] = { 0, 1, 2, 3, 4, 5, 6 };
static const double y[] = { 10.1, 6.2, 3.6, 2.25, 1.41, 0.79, 0.53 };

static void test_line_is_linear_least_squares(void)
{
    const double start[] = { 50, -3 };
    struct nonlinear_data data = { .n_rows = COUNT(x), .n_parameters = 2, .x = x, .y = y, .model = line, .start = start };
    struct nonlinear_fit fit;
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(nonlinear_fit_estimate(&data, &fit, &problem), STATUS_OK);
    /* By hand: x mean 3, Sxx 28; slope = Sxy/28, intercept = y mean - 3 slope. */
    double mean = 0, xy = 0, rest = 0;
    for (size_t i = 0; i < COUNT(x); i++) {
        mean += y[i] / 7;
        xy += (x[i] - 3) * y[i];
    }
    check_close("slope", fit.parameter[1], xy / 28, 1e-12);
    check_close("intercept", fit.parameter[0], mean - 3 * xy / 28, 1e-12);
    for (size_t i = 0; i < COUNT(x); i++) {
        double r = y[i] - fit.parameter[0] - fit.parameter[1] * x[i];
        rest += r * r;
    }
    check_close("residual squares", fit.residual_sum_squares, rest, 1e-12);
    check_close("slope error", nonlinear_fit_std_error(&fit, 1), sqrt(rest / 5 / 28), 1e-12);
    check_close("covariance", fit.covariance[1], -3 * rest / 5 / 28, 1e-11);
    CU_ASSERT_EQUAL(fit.df, 5);
    nonlinear_fit_release(&fit);
}

static void test_weights_count_like_repeats(void)
{
    const double twice_x[] = { 0, 0, 1, 2, 3, 3, 3, 4, 5, 6 }, twice_y[] = { 10.1, 10.1, 6.2, 3.6, 2.25, 2.25, 2.25, 1.41, 0.79, 0.53 };
    const double weights[] = { 2, 1, 1, 3, 1, 1, 1 }, start[] = { 8, 0.3 };
    struct nonlinear_data weighted = { .n_rows = COUNT(x), .n_parameters = 2, .x = x, .y = y, .weights = weights,
                                       .model = decay, .start = start };
    struct nonlinear_data repeated = { .n_rows = COUNT(twice_x), .n_parameters = 2, .x = twice_x, .y = twice_y,
                                       .model = decay, .start = start };
    struct nonlinear_fit a, b;
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(nonlinear_fit_estimate(&weighted, &a, &problem), STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(nonlinear_fit_estimate(&repeated, &b, &problem), STATUS_OK);
    check_close("first", a.parameter[0], b.parameter[0], 1e-10);
    check_close("second", a.parameter[1], b.parameter[1], 1e-10);
    check_close("squares", a.residual_sum_squares, b.residual_sum_squares, 1e-12);
    nonlinear_fit_release(&a);
    nonlinear_fit_release(&b);
}

static void test_perfect_fit(void)
{
    double exact[COUNT(x)];
    const double start[] = { 1, 1 };
    for (size_t i = 0; i < COUNT(x); i++)
        exact[i] = 8 * exp(-0.5 * x[i]);
    struct nonlinear_data data = { .n_rows = COUNT(x), .n_parameters = 2, .x = x, .y = exact, .model = decay, .start = start };
    struct nonlinear_fit fit;
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(nonlinear_fit_estimate(&data, &fit, &problem), STATUS_OK);
    check_close("first", fit.parameter[0], 8, 1e-12);
    check_close("second", fit.parameter[1], 0.5, 1e-12);
    CU_ASSERT(fit.residual_sd < 1e-12);
    nonlinear_fit_release(&fit);
}

static void test_constants_that_cannot_be_told_apart(void)
{
    static const char *const names[] = { "height", "rate", "twin" };
    const double start[] = { 3, 0.4, 3 };
    struct nonlinear_data data = { .n_rows = COUNT(x), .n_parameters = 3, .x = x, .y = y, .model = decay_with_twins,
                                   .start = start, .parameter_names = names };
    struct nonlinear_fit fit;
    struct problem problem;
    CU_ASSERT_EQUAL(nonlinear_fit_estimate(&data, &fit, &problem), STATUS_NUMERIC);
    CU_ASSERT_PTR_NULL(fit.parameter);
    CU_ASSERT(problem.text[0] != '\0' && strstr(problem.text, "rate") == NULL);
}

static void test_refusals(void)
{
    const double start[] = { 8, 0.3 }, bad_y[] = { 1, 2, INFINITY }, negative[] = { 1, -1, 1, 1, 1, 1, 1 };
    struct nonlinear_data data = { .n_rows = 2, .n_parameters = 2, .x = x, .y = y, .model = decay, .start = start };
    struct nonlinear_fit fit;
    struct problem problem;
    CU_ASSERT_EQUAL(nonlinear_fit_estimate(&data, &fit, &problem), STATUS_TOO_FEW);
    data.n_rows = 3;
    data.y = bad_y;
    CU_ASSERT_EQUAL(nonlinear_fit_estimate(&data, &fit, &problem), STATUS_NUMERIC);
    data.n_rows = 7;
    data.y = y;
    data.weights = negative;
    CU_ASSERT_EQUAL(nonlinear_fit_estimate(&data, &fit, &problem), STATUS_NUMERIC);
    data.weights = NULL;
    data.model = nowhere;
    CU_ASSERT_EQUAL(nonlinear_fit_estimate(&data, &fit, &problem), STATUS_NUMERIC);
    data.n_parameters = 0;
    CU_ASSERT_EQUAL(nonlinear_fit_estimate(&data, &fit, &problem), STATUS_NUMERIC);
}

static void test_every_allocation_failing(void)
{
    const double start[] = { 8, 0.3 };
    struct nonlinear_data data = { .n_rows = COUNT(x), .n_parameters = 2, .x = x, .y = y, .model = decay, .start = start };
    struct nonlinear_fit fit;
    struct problem problem;
    enum status status = STATUS_MEMORY;
    unsigned long n;
    for (n = 1; n < 60 && status == STATUS_MEMORY; n++) {
        memory_fail_at(n, false);
        status = nonlinear_fit_estimate(&data, &fit, &problem);
        if (status != STATUS_OK)
            CU_ASSERT_PTR_NULL(fit.parameter);
    }
    memory_fail_at(0, false);
    CU_ASSERT(status == STATUS_OK && n > 8);
    nonlinear_fit_release(&fit);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "a line is linear least squares", test_line_is_linear_least_squares },
        { "weights count like repeats", test_weights_count_like_repeats },
        { "perfect fit", test_perfect_fit },
        { "constants that cannot be told apart", test_constants_that_cannot_be_told_apart },
        { "refusals", test_refusals },
        { "every allocation failing", test_every_allocation_failing },
    };
    return check_run("nonlinear", cases, sizeof cases / sizeof *cases);
}
