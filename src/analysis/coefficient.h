#ifndef ANALYSIS_SRC_COEFFICIENT_H
#define ANALYSIS_SRC_COEFFICIENT_H

#include "analysis/curve.h"

/*
 * Estimate, standard error, t test against zero and two-sided limits of a
 * linear combination (n_terms numbers) of a fit's coefficients. Leaves row->name.
 */
void coefficient_test(const struct mixed_fit *fit, const double *combination, double confidence, struct coefficient_row *row);

#endif
