#include "stats/mixed_spread.h"

#include <math.h>

/* u = F' l */
static void to_unit_metric(const double *factor, const double *combination, size_t n, double *u)
{
    for (size_t j = 0; j < n; j++) {
        u[j] = 0;
        for (size_t k = 0; k < n; k++)
            u[j] += factor[k * n + j] * combination[k];
    }
}

static double quadratic(const double *u, const double *matrix, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++)
            sum += u[i] * matrix[i * n + j] * u[j];
    return sum;
}

struct spread spread_of_combination(const struct mixed_fit *fit, const double *combination)
{
    double u[MIXED_TERMS_MAX], squares = 0;
    size_t n = fit->n_terms;
    struct information information = information_of(fit->kr_derivatives, n);
    to_unit_metric(information.factor, combination, n, u);
    for (size_t k = 0; k < n; k++)
        squares += u[k] * u[k];
    if (mixed_fit_means_only(fit))
        return (struct spread){squares * fit->var_batch, squares, 0, 0};
    if (!fit->has_batch_effect)
        return (struct spread){squares * fit->var_specimen, 0, squares, 0};
    return (struct spread){squares * fit->var_specimen, quadratic(u, information.batch_part, n),
                           quadratic(u, information.specimen_part, n), quadratic(u, information.increase, n)};
}

bool single_variance_df(const struct mixed_fit *fit, double *df)
{
    *df = fit->has_batch_effect ? (double)fit->n_batches - (double)fit->n_terms : fit->residual_df;
    return !fit->has_batch_effect || mixed_fit_means_only(fit);
}

double spread_df(const struct spread *spread, const double *covariance)
{
    double b = spread->by_batch, s = spread->by_specimen;
    double variance = b * b * covariance[0] + 2 * b * s * covariance[1] + s * s * covariance[3];
    return 2 * spread->variance * spread->variance / variance;
}

void mixed_fit_contrast(const struct mixed_fit *fit, const double *combination, struct contrast *contrast)
{
    struct spread spread = spread_of_combination(fit, combination);
    double estimate = 0, df;
    for (size_t k = 0; k < fit->n_terms; k++)
        estimate += combination[k] * fit->coefficient[k];
    if (!single_variance_df(fit, &df))
        df = spread_df(&spread, fit->variance_covariance);
    double variance = spread.variance + spread.increase;
    *contrast = (struct contrast){estimate, sqrt(variance), df, variance};
}

double mixed_fit_satterthwaite_df(const struct mixed_fit *fit, const double *combination)
{
    double df;
    if (single_variance_df(fit, &df))
        return df;
    if (fit->at_boundary) /* the batch variance is then a constant 0, not a parameter */
        return fit->residual_df;
    struct spread spread = spread_of_combination(fit, combination);
    return spread_df(&spread, information_of(fit->kr_derivatives, fit->n_terms).observed);
}

void mixed_fit_prediction(const struct mixed_fit *fit, const double *combination, double m,
                          double *variance, double *df)
{
    struct spread spread = spread_of_combination(fit, combination);
    double per_batch = fit->has_batch_effect ? m : 1;
    spread.variance += fit->var_batch + fit->var_specimen / per_batch;
    spread.by_batch += 1;
    spread.by_specimen += 1 / per_batch;
    *variance = spread.variance + spread.increase;
    if (!single_variance_df(fit, df))
        *df = spread_df(&spread, fit->variance_covariance);
}

void mixed_fit_total_variance(const struct mixed_fit *fit, double *variance, double *df)
{
    struct spread spread = {fit->var_batch + fit->var_specimen, 1, 1, 0};
    *variance = spread.variance;
    if (!single_variance_df(fit, df))
        *df = spread_df(&spread, fit->variance_covariance);
}
