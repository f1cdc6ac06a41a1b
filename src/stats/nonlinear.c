#include "stats/nonlinear.h"

#include "base/memory.h"
#include "stats/compensated.h"
#include "stats/triangle.h"

#include <float.h>
#include <string.h>

#define STEPS_MAX 2000
#define POLISH_MAX 100
#define DAMPING_MAX 1e30
#define OFFSET_CONVERGED 1e-6   /* share of the residuals that the derivatives could still explain */
#define PROMISE_SPENT 1e-9      /* below this promised share of gain, rounding decides: polish instead */
#define CONDITION_MAX 1e12
#define ROUNDING (16 * DBL_EPSILON)

/* State of the search; `triangle` is that of [J r] at `parameter`, (n_parameters + 1)^2. */
struct search {
    const struct nonlinear_data *data;
    size_t p;
    double *parameter, *trial, *step, *scale, *gradient;
    double *triangle, *damped, *block, *work;
    double rss, damping, growth;
    size_t n_steps;
};

static double root_weight(const struct nonlinear_data *data, size_t row)
{
    return data->weights ? sqrt(data->weights[row]) : 1;
}

/* Weighted residual sum of squares; INFINITY where the model has no value. */
static double residual_squares(struct search *search, const double *parameter)
{
    const struct nonlinear_data *data = search->data;
    struct compensated total = { data->squares_pooled, 0 };
    for (size_t i = 0; i < data->n_rows; i++) {
        double value;
        data->model(parameter, data->x[i], data->context, &value, search->gradient);
        double rest = root_weight(data, i) * (data->y[i] - value);
        if (!isfinite(rest))
            return INFINITY;
        compensated_add(&total, rest * rest);
    }
    return compensated_value(&total);
}

/* Triangle of [J r] at a point; the residuals enter as the last column. */
static void build_triangle(struct search *search, const double *parameter, double *triangle)
{
    const struct nonlinear_data *data = search->data;
    size_t size = search->p + 1, filled = 0;
    memset(triangle, 0, size * size * sizeof *triangle);
    for (size_t i = 0; i < data->n_rows; i++) {
        double value, weight = root_weight(data, i);
        data->model(parameter, data->x[i], data->context, &value, search->gradient);
        for (size_t j = 0; j < search->p; j++)
            search->block[j * TRIANGLE_BLOCK + filled] = weight * search->gradient[j];
        search->block[search->p * TRIANGLE_BLOCK + filled] = weight * (data->y[i] - value);
        if (++filled == TRIANGLE_BLOCK || i + 1 == data->n_rows) {
            triangle_absorb(triangle, size, search->block, filled);
            filled = 0;
        }
    }
}

static double column_norm(const double *triangle, size_t size, size_t column)
{
    double sum = 0;
    for (size_t i = 0; i <= column; i++)
        sum += triangle[i * size + column] * triangle[i * size + column];
    return sqrt(sum);
}

/* Length of the part of the residuals that lies along the derivatives. */
static double explained(const struct search *search, const double *triangle)
{
    double sum = 0;
    for (size_t i = 0; i < search->p; i++)
        sum += triangle[i * (search->p + 1) + search->p] * triangle[i * (search->p + 1) + search->p];
    return sqrt(sum);
}

static double offset(const struct search *search, const double *triangle, double rss)
{
    return rss > 0 ? explained(search, triangle) / sqrt(rss) : 0;
}

/* Step of the least squares problem [J; sqrt(damping) scale] step = [r; 0]; false when it is not finite. */
static bool find_step(struct search *search, double damping)
{
    size_t p = search->p, size = p + 1;
    memcpy(search->damped, search->triangle, size * size * sizeof *search->damped);
    if (damping > 0) {
        for (size_t j = 0; j < p; j++) /* p rows of the block, p <= TRIANGLE_BLOCK */
            for (size_t k = 0; k < size; k++)
                search->block[k * TRIANGLE_BLOCK + j] = k == j ? sqrt(damping) * search->scale[j] : 0;
        triangle_absorb(search->damped, size, search->block, p);
    }
    for (size_t j = 0; j < p; j++)
        search->step[j] = search->damped[j * size + p];
    triangle_solve(search->damped, size, p, search->step);
    bool finite = true;
    for (size_t j = 0; j < p; j++) {
        search->trial[j] = search->parameter[j] + search->step[j];
        finite &= isfinite(search->trial[j]);
    }
    return finite;
}

/* Gain in squares that the linearised problem promises for the step. */
static double promised_gain(const struct search *search)
{
    size_t p = search->p, size = p + 1;
    double sum = 0;
    for (size_t i = 0; i < p; i++) {
        double along = 0, held = search->scale[i] * search->step[i];
        for (size_t j = i; j < p; j++)
            along += search->triangle[i * size + j] * search->step[j];
        sum += along * along + 2 * search->damping * held * held;
    }
    return sum;
}

static void grow_scale(struct search *search)
{
    for (size_t j = 0; j < search->p; j++) {
        search->scale[j] = fmax(search->scale[j], column_norm(search->triangle, search->p + 1, j));
        if (search->scale[j] == 0)
            search->scale[j] = 1;
    }
}

/* One damped step, taken when it helps. False when there is nothing left to gain this way. */
static bool try_step(struct search *search)
{
    bool finite = find_step(search, search->damping);
    double promised = promised_gain(search);
    if (finite && promised <= PROMISE_SPENT * search->rss && search->damping < 1)
        return false;
    double rss = finite ? residual_squares(search, search->trial) : INFINITY;
    double ratio = (search->rss - rss) / promised;
    if (!(ratio > 1e-4)) {
        search->damping *= search->growth;
        search->growth *= 2;
        return search->damping < DAMPING_MAX;
    }
    memcpy(search->parameter, search->trial, search->p * sizeof *search->trial);
    search->rss = rss;
    double centred = 2 * ratio - 1; /* Nielsen's rule: damp less the better the promise was kept */
    search->damping *= fmax(1.0 / 3, 1 - centred * centred * centred);
    search->growth = 2;
    build_triangle(search, search->parameter, search->triangle);
    grow_scale(search);
    return true;
}

/* Full steps as long as they bring the residuals closer to a right angle with the derivatives. */
static void polish(struct search *search)
{
    size_t size = search->p + 1;
    for (int i = 0; i < POLISH_MAX && search->rss > 0; i++) {
        double before = offset(search, search->triangle, search->rss);
        if (!find_step(search, 0))
            return;
        double rss = residual_squares(search, search->trial);
        if (!isfinite(rss) || rss > search->rss * (1 + 1e-6))
            return;
        build_triangle(search, search->trial, search->damped);
        if (!(offset(search, search->damped, rss) < before))
            return;
        memcpy(search->parameter, search->trial, search->p * sizeof *search->trial);
        memcpy(search->triangle, search->damped, size * size * sizeof *search->damped);
        search->rss = rss;
    }
}

/* A curve that meets every result but for rounding: what is left has no direction that could be judged. */
static bool is_exact(const struct search *search)
{
    const struct nonlinear_data *data = search->data;
    double total = data->squares_pooled;
    for (size_t i = 0; i < data->n_rows; i++)
        total += pow(root_weight(data, i) * data->y[i], 2);
    return search->rss <= ROUNDING * ROUNDING * total;
}

static enum status run(struct search *search, struct problem *problem)
{
    memcpy(search->parameter, search->data->start, search->p * sizeof *search->parameter);
    search->rss = residual_squares(search, search->parameter);
    if (!isfinite(search->rss))
        return problem_set(problem, STATUS_NUMERIC, NULL, "the curve has no value at the starting point of the search");
    build_triangle(search, search->parameter, search->triangle);
    grow_scale(search);
    search->damping = 1e-3;
    search->growth = 2;
    while (search->n_steps < STEPS_MAX && search->rss > 0 && try_step(search))
        search->n_steps++;
    polish(search);
    if (offset(search, search->triangle, search->rss) > OFFSET_CONVERGED && !is_exact(search))
        return problem_set(problem, STATUS_NUMERIC, NULL, "no best curve was found in %zu steps", search->n_steps);
    return STATUS_OK;
}

/* ---- what the solution is worth ---- */

/* Covariance without the residual variance: one column of (J'J)^-1 at a time. */
static void fill_covariance(const struct search *search, double *covariance)
{
    size_t p = search->p, size = p + 1;
    for (size_t j = 0; j < p; j++) {
        for (size_t i = 0; i < p; i++)
            search->step[i] = i == j;
        triangle_solve_transposed(search->triangle, size, p, search->step);
        triangle_solve(search->triangle, size, p, search->step);
        for (size_t i = 0; i < p; i++)
            covariance[i * p + j] = search->step[i];
    }
}

/* Condition with every column brought to length 1. */
static double scaled_condition(const struct search *search)
{
    size_t p = search->p, size = p + 1;
    for (size_t j = 0; j < p; j++) {
        double length = column_norm(search->triangle, size, j);
        if (!(length > 0))
            return INFINITY;
        for (size_t i = 0; i < p; i++)
            search->damped[i * size + j] = i <= j ? search->triangle[i * size + j] / length : 0;
    }
    return triangle_condition(search->damped, size, p, search->work);
}

/* The parameter whose variance suffers most from its likeness to the others. */
static const char *worst_parameter(const struct search *search, const double *covariance)
{
    size_t worst = 0;
    double most = -1;
    for (size_t j = 0; j < search->p; j++) {
        double length = column_norm(search->triangle, search->p + 1, j);
        double inflation = length > 0 ? covariance[j * search->p + j] * length * length : INFINITY;
        if (!(inflation <= most)) {
            most = inflation;
            worst = j;
        }
    }
    return search->data->parameter_names ? search->data->parameter_names[worst] : "?";
}

static enum status settle(const struct search *search, struct nonlinear_fit *fit, struct problem *problem)
{
    size_t p = search->p;
    memcpy(fit->parameter, search->parameter, p * sizeof *fit->parameter);
    fit->n_iterations = search->n_steps;
    fit->residual_sum_squares = search->rss;
    fit->df = (double)(fit->n_rows - p);
    fit->residual_sd = sqrt(search->rss / fit->df);
    fit->condition = scaled_condition(search);
    if (!(fit->condition < INFINITY))
        return problem_set(problem, STATUS_NUMERIC, NULL, "the results do not settle all %zu constants of the curve", p);
    fill_covariance(search, fit->covariance);
    if (fit->condition > CONDITION_MAX)
        return problem_set(problem, STATUS_NUMERIC, NULL, "the results cannot tell '%s' from the other constants of the curve",
                           worst_parameter(search, fit->covariance));
    for (size_t i = 0; i < p * p; i++) {
        fit->covariance[i] *= fit->residual_sd * fit->residual_sd;
        if (!isfinite(fit->covariance[i]))
            return problem_set(problem, STATUS_NUMERIC, NULL, "the scatter of the curve's constants is not a finite number");
    }
    return STATUS_OK;
}

static bool search_open(struct search *search, const struct nonlinear_data *data)
{
    size_t p = data->n_parameters, size = p + 1;
    *search = (struct search){ .data = data, .p = p };
    struct { double **array; size_t n; } needs[] = {
        { &search->parameter, p }, { &search->trial, p }, { &search->step, p }, { &search->scale, p },
        { &search->gradient, p }, { &search->triangle, size * size }, { &search->damped, size * size },
        { &search->block, size * TRIANGLE_BLOCK }, { &search->work, 2 * p * p + p },
    };
    bool all = true;
    for (size_t i = 0; i < sizeof needs / sizeof *needs; i++)
        all &= (*needs[i].array = memory_new(needs[i].n, sizeof **needs[i].array)) != NULL;
    return all;
}

static void search_close(struct search *search)
{
    double *arrays[] = { search->parameter, search->trial, search->step, search->scale, search->gradient,
                         search->triangle, search->damped, search->block, search->work };
    for (size_t i = 0; i < sizeof arrays / sizeof *arrays; i++)
        memory_free(arrays[i]);
}

static enum status check_data(const struct nonlinear_data *data, struct problem *problem)
{
    size_t p = data->n_parameters;
    if (p == 0 || p > TRIANGLE_BLOCK)
        return problem_set(problem, STATUS_NUMERIC, NULL, "a curve may have 1 to %d constants", TRIANGLE_BLOCK);
    if (data->n_rows + data->n_pooled <= p)
        return problem_set(problem, STATUS_TOO_FEW, NULL, "a curve with %zu constants needs more than %zu results, there are %zu",
                           p, p, data->n_rows + data->n_pooled);
    for (size_t i = 0; i < data->n_rows; i++)
        if (!isfinite(data->x[i]) || !isfinite(data->y[i]) ||
            (data->weights && !(data->weights[i] > 0 && isfinite(data->weights[i]))))
            return problem_set(problem, STATUS_NUMERIC, NULL, "a value is not a finite number, or a weight is not above 0");
    return STATUS_OK;
}

enum status nonlinear_fit_estimate(const struct nonlinear_data *data, struct nonlinear_fit *fit, struct problem *problem)
{
    *fit = (struct nonlinear_fit){ .n_rows = data->n_rows + data->n_pooled, .n_parameters = data->n_parameters };
    enum status status = check_data(data, problem);
    if (status != STATUS_OK)
        return status;
    struct search search;
    bool opened = search_open(&search, data);
    fit->parameter = memory_new(fit->n_parameters, sizeof *fit->parameter);
    fit->covariance = memory_new(fit->n_parameters * fit->n_parameters, sizeof *fit->covariance);
    if (!opened || !fit->parameter || !fit->covariance)
        status = problem_set(problem, STATUS_MEMORY, NULL, "no memory left to fit a curve");
    if (status == STATUS_OK)
        status = run(&search, problem);
    if (status == STATUS_OK)
        status = settle(&search, fit, problem);
    search_close(&search);
    if (status != STATUS_OK)
        nonlinear_fit_release(fit);
    return status;
}

void nonlinear_fit_release(struct nonlinear_fit *fit)
{
    memory_free(fit->parameter);
    memory_free(fit->covariance);
    *fit = (struct nonlinear_fit){ 0 };
}

double nonlinear_fit_std_error(const struct nonlinear_fit *fit, size_t parameter)
{
    return sqrt(fit->covariance[parameter * fit->n_parameters + parameter]);
}
