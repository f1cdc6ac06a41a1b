#include "stats/growth.h"

#include "base/memory.h"
#include "stats/distribution.h"
#include "stats/summary.h"

#include <math.h>

#define HALF_TIMES_IN_SIGHT 100.0 /* a limit half reached only after this many times the last age is not in sight */

struct law_row {
    const char *word, *formula;
    size_t n_parameters;
    const char *parameter[GROWTH_PARAMETERS_MAX];
};

static const struct law_row laws[GROWTH_LAW_COUNT] = {
    [GROWTH_HYPERBOLIC] = { "hyperbolic", "limit * t / (half_time + t)", 2, { "limit", "half_time", NULL } },
    [GROWTH_EXPONENTIAL] = { "exponential", "limit * exp(-(time_constant / t)^shape)", 3,
                             { "limit", "time_constant", "shape" } },
    [GROWTH_ROOT_EXPONENTIAL] = { "root-exponential", "limit * exp(-sqrt(time_constant / t))", 2,
                                  { "limit", "time_constant", NULL } },
};

const char *growth_law_word(enum growth_law law) { return laws[law].word; }
const char *growth_law_formula(enum growth_law law) { return laws[law].formula; }
size_t growth_law_parameters(enum growth_law law) { return laws[law].n_parameters; }

const char *growth_law_parameter(enum growth_law law, size_t index)
{
    return index < laws[law].n_parameters ? laws[law].parameter[index] : "";
}

/* ln of value / limit, and its derivatives by the second and third parameter. */
static double log_share(enum growth_law law, const double *parameter, double t, double *by_second, double *by_third)
{
    double time = parameter[1];
    *by_third = 0;
    if (law == GROWTH_HYPERBOLIC) {
        *by_second = -1 / (time + t);
        return -log1p(time / t);
    }
    double shape = law == GROWTH_EXPONENTIAL ? parameter[2] : 0.5;
    double power = pow(time / t, shape);
    *by_second = -power * shape / time;
    *by_third = power > 0 ? -power * log(time / t) : 0;
    return -power;
}

/* Value and derivatives; no value when a parameter is not above 0. context: the law. */
static void evaluate(const double *parameter, double t, void *context, double *value, double *gradient)
{
    enum growth_law law = *(const enum growth_law *)context;
    *value = NAN;
    for (size_t j = 0; j < laws[law].n_parameters; j++)
        if (!(parameter[j] > 0))
            return;
    double by_second, by_third, share = exp(log_share(law, parameter, t, &by_second, &by_third));
    *value = parameter[0] * share;
    gradient[0] = share;
    gradient[1] = *value * by_second;
    if (laws[law].n_parameters > 2)
        gradient[2] = *value * by_third;
}

double growth_law_value(enum growth_law law, const double *parameter, double t)
{
    double value, gradient[GROWTH_PARAMETERS_MAX];
    if (t == 0)
        return 0;
    if (!(t > 0))
        return NAN;
    evaluate(parameter, t, &law, &value, gradient);
    return value;
}

/* ---- fitting ---- */

/* Where a time stands, or would be added. */
static size_t time_index(const struct growth_times *times, double t)
{
    size_t k = 0;
    while (k < times->n_times && times->t[k] != t)
        k++;
    return k;
}

bool growth_times_pool(struct growth_times *times, const double *t, const double *y, size_t n)
{
    if (n < GROWTH_RESULTS_MANY)
        return false;
    times->n_times = 0;
    times->n_results = n;
    times->squares = 0;
    for (size_t i = 0; i < n; i++) {
        size_t k = time_index(times, t[i]);
        if (k == GROWTH_TIMES_MOST)
            return false;
        if (k == times->n_times) {
            times->t[times->n_times++] = t[i];
            times->mean[k] = times->n[k] = 0;
        }
        times->squares += mean_move(&times->mean[k], y[i], ++times->n[k]);
    }
    return true;
}

void growth_times_take_out(struct growth_times *times, double t, double y)
{
    const size_t k = time_index(times, t);
    const double deviation = y - times->mean[k];
    times->n_results--;
    if (--times->n[k] > 0) {
        times->mean[k] -= deviation / times->n[k];
        times->squares = fmax(0, times->squares - deviation * (y - times->mean[k]));
        return;
    }
    times->n_times--;
    times->t[k] = times->t[times->n_times];
    times->mean[k] = times->mean[times->n_times];
    times->n[k] = times->n[times->n_times];
}

/* The data of a law, of n results one by one or, if they are not NULL, of those at times. */
static struct nonlinear_data data_of(enum growth_law *law, const double *t, const double *y, size_t n, const struct growth_times *times)
{
    struct nonlinear_data data = { .n_rows = n, .n_parameters = laws[*law].n_parameters, .x = t, .y = y, .model = evaluate,
                                   .context = law, .parameter_names = laws[*law].parameter };
    if (times) {
        data.n_rows = times->n_times;
        data.x = times->t;
        data.y = times->mean;
        data.weights = times->n;
        data.n_pooled = times->n_results - times->n_times;
        data.squares_pooled = times->squares;
    }
    return data;
}

static size_t distinct_times(const double *t, size_t n)
{
    double *sorted = memory_new(n, sizeof *sorted);
    if (!sorted)
        return 0;
    for (size_t i = 0; i < n; i++)
        sorted[i] = t[i];
    summary_sort(sorted, n);
    size_t distinct = 1;
    for (size_t i = 1; i < n; i++)
        distinct += sorted[i] != sorted[i - 1];
    memory_free(sorted);
    return distinct;
}

static enum status check_results(const double *t, const double *y, size_t n, struct problem *problem)
{
    for (size_t i = 0; i < n; i++)
        if (!(t[i] > 0) || !(y[i] > 0) || !isfinite(t[i]) || !isfinite(y[i]))
            return problem_set(problem, STATUS_NUMERIC, NULL, "growth with time needs times and values above 0");
    return STATUS_OK;
}

static enum status check_times(enum growth_law law, const struct nonlinear_data *data, struct problem *problem)
{
    const size_t n = data->n_rows + data->n_pooled, needed = laws[law].n_parameters;
    const size_t distinct = n > 0 ? distinct_times(data->x, data->n_rows) : 0;
    if (n > 0 && distinct == 0)
        return problem_set(problem, STATUS_MEMORY, NULL, "no memory left to sort the times");
    if (distinct < needed || n <= needed)
        return problem_set(problem, STATUS_TOO_FEW, NULL,
                           "the %s law needs results at %zu different times and one result more, there are %zu times and %zu results",
                           laws[law].word, needed, distinct, n);
    return STATUS_OK;
}

/* Straight line through (x, y): enough for a starting point. */
static void rough_line(const double *x, const double *y, size_t n, double *intercept, double *slope)
{
    double x_mean = summary_sum(x, n) / (double)n, y_mean = summary_sum(y, n) / (double)n, xx = 0, xy = 0;
    for (size_t i = 0; i < n; i++) {
        xx += (x[i] - x_mean) * (x[i] - x_mean);
        xy += (x[i] - x_mean) * (y[i] - y_mean);
    }
    *slope = xx > 0 ? xy / xx : 0;
    *intercept = y_mean - *slope * x_mean;
}

/* The laws made straight: t/y on t; ln y on t^(-1/2); ln(-ln(y/limit)) on ln t with a limit above all values. */
static void find_start(enum growth_law law, const double *t, const double *y, size_t n, double *x, double *z,
                       double *start)
{
    double largest = summary_of(y, n).maximum, latest = summary_of(t, n).maximum, intercept, slope;
    for (size_t i = 0; i < n; i++) {
        x[i] = law == GROWTH_HYPERBOLIC ? t[i] : law == GROWTH_EXPONENTIAL ? log(t[i]) : 1 / sqrt(t[i]);
        z[i] = law == GROWTH_HYPERBOLIC ? t[i] / y[i] : log(law == GROWTH_EXPONENTIAL ? -log(y[i] / (1.1 * largest)) : y[i]);
    }
    rough_line(x, z, n, &intercept, &slope);
    if (law == GROWTH_HYPERBOLIC) {
        start[0] = slope > 0 ? 1 / slope : 2 * largest;
        start[1] = slope > 0 && intercept > 0 ? intercept / slope : latest / 10;
    } else if (law == GROWTH_ROOT_EXPONENTIAL) {
        start[0] = slope < 0 ? exp(intercept) : 1.1 * largest;
        start[1] = slope < 0 ? slope * slope : latest / 100;
    } else {
        start[0] = 1.1 * largest;
        start[2] = slope < 0 ? -slope : 0.5;
        start[1] = exp(intercept / start[2]);
    }
}

static double time_to_half(enum growth_law law, const double *parameter)
{
    if (law == GROWTH_HYPERBOLIC)
        return parameter[1];
    double shape = law == GROWTH_EXPONENTIAL ? parameter[2] : 0.5;
    return parameter[1] / pow(log(2), 1 / shape);
}

static enum status fit_from(struct growth_fit *fit, const struct nonlinear_data *data, struct problem *problem)
{
    enum status status = nonlinear_fit_estimate(data, &fit->fit, problem);
    if (status == STATUS_OK && time_to_half(fit->law, fit->fit.parameter) > HALF_TIMES_IN_SIGHT * fit->t_max) {
        nonlinear_fit_release(&fit->fit);
        return problem_set(problem, STATUS_NUMERIC, NULL, "the values still rise in a straight line, so no limit is in sight");
    }
    return status;
}

/* The search starts from the single results. */
static enum status fit_results(struct growth_fit *fit, const double *t, const double *y, size_t n, struct nonlinear_data *data,
                               struct problem *problem)
{
    struct summary times = summary_of(t, n);
    fit->t_min = times.minimum;
    fit->t_max = times.maximum;
    double *x = memory_new(n, sizeof *x), *z = memory_new(n, sizeof *z), start[GROWTH_PARAMETERS_MAX] = { 0, 0, 0 };
    enum status status;
    if (x && z) {
        find_start(fit->law, t, y, n, x, z, start);
        data->start = start;
        status = fit_from(fit, data, problem);
    } else
        status = problem_set(problem, STATUS_MEMORY, NULL, "no memory left to fit growth with time");
    memory_free(x);
    memory_free(z);
    return status;
}

enum status growth_fit_estimate(enum growth_law law, const double *t, const double *y, size_t n,
                                struct growth_fit *fit, struct problem *problem)
{
    *fit = (struct growth_fit){ .law = law };
    enum status status = check_results(t, y, n, problem);
    if (status != STATUS_OK)
        return status;
    struct growth_times times;
    struct nonlinear_data data = data_of(&fit->law, t, y, n, growth_times_pool(&times, t, y, n) ? &times : NULL);
    status = check_times(law, &data, problem);
    return status == STATUS_OK ? fit_results(fit, t, y, n, &data, problem) : status;
}

enum status growth_fit_again(const struct growth_fit *whole, const struct growth_times *times, struct growth_fit *fit, struct problem *problem)
{
    *fit = (struct growth_fit){ .law = whole->law, .t_min = INFINITY, .t_max = -INFINITY };
    struct nonlinear_data data = data_of(&fit->law, NULL, NULL, 0, times);
    data.start = whole->fit.parameter;
    for (size_t k = 0; k < times->n_times; k++) {
        fit->t_min = fmin(fit->t_min, times->t[k]);
        fit->t_max = fmax(fit->t_max, times->t[k]);
    }
    enum status status = check_times(fit->law, &data, problem);
    return status == STATUS_OK ? fit_from(fit, &data, problem) : status;
}

void growth_fit_release(struct growth_fit *fit)
{
    nonlinear_fit_release(&fit->fit);
    *fit = (struct growth_fit){ 0 };
}

struct growth_value growth_fit_at(const struct growth_fit *fit, double t, double confidence)
{
    struct growth_value result = { NAN, NAN, NAN, NAN, !(t >= fit->t_min && t <= fit->t_max) };
    double gradient[GROWTH_PARAMETERS_MAX], variance = 0;
    enum growth_law law = fit->law;
    if (!(t > 0) || !(confidence > 0 && confidence < 1))
        return result;
    evaluate(fit->fit.parameter, t, &law, &result.estimate, gradient);
    size_t p = fit->fit.n_parameters;
    for (size_t i = 0; i < p; i++)
        for (size_t j = 0; j < p; j++)
            variance += gradient[i] * fit->fit.covariance[i * p + j] * gradient[j];
    result.std_error = sqrt(fmax(0, variance));
    double factor = exp(t_quantile(0.5 + confidence / 2, fit->fit.df) * result.std_error / result.estimate);
    result.lower = result.estimate / factor;
    result.upper = result.estimate * factor;
    return result;
}
