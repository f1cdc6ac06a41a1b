#include "analysis/growth_batches.h"

#include "base/memory.h"
#include "stats/distribution.h"

#include <math.h>

void growth_batches_release(struct age_law *law)
{
    for (size_t i = 0; i < law->n_without; i++)
        growth_fit_release(&law->without[i]);
    memory_free(law->without);
    law->without = NULL;
    law->n_without = 0;
}

/* Where the points of the batch that begins at `from` end. */
static size_t batch_end(const struct age_points *points, size_t from)
{
    size_t end = from;
    while (end < points->n_points && points->batch[end] == points->batch[from])
        end++;
    return end;
}

/* Room for the points of all batches but one. */
struct rest { double *age_days, *value; };

/* All points but those from..end-1; returns how many. */
static size_t take_rest(const struct age_points *points, size_t from, size_t end, struct rest *rest)
{
    size_t n = 0;
    for (size_t i = 0; i < points->n_points; i++) {
        if (i >= from && i < end)
            continue;
        rest->age_days[n] = points->age_days[i];
        rest->value[n++] = points->value[i];
    }
    return n;
}

static enum status fit_rests(const struct age_points *points, struct age_law *law)
{
    struct rest rest = { memory_new(points->n_points, sizeof *rest.age_days), memory_new(points->n_points, sizeof *rest.value) };
    enum status status = rest.age_days && rest.value ? STATUS_OK : STATUS_MEMORY;
    for (size_t from = 0, end; from < points->n_points && status == STATUS_OK; from = end) {
        struct problem unheard;
        end = batch_end(points, from);
        const size_t n = take_rest(points, from, end, &rest);
        status = growth_fit_estimate(law->fit.law, rest.age_days, rest.value, n, &law->without[law->n_without], &unheard);
        law->n_without += status == STATUS_OK;
    }
    memory_free(rest.age_days);
    memory_free(rest.value);
    return status;
}

/* The same where results are many: they are pooled once, and the batch's own taken out. */
static enum status fit_rests_pooled(const struct age_points *points, const struct growth_times *all, struct age_law *law)
{
    enum status status = STATUS_OK;
    for (size_t from = 0, end; from < points->n_points && status == STATUS_OK; from = end) {
        struct growth_times rest = *all;
        struct problem unheard;
        end = batch_end(points, from);
        for (size_t i = from; i < end; i++)
            growth_times_take_out(&rest, points->age_days[i], points->value[i]);
        status = growth_fit_again(&law->fit, &rest, &law->without[law->n_without], &unheard);
        law->n_without += status == STATUS_OK;
    }
    return status;
}

enum status growth_leave_batches_out(const struct age_points *points, struct age_law *law)
{
    law->repeated = points->n_points > points->n_batches;
    if (!law->repeated || points->n_batches < 2)
        return STATUS_OK;
    struct growth_times all;
    enum status status = STATUS_MEMORY;
    law->without = memory_new(points->n_batches, sizeof *law->without);
    if (law->without && growth_times_pool(&all, points->age_days, points->value, points->n_points))
        status = fit_rests_pooled(points, &all, law);
    else if (law->without)
        status = fit_rests(points, law);
    if (status != STATUS_OK)
        growth_batches_release(law); /* one batch carries the curve: nothing tells how far luck moves it */
    return status == STATUS_MEMORY ? status : STATUS_OK;
}

double growth_batches_variance(const struct age_law *law, double (*value)(const struct growth_fit *fit, double at), double at)
{
    double n = (double)law->n_without, mean = 0, squares = 0;
    for (size_t i = 0; i < law->n_without; i++)
        mean += value(&law->without[i], at) / n;
    for (size_t i = 0; i < law->n_without; i++)
        squares += pow(value(&law->without[i], at) - mean, 2);
    return n < 2 ? NAN : (n - 1) / n * squares;
}

static double log_value(const struct growth_fit *fit, double age_days)
{
    return log(growth_law_value(fit->law, fit->fit.parameter, age_days));
}

void growth_batches_interval(const struct age_law *law, double age_days, double confidence, struct growth_value *value, double *df)
{
    *df = law->fit.fit.df;
    if (!law->repeated)
        return;
    *df = law->n_without < 2 ? NAN : (double)law->n_without - 1;
    double error = sqrt(growth_batches_variance(law, log_value, age_days));
    double reach = law->n_without < 2 ? NAN : t_quantile(0.5 + confidence / 2, *df) * error;
    value->std_error = value->estimate * error;
    value->lower = value->estimate * exp(-reach);
    value->upper = value->estimate * exp(reach);
}
