#ifndef STATS_MIXED_INFORMATION_H
#define STATS_MIXED_INFORMATION_H

#include "stats/mixed_profile.h"

/*
 * What degrees of freedom need, kept in mixed_fit.kr_derivatives as one block.
 * factor F gives the covariance of the coefficients as var_specimen F F'. With
 * u = F' l for a combination l, the derivatives of Var(l'b) by var_batch and
 * var_specimen are u' batch_part u and u' specimen_part u; Kenward and Roger's
 * increase of the variance is u' increase u. All in the response's own units.
 */
struct information {
    double *factor, *batch_part, *specimen_part, *increase; /* n_terms^2 each */
    double *observed; /* 4: covariance of (var_batch, var_specimen) from the observed information */
    double *squares;  /* 2: mean squares of batch means (times their weight) and of specimens about them */
};

/* The block of one fit, and the parts of it. */
double *information_new(size_t n_terms);
struct information information_of(double *block, size_t n_terms);

/*
 * Fills all but factor from the point last evaluated. expected: 4, covariance
 * of (var_batch, var_specimen) from the expected information.
 * STATUS_MEMORY
 * Source: Kenward and Roger, Biometrics 53 (1997) 983-997
 */
enum status information_fill(struct profile *profile, double var_specimen, struct information *information,
                             double *expected);

/* Fills covariance and covariance_kr of a fit from its block and variances. */
void information_covariance(struct mixed_fit *fit);

#endif
