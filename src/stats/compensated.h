#ifndef STATS_COMPENSATED_H
#define STATS_COMPENSATED_H

#include <math.h>

/* A sum that carries its rounding errors along. Source: A. Neumaier, Z. angew. Math. Mech. 54 (1974) 39-51 */
struct compensated { double sum, rest; };

static inline void compensated_add(struct compensated *total, double term)
{
    double sum = total->sum + term;
    if (fabs(total->sum) >= fabs(term))
        total->rest += (total->sum - sum) + term;
    else
        total->rest += (term - sum) + total->sum;
    total->sum = sum;
}

static inline double compensated_value(const struct compensated *total)
{
    return total->sum + total->rest;
}

#endif
