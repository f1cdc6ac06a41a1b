#ifndef ANALYSIS_SRC_CROSS_VALIDATION_H
#define ANALYSIS_SRC_CROSS_VALIDATION_H

#include "analysis/curve.h"

/*
 * Root mean square error of every specimen predicted by the law fitted
 * without its batch, on the scale of y (log laws: of exp(prediction)). The
 * batch and specimen variances are kept, the coefficients refitted. NaN when
 * the law cannot be fitted without some batch.
 * design    n x n_terms, response n: on the law's scale
 * STATUS_MEMORY
 * Source: docs/methods/laws.md
 */
enum status cross_validation_rmse(const struct mixed_data *data, const struct mixed_fit *fit,
                                  const double *y, bool log_response, double *rmse);

#endif
