#ifndef STATS_MIXED_DESIGN_H
#define STATS_MIXED_DESIGN_H

#include "stats/mixed_profile.h"

/* What the rows say whatever the variances. */

/* STATUS_NUMERIC with the dependent term and its sources named, when the triangle last stacked lacks rank. */
enum status design_check_rank(const struct mixed_data *data, const struct profile *profile, struct problem *problem);

/* Keeps the triangle last stacked (at ratio 0) and fills condition and leverage. STATUS_MEMORY */
enum status design_describe(const struct mixed_data *data, struct profile *profile, struct mixed_fit *fit);

/* Residual sum of squares about the fixed part as last evaluated, and R squared. */
void design_explain(const struct profile *profile, struct mixed_fit *fit);

#endif
