#include "stats/proportion.h"

#include "stats/distribution.h"

#include <math.h>
#include <stdbool.h>

static bool usable(size_t passes, size_t trials, double confidence)
{
    return trials > 0 && passes <= trials && confidence > 0 && confidence < 1;
}

double proportion_lower(size_t passes, size_t trials, double confidence)
{
    if (!usable(passes, trials, confidence))
        return NAN;
    double fails = (double)(trials - passes);
    return passes == 0 ? 0 : beta_quantile(1 - confidence, (double)passes, fails + 1);
}

/* The fails' bound seen from the other side: no cancellation near 1. */
double proportion_upper(size_t passes, size_t trials, double confidence)
{
    if (!usable(passes, trials, confidence))
        return NAN;
    return 1 - proportion_lower(trials - passes, trials, confidence);
}

struct proportion proportion_limits(size_t passes, size_t trials, double confidence)
{
    struct proportion proportion = { NAN, NAN, NAN };
    if (!usable(passes, trials, confidence))
        return proportion;
    double each = 0.5 + confidence / 2;
    proportion.estimate = (double)passes / (double)trials;
    proportion.lower = proportion_lower(passes, trials, each);
    proportion.upper = proportion_upper(passes, trials, each);
    return proportion;
}

size_t proportion_trials_without_failure(double share, double confidence)
{
    if (!(share > 0 && share < 1) || !(confidence > 0 && confidence < 1))
        return 0;
    double exact = log1p(-confidence) / log(share);
    /* 0.5^1 = 0.5 must count as enough although the quotient of logarithms may come out a hair above 1. */
    double needed = ceil(exact * (1 - 1e-12));
    return needed < 1 ? 1 : needed > 1e15 ? 0 : (size_t)needed;
}
