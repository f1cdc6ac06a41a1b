#ifndef ANALYSIS_SRC_COEFFICIENT_H
#define ANALYSIS_SRC_COEFFICIENT_H

#include "analysis/curve.h"

/* Estimate, standard error, t test against zero and two-sided limits of a contrast. Leaves row->name. */
void coefficient_test(const struct contrast *contrast, double confidence, struct coefficient_row *row);

#endif
