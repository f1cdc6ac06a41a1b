#include "analysis/influence.h"

#include "base/memory.h"

#include <math.h>
#include <string.h>

/* Largest first; takes a place when it is larger than one that is kept. */
static void keep(struct influence *influence, const struct influence_unit *unit)
{
    size_t at = influence->n_units;
    while (at > 0 && unit->cooks_distance > influence->units[at - 1].cooks_distance)
        at--;
    if (at == INFLUENCE_UNITS)
        return;
    size_t last = influence->n_units < INFLUENCE_UNITS ? influence->n_units++ : INFLUENCE_UNITS - 1;
    memmove(&influence->units[at + 1], &influence->units[at], (last - at) * sizeof *unit);
    influence->units[at] = *unit;
}

static enum status find_units(const struct mixed_data *data, const struct mixed_fit *fit, struct influence *influence)
{
    const size_t n = data->batch ? data->n_batches : data->n_rows;
    double *distance = memory_new(n, sizeof *distance);
    struct influence_unit *units = memory_new(n, sizeof *units);
    enum status status = distance && units ? mixed_cooks_distance(data, fit, distance) : STATUS_MEMORY;
    for (size_t i = 0; status == STATUS_OK && i < n; i++)
        units[i] = (struct influence_unit){ i, data->n_rows, distance[i], NAN };
    for (size_t row = 0; status == STATUS_OK && row < data->n_rows; row++) {
        struct influence_unit *unit = &units[data->batch ? data->batch[row] : row];
        unit->row = row < unit->row ? row : unit->row;
        if (fit->leverage)
            unit->leverage = fmax(fit->leverage[row], isnan(unit->leverage) ? 0 : unit->leverage);
    }
    for (size_t i = 0; status == STATUS_OK && i < n; i++)
        if (units[i].row < data->n_rows)
            keep(influence, &units[i]);
    memory_free(distance);
    memory_free(units);
    return status;
}

/* Residuals about the fixed part, less what is expected of their batch; weighted ones are brought to one scale. */
static void fill_residuals(const struct mixed_data *data, const struct mixed_fit *fit, double *residual, double *sum, double *weight)
{
    const uint32_t *batches = fit->has_batch_effect ? data->batch : NULL;
    for (size_t row = 0; row < data->n_rows; row++) {
        residual[row] = data->response[row];
        for (size_t k = 0; k < data->n_terms; k++)
            residual[row] -= data->design[row * data->n_terms + k] * fit->coefficient[k];
        if (batches) {
            double w = data->weights ? data->weights[row] : 1;
            sum[batches[row]] += w * residual[row];
            weight[batches[row]] += w;
        }
    }
    for (size_t row = 0; row < data->n_rows; row++) {
        if (batches) {
            size_t batch = batches[row];
            residual[row] -= fit->var_batch * sum[batch] / (fit->var_specimen + fit->var_batch * weight[batch]);
        }
        residual[row] *= data->weights ? sqrt(data->weights[row]) : 1;
    }
}

static enum status judge_residuals(const struct mixed_data *data, const struct mixed_fit *fit, struct normality *result)
{
    double *residual = memory_new(data->n_rows, sizeof *residual);
    double *sum = memory_new(data->n_batches + 1, sizeof *sum), *weight = memory_new(data->n_batches + 1, sizeof *weight);
    enum status status = residual && sum && weight ? STATUS_OK : STATUS_MEMORY;
    *result = (struct normality){ NAN, NAN };
    if (status == STATUS_OK) {
        fill_residuals(data, fit, residual, sum, weight);
        status = normality_shapiro_wilk(residual, data->n_rows, result);
        if (status != STATUS_OK)
            *result = (struct normality){ NAN, NAN };
    }
    memory_free(residual);
    memory_free(sum);
    memory_free(weight);
    return status == STATUS_MEMORY ? status : STATUS_OK;
}

enum status influence_judge(const struct mixed_data *data, const struct mixed_fit *fit, struct influence *influence)
{
    *influence = (struct influence){ .by_batch = data->batch != NULL };
    enum status status = find_units(data, fit, influence);
    return status == STATUS_OK ? judge_residuals(data, fit, &influence->residuals) : status;
}

enum status influence_of_curve(const struct curve_set *curves, struct influence *influence)
{
    const struct curve *curve = curve_set_chosen(curves);
    const struct sample *sample = &curves->sample;
    *influence = (struct influence){ .residuals = { NAN, NAN } };
    if (!curve)
        return STATUS_OK;
    const size_t n_terms = law_terms(curve->law);
    double *design = memory_new(sample->n * n_terms, sizeof *design), *response = memory_new(sample->n, sizeof *response);
    enum status status = design && response ? STATUS_OK : STATUS_MEMORY;
    for (size_t i = 0; status == STATUS_OK && i < sample->n; i++) {
        double terms[3];
        law_design(curve->law, sample_x(sample, i), terms);
        memcpy(design + i * n_terms, terms, n_terms * sizeof *design);
        response[i] = law_is_log(curve->law) ? log(sample->y[i]) : sample->y[i];
    }
    const struct mixed_data data = { .n_rows = sample->n, .n_terms = n_terms, .design = design, .response = response,
                                     .batch = sample->batch, .n_batches = sample->n_batches };
    if (status == STATUS_OK)
        status = influence_judge(&data, &curve->fit, influence);
    memory_free(design);
    memory_free(response);
    return status;
}

/* ---- terms that nearly say the same ---- */

static double weight_of(const struct mixed_data *data, size_t row)
{
    return data->weights ? data->weights[row] : 1;
}

/* Sum of products of two terms about their means, or about 0 without an intercept. */
static double products(const struct mixed_data *data, size_t a, size_t b, bool centred)
{
    double weights = 0, mean_a = 0, mean_b = 0, sum = 0;
    for (size_t row = 0; centred && row < data->n_rows; row++) {
        const double *terms = data->design + row * data->n_terms;
        weights += weight_of(data, row);
        mean_a += weight_of(data, row) / weights * (terms[a] - mean_a);
        mean_b += weight_of(data, row) / weights * (terms[b] - mean_b);
    }
    for (size_t row = 0; row < data->n_rows; row++) {
        const double *terms = data->design + row * data->n_terms;
        sum += weight_of(data, row) * (terms[a] - mean_a) * (terms[b] - mean_b);
    }
    return sum;
}

static void find_partner(const struct mixed_data *data, size_t first, bool intercept, struct near_dependence *found)
{
    double own = products(data, found->term, found->term, intercept);
    for (size_t k = first; k < data->n_terms; k++) {
        if (k == found->term)
            continue;
        double correlation = products(data, found->term, k, intercept) / sqrt(own * products(data, k, k, intercept));
        if (found->with == data->n_terms || fabs(correlation) > fabs(found->correlation)) {
            found->with = k;
            found->correlation = correlation;
        }
    }
}

enum status near_dependence_find(const struct mixed_data *data, size_t first, bool intercept, struct near_dependence *found)
{
    *found = (struct near_dependence){ data->n_terms, data->n_terms, NAN, NAN };
    if (first + 2 > data->n_terms)
        return STATUS_OK;
    struct mixed_data plain = *data;
    struct mixed_fit fit;
    struct problem problem;
    plain.batch = NULL;
    plain.n_batches = 0;
    enum status status = mixed_fit_estimate(&plain, MIXED_LEAST_SQUARES, &fit, &problem);
    if (status != STATUS_OK)
        return status == STATUS_MEMORY ? status : STATUS_OK;
    for (size_t k = first; k < data->n_terms && fit.var_specimen > 0; k++) {
        double inflation = fit.covariance[k * data->n_terms + k] / fit.var_specimen * products(data, k, k, intercept);
        if (isnan(found->inflation) || inflation > found->inflation) {
            found->term = k;
            found->inflation = inflation;
        }
    }
    if (found->term < data->n_terms)
        find_partner(data, first, intercept, found);
    mixed_fit_release(&fit);
    return STATUS_OK;
}
