#include "advise/resample.h"

#include "analysis/small_system.h"

#include <math.h>
#include <string.h>

#define HALVINGS 40
#define PIVOT_SMALLEST 1e-12

struct refitted { double coefficient[PROPERTY_COUNT][TERMS_MAX]; };

/* Weighted least squares on the drawn batch means: what REML's coefficients are once the variances stand. */
static bool refit(const struct resample_curve *curve, const uint32_t *units, size_t n_units, double *coefficient)
{
    double matrix[TERMS_MAX][TERMS_MAX] = { { 0 } };
    size_t p = curve->curve->fit.n_terms;
    memset(coefficient, 0, TERMS_MAX * sizeof *coefficient);
    for (size_t u = 0; u < n_units; u++) {
        size_t unit = units[u];
        const double *terms = curve->terms + unit * TERMS_MAX;
        if (isnan(curve->mean[unit]))
            continue;
        for (size_t a = 0; a < p; a++) {
            coefficient[a] += curve->weight[unit] * terms[a] * curve->mean[unit];
            for (size_t b = 0; b <= a; b++)
                matrix[a][b] += curve->weight[unit] * terms[a] * terms[b];
        }
    }
    if (!small_system_factor(matrix, p, PIVOT_SMALLEST))
        return false;
    small_system_solve(matrix, coefficient, p);
    return true;
}

static double along(const double *ladder, double step)
{
    size_t below = (size_t)step;
    double part = step - (double)below;
    return part > 0 ? ladder[below] + part * (ladder[below + 1] - ladder[below]) : ladder[below];
}

/* Terms that a law does not have get a coefficient of 0 from refit(). */
static double dot(const double *coefficient, const double *terms)
{
    return coefficient[0] * terms[0] + coefficient[1] * terms[1] + coefficient[2] * terms[2];
}
_Static_assert(TERMS_MAX == 3, "dot() adds up three terms");

static double centre_at(const struct resample *resample, const struct refitted *refitted, size_t c, double step)
{
    double terms[TERMS_MAX];
    if (step == (double)(size_t)step)
        return dot(refitted->coefficient[c], resample->curves[c].ladder_terms[(size_t)step]);
    law_design(resample->curves[c].curve->law, resample->low + (resample->high - resample->low) * step / LADDER, terms);
    return dot(refitted->coefficient[c], terms);
}

static bool demand_met(const struct resample_demand *demand, double assured)
{
    return demand->side < 0 ? assured >= demand->threshold : assured <= demand->threshold;
}

static bool met_at(const struct resample *resample, const struct refitted *refitted, double step)
{
    for (size_t d = 0; d < resample->n_demands; d++) {
        const struct resample_demand *demand = &resample->demands[d];
        double assured = demand->curve == resample->n_curves ? along(resample->cost, step)
            : centre_at(resample, refitted, demand->curve, step) + demand->side * along(resample->curves[demand->curve].distance, step);
        if (!demand_met(demand, assured))
            return false;
    }
    return true;
}

/* met_at() on every rung of the ladder. */
static void find_met_rungs(const struct resample *resample, const struct refitted *refitted, bool met[LADDER + 1])
{
    for (size_t i = 0; i <= LADDER; i++)
        met[i] = true;
    for (size_t d = 0; d < resample->n_demands; d++) {
        const struct resample_demand *demand = &resample->demands[d];
        const struct resample_curve *curve = &resample->curves[demand->curve];
        const double *coefficient = refitted->coefficient[demand->curve];
        if (demand->curve == resample->n_curves)
            for (size_t i = 0; i <= LADDER; i++)
                met[i] = met[i] && demand_met(demand, resample->cost[i]);
        else
            for (size_t i = 0; i <= LADDER; i++)
                met[i] = met[i] && demand_met(demand, dot(coefficient, curve->ladder_terms[i]) + demand->side * curve->distance[i]);
    }
}

/* What is sought, less being better; any scale that keeps the order will do. */
static double sought_at(const struct resample *resample, const struct refitted *refitted, double step)
{
    size_t c = resample->sought_curve;
    if (c == resample->n_curves)
        return along(resample->cost, step);
    double value = centre_at(resample, refitted, c, step);
    if (resample->search->request->seek == SEEK_STRONGEST)
        return along(resample->curves[c].distance, step) - value;
    return value;
}

/* From a step that is met towards a neighbour that is not: the last point that is. */
static double edge_towards(const struct resample *resample, const struct refitted *refitted, double met, double unmet)
{
    for (int i = 0; i < HALVINGS && met != unmet; i++) {
        double middle = met + (unmet - met) / 2;
        if (met_at(resample, refitted, middle))
            met = middle;
        else
            unmet = middle;
    }
    return met;
}

struct best { double step, sought; };

static void keep_better(const struct resample *resample, const struct refitted *refitted, double step, struct best *best)
{
    double sought = sought_at(resample, refitted, step);
    if (isnan(best->step) || sought < best->sought)
        *best = (struct best){ step, sought };
}

static double best_step(const struct resample *resample, const struct refitted *refitted)
{
    struct best best = { NAN, NAN };
    bool met[LADDER + 1];
    find_met_rungs(resample, refitted, met);
    for (size_t i = 0; i <= LADDER; i++) {
        double step = (double)i;
        if (met[i])
            keep_better(resample, refitted, step, &best);
        if (i > 0 && met[i] != met[i - 1])
            keep_better(resample, refitted, met[i] ? edge_towards(resample, refitted, step, step - 1)
                                                   : edge_towards(resample, refitted, step - 1, step), &best);
    }
    return best.step;
}

bool resample_best_fraction(const uint32_t *units, size_t n_units, void *context, double *values)
{
    const struct resample *resample = context;
    struct refitted refitted; /* refit fills what is read of it */
    for (size_t c = 0; c < resample->n_curves; c++)
        if (!refit(&resample->curves[c], units, n_units, refitted.coefficient[c])) // cppcheck-suppress uninitvar
            return false;
    values[0] = resample->low + (resample->high - resample->low) * best_step(resample, &refitted) / LADDER;
    return true;
}
