#include "stats/tolerance.h"

#include "stats/distribution.h"

#include <math.h>

double tolerance_factor(double n_effective, double df, double content, double confidence)
{
    if (!(n_effective > 0) || isinf(n_effective) || !(content > 0 && content < 1))
        return NAN;
    double root = sqrt(n_effective);
    return noncentral_t_quantile(confidence, df, normal_quantile(content) * root) / root;
}
