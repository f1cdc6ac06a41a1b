#include "stats/approach.h"

#include "base/memory.h"
#include "stats/distribution.h"
#include "stats/nonlinear.h"
#include "stats/root.h"
#include "stats/summary.h"

#include <math.h>

enum { PARAMETERS = 3, GRID = 60, REACH_MAX = 60 };

#define LONGEST 1e4        /* time constants in spans of the data: beyond, the curve is a straight line to the eye of any data */
#define SHORTEST 0.03      /* in shortest steps: below, all but the first result lie on the limit */

#define ROUNDING 1e-18     /* mean residual square, of values with range 1, that is left by rounding alone */

/* Results with the first time at 0 and the span 1, values centred and divided by their range. */
struct scaled {
    size_t n;
    double *t, *y;
    double *decay;              /* room for the share of the change that is left at each time */
    double centre, range, span;
    double log_least, log_most; /* of the time constant */
    double limit;               /* held while the time constant is searched; NaN: fitted too */
};

/* ---- the linear parts ---- */

/* Residual squares of the best straight line. */
static double line_squares(const double *x, const double *y, size_t n)
{
    double x_mean = summary_sum(x, n) / (double)n, y_mean = summary_sum(y, n) / (double)n, xx = 0, xy = 0, squares = 0;
    for (size_t i = 0; i < n; i++) {
        xx += (x[i] - x_mean) * (x[i] - x_mean);
        xy += (x[i] - x_mean) * (y[i] - y_mean);
    }
    for (size_t i = 0; i < n; i++) {
        double rest = y[i] - y_mean - xy / xx * (x[i] - x_mean);
        squares += rest * rest;
    }
    return squares;
}

/* Residual squares for a time constant, with limit and start fitted or only the start. */
static double squares_of(const struct scaled *data, double time_constant, double *limit, double *loss)
{
    double x_mean = 0, y_mean = 0, xx = 0, xy = 0, squares = 0;
    for (size_t i = 0; i < data->n; i++) {
        data->decay[i] = exp(-data->t[i] / time_constant);
        x_mean += data->decay[i] / (double)data->n;
        y_mean += data->y[i] / (double)data->n;
    }
    if (!isnan(data->limit)) {
        x_mean = 0;
        y_mean = data->limit;
    }
    for (size_t i = 0; i < data->n; i++) {
        double x = data->decay[i] - x_mean;
        xx += x * x;
        xy += x * (data->y[i] - y_mean);
    }
    *loss = xx > 0 ? xy / xx : 0;
    *limit = y_mean - *loss * x_mean;
    for (size_t i = 0; i < data->n; i++) {
        double rest = data->y[i] - *limit - *loss * data->decay[i];
        squares += rest * rest;
    }
    return squares;
}

static double squares_at_log(double log_time, void *context)
{
    double limit, loss;
    return squares_of(context, exp(log_time), &limit, &loss);
}

/* Smallest residual squares over all time constants; data->limit held or NaN. */
static double least_squares(struct scaled *data, double *time_constant)
{
    double log_time, limit, loss;
    if (root_minimum(squares_at_log, data, data->log_least, data->log_most, GRID, 1e-10, &log_time) != STATUS_OK)
        return NAN;
    *time_constant = exp(log_time);
    return squares_of(data, *time_constant, &limit, &loss);
}

/* ---- the fit ---- */

static void evaluate(const double *parameter, double x, void *context, double *value, double *gradient)
{
    (void)context;
    double limit = parameter[0], loss = parameter[1], time = parameter[2];
    gradient[0] = 1;
    gradient[1] = exp(-x / time);
    gradient[2] = loss * gradient[1] * x / (time * time);
    *value = time > 0 ? limit + loss * gradient[1] : NAN;
}

/* Sharpens the parameters of the search to all digits; keeps them where that finds no better point. False when memory is out. */
static bool polish(const struct scaled *data, double *parameter, double *squares)
{
    static const char *const names[] = { "limit", "loss", "time constant" };
    struct nonlinear_data curve = { .n_rows = data->n, .n_parameters = PARAMETERS, .x = data->t, .y = data->y,
                                    .model = evaluate, .start = parameter, .parameter_names = names };
    struct nonlinear_fit fit;
    struct problem unheard;
    enum status status = nonlinear_fit_estimate(&curve, &fit, &unheard);
    if (status != STATUS_OK)
        return status != STATUS_MEMORY;
    if (fit.residual_sum_squares <= *squares) {
        for (size_t i = 0; i < PARAMETERS; i++)
            parameter[i] = fit.parameter[i];
        *squares = fit.residual_sum_squares;
    }
    nonlinear_fit_release(&fit);
    return true;
}

/* ---- how far the limit may be ---- */

struct profile {
    struct scaled *data;
    double allowed; /* residual squares */
};

/* Above zero where a limit is allowed. */
static double spare_squares(double limit, void *context)
{
    struct profile *profile = context;
    double time_constant;
    profile->data->limit = limit;
    double squares = least_squares(profile->data, &time_constant);
    profile->data->limit = NAN;
    return profile->allowed - squares;
}

/* The end of the allowed limits on one side; NaN when there is none in reach. */
static double profile_end(struct profile *profile, double best, double step)
{
    struct root_point inside = { best, spare_squares(best, profile) }, outside = { best + step, spare_squares(best + step, profile) };
    double end;
    for (int i = 0; i < REACH_MAX && outside.value > 0; i++) {
        inside = outside;
        step *= 2;
        outside.x = best + step;
        outside.value = spare_squares(outside.x, profile);
    }
    bool rises = inside.x < outside.x;
    if (root_within(spare_squares, profile, rises ? inside : outside, rises ? outside : inside, 1e-12, &end) != STATUS_OK)
        return NAN;
    return end;
}

/* ---- together ---- */

static enum status check_data(const double *t, const double *y, size_t n, double confidence, struct problem *problem)
{
    if (n <= PARAMETERS)
        return problem_set(problem, STATUS_TOO_FEW, NULL, "a curve towards a limit needs 4 results or more, there are %zu", n);
    if (!(confidence >= 0.5 && confidence < 1))
        return problem_set(problem, STATUS_NUMERIC, NULL, "the confidence must be 0.5 to below 1");
    for (size_t i = 0; i < n; i++)
        if (!isfinite(t[i]) || !isfinite(y[i]) || (i > 0 && !(t[i] > t[i - 1])))
            return problem_set(problem, STATUS_NUMERIC, NULL, "a curve towards a limit needs finite values at times that rise");
    return STATUS_OK;
}

static enum status memory_out(struct problem *problem)
{
    return problem_set(problem, STATUS_MEMORY, NULL, "no memory left to fit a curve towards a limit");
}

static enum status scale_data(const double *t, const double *y, size_t n, struct scaled *data, struct problem *problem)
{
    double shortest = INFINITY;
    struct summary values = summary_of(y, n);
    *data = (struct scaled){ .n = n, .centre = values.mean, .range = values.maximum - values.minimum,
                             .span = t[n - 1] - t[0], .limit = NAN };
    data->t = memory_new(n, sizeof *data->t);
    data->y = memory_new(n, sizeof *data->y);
    data->decay = memory_new(n, sizeof *data->decay);
    if (!data->t || !data->y || !data->decay)
        return memory_out(problem);
    if (!(data->range > 0))
        return problem_set(problem, STATUS_NUMERIC, NULL, "the values do not change");
    for (size_t i = 0; i < n; i++) {
        data->t[i] = (t[i] - t[0]) / data->span;
        data->y[i] = (y[i] - data->centre) / data->range;
        shortest = i > 0 ? fmin(shortest, data->t[i] - data->t[i - 1]) : shortest;
    }
    data->log_least = log(SHORTEST * shortest);
    data->log_most = log(LONGEST);
    return STATUS_OK;
}

/* A constant, or a straight line, that does as well as the curve leaves nothing to say about a limit. */
static enum status check_shape(const struct scaled *data, double allowed, struct problem *problem)
{
    if (summary_sum_squares(data->y, data->n) <= allowed)
        return problem_set(problem, STATUS_NUMERIC, NULL, "the change is no larger than the scatter about the curve");
    if (line_squares(data->t, data->y, data->n) <= allowed)
        return problem_set(problem, STATUS_NUMERIC, NULL, "the values still change in a straight line, so no limit is in sight");
    return STATUS_OK;
}

static enum status fit_scaled(struct scaled *data, double confidence, struct approach_fit *fit, struct problem *problem)
{
    double parameter[PARAMETERS] = { 0 }, squares = least_squares(data, &parameter[2]);
    if (!isfinite(squares))
        return problem_set(problem, STATUS_NUMERIC, NULL, "no best curve towards a limit was found");
    squares = squares_of(data, parameter[2], &parameter[0], &parameter[1]);
    if (!polish(data, parameter, &squares))
        return memory_out(problem);
    fit->df = (double)(data->n - PARAMETERS);
    double t = t_quantile(0.5 + confidence / 2, fit->df), allowed = squares * (1 + t * t / fit->df);
    enum status status = check_shape(data, allowed, problem);
    if (status != STATUS_OK)
        return status;
    struct profile profile = { data, allowed };
    double step = fmax(1e-9, sqrt(squares / fit->df)), lower = parameter[0], upper = parameter[0];
    if (squares > ROUNDING * (double)data->n) {
        lower = profile_end(&profile, parameter[0], -step);
        upper = profile_end(&profile, parameter[0], step);
    }
    if (isnan(lower) || isnan(upper))
        return problem_set(problem, STATUS_NUMERIC, NULL, "the values have hardly begun to bend, so no limit is in sight");
    fit->limit = data->centre + data->range * parameter[0];
    fit->start = fit->limit + data->range * parameter[1];
    fit->time_constant = data->span * parameter[2];
    fit->residual_sd = data->range * sqrt(squares / fit->df);
    fit->limit_lower = data->centre + data->range * lower;
    fit->limit_upper = data->centre + data->range * upper;
    return STATUS_OK;
}

enum status approach_fit_estimate(const double *t, const double *y, size_t n, double confidence, struct approach_fit *fit,
                                  struct problem *problem)
{
    struct scaled data = { 0 };
    *fit = (struct approach_fit){ .n = n };
    enum status status = check_data(t, y, n, confidence, problem);
    if (status == STATUS_OK)
        status = scale_data(t, y, n, &data, problem);
    if (status == STATUS_OK)
        status = fit_scaled(&data, confidence, fit, problem);
    memory_free(data.t);
    memory_free(data.y);
    memory_free(data.decay);
    return status;
}

double approach_fit_at(const struct approach_fit *fit, double since_first)
{
    return fit->limit + (fit->start - fit->limit) * exp(-since_first / fit->time_constant);
}
