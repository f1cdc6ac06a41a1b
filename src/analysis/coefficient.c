#include "analysis/coefficient.h"

#include "stats/distribution.h"

void coefficient_test(const struct contrast *contrast, double confidence, struct coefficient_row *row)
{
    double reach = t_quantile((1 + confidence) / 2, contrast->df) * contrast->std_error;
    row->estimate = contrast->estimate;
    row->std_error = contrast->std_error;
    row->df = contrast->df;
    row->t = contrast->estimate / contrast->std_error;
    row->p = t_two_sided_p(row->t, contrast->df);
    row->lower = contrast->estimate - reach;
    row->upper = contrast->estimate + reach;
}
