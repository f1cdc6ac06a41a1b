#include "stats/mixed.h"

#include "base/memory.h"
#include "stats/mixed_careful.h"
#include "stats/mixed_design.h"
#include "stats/mixed_information.h"
#include "stats/mixed_profile.h"
#include "stats/mixed_sums.h"
#include "stats/triangle.h"

#include <math.h>
#include <string.h>

/* Above this condition number of the scaled terms, digits are worth a second, careful look. */
static const double CAREFUL_CONDITION = 1e3;

/* Below this share of the response's variance the results inside each batch count as identical. */
static const double IDENTICAL = 1e-17;

/* Turns a direction of the stored columns into one of the caller's. */
static void unscale(const struct mixed_sums *sums, double *direction)
{
    double constant = 0;
    for (size_t k = 0; k < sums->n_terms; k++) {
        direction[k] /= sums->scale[k];
        if (k != sums->constant)
            constant -= direction[k] * sums->centre[k];
    }
    if (sums->constant < sums->n_terms)
        direction[sums->constant] += constant / sums->scale[sums->constant];
}

static void fill_coefficients(const struct profile *profile, struct mixed_fit *fit)
{
    const struct mixed_sums *s = profile->sums;
    for (size_t k = 0; k < s->n_terms; k++)
        fit->coefficient[k] = profile->coefficient[k] * s->scale[s->n_terms];
    unscale(s, fit->coefficient);
    if (s->constant < s->n_terms)
        fit->coefficient[s->constant] += s->centre[s->n_terms] / s->scale[s->constant];
}

static void fill_factor(const struct profile *profile, double *factor)
{
    size_t n = profile->sums->n_terms;
    double *column = profile->row;
    for (size_t j = 0; j < n; j++) {
        memset(column, 0, n * sizeof *column);
        column[j] = 1;
        triangle_solve(profile->triangle, profile->sums->width, n, column);
        unscale(profile->sums, column);
        for (size_t k = 0; k < n; k++)
            factor[k * n + j] = column[k];
    }
}

static bool fit_reserve(struct mixed_fit *fit)
{
    size_t n = fit->n_terms;
    fit->coefficient = memory_new(n, sizeof(double));
    fit->covariance = memory_new(n * n, sizeof(double));
    fit->covariance_kr = memory_new(n * n, sizeof(double));
    fit->kr_derivatives = information_new(n);
    return fit->coefficient && fit->covariance && fit->covariance_kr && fit->kr_derivatives;
}

/*
 * When all results inside each batch are identical the specimen variance is 0
 * and the likelihood without bound; the batch means then hold all there is to know.
 */
static struct mixed_sums means_only_sums(const struct mixed_sums *all)
{
    struct mixed_sums means = *all;
    memset(means.within, 0, means.width * means.width * sizeof(double));
    for (size_t b = 0; b < means.n_blocks; b++)
        means.blocks[b].weight = 1;
    means.n_rows = means.n_batches;
    means.total_weight = (double)means.n_batches;
    means.log_weights = 0;
    return means;
}

static void fill_least_squares(struct profile *profile, struct mixed_fit *fit, bool means_only)
{
    const struct mixed_sums *s = profile->sums;
    size_t n = s->n_terms;
    struct information information = information_of(fit->kr_derivatives, n);
    profile_evaluate(profile, 0);
    double df = (double)s->n_rows - (double)n, scale = s->scale[n];
    double variance = profile->point.squares * scale * scale / df;
    fit->log_likelihood_reml = -profile_criterion(profile, true) / 2;
    fit->log_likelihood = -profile_criterion(profile, false) / 2;
    fit->criterion = -2 * (fit->method == MIXED_ML ? fit->log_likelihood : fit->log_likelihood_reml);
    fit->has_batch_effect = means_only;
    *(means_only ? &fit->var_batch : &fit->var_specimen) = variance;
    fit->variance_covariance[means_only ? 0 : 3] = 2 * variance * variance / df;
    fill_coefficients(profile, fit);
    fill_factor(profile, information.factor);
    information_covariance(fit);
}

static enum status fit_mixed(struct profile *profile, struct mixed_fit *fit)
{
    const struct mixed_sums *s = profile->sums;
    size_t n = s->n_terms;
    double ratio_restricted = profile_minimise(profile, true), ratio_full = profile_minimise(profile, false);
    if (!(isfinite(ratio_restricted) && isfinite(ratio_full)))
        return STATUS_NUMERIC;
    profile_evaluate(profile, ratio_full);
    fit->log_likelihood = -profile_criterion(profile, false) / 2;
    profile_evaluate(profile, ratio_restricted);
    fit->log_likelihood_reml = -profile_criterion(profile, true) / 2;
    bool full = fit->method == MIXED_ML;
    if (full)
        profile_evaluate(profile, ratio_full);
    double df = (double)s->n_rows - (full ? 0 : (double)n), scale = s->scale[n];
    fit->criterion = -2 * (full ? fit->log_likelihood : fit->log_likelihood_reml);
    fit->has_batch_effect = true;
    fit->var_specimen = profile->point.squares * scale * scale / df;
    fit->var_batch = profile->point.ratio * fit->var_specimen;
    fit->at_boundary = profile->point.ratio == 0;
    fill_coefficients(profile, fit);
    struct information information = information_of(fit->kr_derivatives, n);
    fill_factor(profile, information.factor);
    enum status status = information_fill(profile, fit->var_specimen, &information, fit->variance_covariance);
    if (status != STATUS_OK)
        return status;
    information_covariance(fit);
    return STATUS_OK;
}

/* Least squares, of the rows or (means_only) of the batch means. */
static enum status fit_plain(const struct mixed_data *data, struct profile *profile, struct mixed_fit *fit,
                             bool means_only, struct problem *problem)
{
    const struct mixed_sums *all = profile->sums;
    struct mixed_sums means;
    if (means_only) {
        means = means_only_sums(all);
        profile->sums = &means;
    }
    profile_stack(profile, 0);
    enum status status = design_check_rank(data, profile, problem);
    if (status == STATUS_OK)
        fill_least_squares(profile, fit, means_only);
    profile->sums = all;
    return status;
}

static enum status fit_summed(const struct mixed_data *data, struct profile *profile,
                              struct mixed_fit *fit, bool *wants_care, struct problem *problem)
{
    const struct mixed_sums *sums = profile->sums;
    bool batches = sums->has_batches && sums->n_batches < sums->n_rows;
    if (batches && sums->n_batches <= sums->n_terms)
        return problem_set(problem, STATUS_TOO_FEW, NULL,
                           "%zu batches for %zu terms leave nothing to judge the batches' spread by: cast more batches",
                           sums->n_batches, sums->n_terms);
    profile_stack(profile, 0);
    enum status status = design_check_rank(data, profile, problem);
    if (status != STATUS_OK)
        return status;
    status = design_describe(data, profile, fit);
    if (status != STATUS_OK)
        return problem_set(problem, status, NULL, "no memory left for a fit");
    if (*wants_care && fit->condition > CAREFUL_CONDITION)
        return STATUS_OK;
    *wants_care = false;
    double inside = sums->within[sums->width * sums->width - 1];
    bool means_only = batches && inside * inside <= IDENTICAL * sums->total_weight;
    if (!batches || means_only)
        status = fit_plain(data, profile, fit, means_only, problem);
    else if ((status = fit_mixed(profile, fit)) != STATUS_OK)
        problem_set(problem, status, NULL, status == STATUS_MEMORY ? "no memory left for a fit" : "the spread of the batches could not be estimated");
    if (status == STATUS_OK)
        design_explain(profile, fit);
    return status;
}

/* Fits; with *wants_care it stops after the condition when that is bad, and leaves *wants_care true. */
static enum status fit_once(const struct mixed_data *data, enum mixed_method method, struct mixed_fit *fit,
                            bool *wants_care, struct problem *problem)
{
    struct mixed_sums sums;
    *fit = (struct mixed_fit){.method = method, .n_rows = data->n_rows, .n_terms = data->n_terms,
                              .residual_df = (double)data->n_rows - (double)data->n_terms};
    enum status status = mixed_sums_build(data, method != MIXED_LEAST_SQUARES, &sums, problem);
    if (status == STATUS_OK) {
        struct profile profile;
        fit->n_batches = sums.has_batches ? sums.n_batches : 0;
        if (profile_open(&sums, &profile) && fit_reserve(fit))
            status = fit_summed(data, &profile, fit, wants_care, problem);
        else
            status = problem_set(problem, STATUS_MEMORY, NULL, "no memory left for a fit");
        profile_close(&profile);
    }
    mixed_sums_release(&sums);
    if (status != STATUS_OK)
        mixed_fit_release(fit);
    return status;
}

/* The same fit in terms made orthogonal beforehand, turned back into the caller's terms. */
static enum status fit_carefully(const struct mixed_data *data, enum mixed_method method, double condition,
                                 struct mixed_fit *fit, struct problem *problem)
{
    struct careful_terms terms;
    enum status status = careful_terms_build(data, &terms);
    if (status == STATUS_OK) {
        bool wants_care = false;
        status = fit_once(&terms.data, method, fit, &wants_care, problem);
        if (status == STATUS_OK) {
            fit->condition = condition;
            careful_terms_turn_back(&terms, fit);
        }
    } else {
        problem_set(problem, status, NULL, "no memory left for a fit");
    }
    careful_terms_release(&terms);
    return status;
}

enum status mixed_fit_estimate(const struct mixed_data *data, enum mixed_method method,
                               struct mixed_fit *fit, struct problem *problem)
{
    bool wants_care = careful_terms_allowed(data);
    enum status status = fit_once(data, method, fit, &wants_care, problem);
    if (status != STATUS_OK || !wants_care)
        return status;
    double condition = fit->condition;
    mixed_fit_release(fit);
    return fit_carefully(data, method, condition, fit, problem);
}

bool mixed_fit_means_only(const struct mixed_fit *fit)
{
    return fit->has_batch_effect && fit->var_specimen == 0;
}

double mixed_fit_aicc(const struct mixed_fit *fit)
{
    bool means_only = mixed_fit_means_only(fit);
    double n = (double)(means_only ? fit->n_batches : fit->n_rows);
    double k = (double)fit->n_terms + (fit->has_batch_effect && !means_only ? 2 : 1);
    if (n - k - 1 <= 0)
        return INFINITY;
    double aicc = -2 * fit->log_likelihood + 2 * k + 2 * k * (k + 1) / (n - k - 1);
    return isnan(aicc) ? -INFINITY : aicc;
}

void mixed_fit_release(struct mixed_fit *fit)
{
    memory_free(fit->coefficient);
    memory_free(fit->covariance);
    memory_free(fit->covariance_kr);
    memory_free(fit->kr_derivatives);
    memory_free(fit->leverage);
    *fit = (struct mixed_fit){0};
}
