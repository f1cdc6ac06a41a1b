#include "advise/resample.h"

#include "analysis/small_system.h"

#include <math.h>
#include <string.h>

#define GRID 0x1p40           /* steps between two rungs that an edge is told by */
#define CHORDS 12
#define CHORD_NEAR 1e-7       /* steps; the point after a chord that moves so little is off by far less than a point of the grid */
#define NEIGHBOURS 4
#define PIVOT_SMALLEST 1e-12

struct refitted { double coefficient[PROPERTY_COUNT][TERMS_MAX]; };

/* Weighted least squares on the drawn batch means: what REML's coefficients are once the variances stand. */
static bool refit(const struct resample_curve *curve, const uint32_t *units, size_t n_units, double *coefficient)
{
    double sum[SHARE_ROOM] = { 0 }, matrix[TERMS_MAX][TERMS_MAX] = { { 0 } };
    const double *next = sum;
    size_t p = curve->curve->fit.n_terms;
    for (size_t u = 0; u < n_units; u++)
        for (size_t i = 0; i < SHARE_ROOM; i++)
            sum[i] += curve->shares[units[u]].part[i];
    for (size_t a = 0; a < TERMS_MAX; a++) {
        coefficient[a] = a < p ? sum[SHARE_MATRIX + a] : 0;
        for (size_t b = 0; b <= a; b++)
            matrix[a][b] = *next++;
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
    law_design(resample->curves[c].curve->law, resample->low + (resample->high - resample->low) * step / LADDER, terms);
    return dot(refitted->coefficient[c], terms);
}

/* How much an assured value has to spare; at 0 or above the demand is met. */
static double to_spare(const struct resample_demand *demand, double assured)
{
    return demand->side * (demand->threshold - assured);
}

static double to_spare_at(const struct resample *resample, const struct refitted *refitted, const struct resample_demand *demand, double step)
{
    if (demand->curve == resample->n_curves)
        return to_spare(demand, along(resample->cost, step));
    return to_spare(demand, centre_at(resample, refitted, demand->curve, step) +
                                demand->side * along(resample->curves[demand->curve].distance, step));
}

static bool met_at(const struct resample *resample, const struct refitted *refitted, double step)
{
    for (size_t d = 0; d < resample->n_demands; d++)
        if (!(to_spare_at(resample, refitted, &resample->demands[d], step) >= 0))
            return false;
    return true;
}

/* The refitted curves on the ladder, summed as dot() does. */
struct ladder { double centre[PROPERTY_COUNT][RUNGS]; };

static void ladder_fill(struct ladder *ladder, const struct resample *resample, const struct refitted *refitted)
{
    for (size_t c = 0; c < resample->n_curves; c++) {
        const struct resample_curve *curve = &resample->curves[c];
        const double *coefficient = refitted->coefficient[c];
        double constant = coefficient[0], linear = coefficient[1], square = coefficient[2];
        for (size_t i = 0; i < RUNGS; i++)
            ladder->centre[c][i] = constant + linear * curve->linear[i] + square * curve->square[i];
    }
}

/* How many demands are not met at each point of the ladder. */
static void count_unmet(const struct resample *resample, const struct ladder *ladder, double unmet[RUNGS])
{
    memset(unmet, 0, RUNGS * sizeof *unmet);
    for (size_t d = 0; d < resample->n_demands; d++) {
        const struct resample_demand *demand = &resample->demands[d];
        double side = demand->side, threshold = demand->threshold;
        if (demand->curve == resample->n_curves) {
            for (size_t i = 0; i < RUNGS; i++)
                unmet[i] += side * (threshold - resample->cost[i]) >= 0 ? 0.0 : 1.0;
            continue;
        }
        const double *centre = ladder->centre[demand->curve], *distance = resample->curves[demand->curve].distance;
        for (size_t i = 0; i < RUNGS; i++)
            unmet[i] += side * (threshold - (centre[i] + side * distance[i])) >= 0 ? 0.0 : 1.0;
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

/* Where a demand that is met at one step and not at another begins to fail, by chords; NaN when they do not close in. */
static double find_crossing(const struct resample *resample, const struct refitted *refitted, const struct resample_demand *demand,
                            double met, double unmet)
{
    double x = met, other = unmet, at_x = to_spare_at(resample, refitted, demand, x), at_other = to_spare_at(resample, refitted, demand, other);
    if (at_other >= 0)
        return unmet;
    for (int i = 0; i < CHORDS && at_x != at_other; i++) {
        double next = x - at_x * (other - x) / (at_other - at_x);
        if (!(fabs(next - met) <= 1 && fabs(next - unmet) <= 1))
            return NAN;
        if (fabs(next - x) < CHORD_NEAR)
            return next;
        other = x;
        at_other = at_x;
        x = next;
        at_x = to_spare_at(resample, refitted, demand, x);
    }
    return at_x == at_other ? x : NAN;
}

/*
 * From a step that is met towards a neighbour that is not: the last of GRID
 * points that is met. Near the first crossing of a demand one is met and the
 * next is not; where that is not found, halving finds it.
 */
static double edge_towards(const struct resample *resample, const struct refitted *refitted, double met, double unmet)
{
    double way = unmet - met, nearest = unmet, inside = 0, outside = GRID;
    for (size_t d = 0; d < resample->n_demands; d++) {
        double crossing = find_crossing(resample, refitted, &resample->demands[d], met, unmet);
        if (!((crossing - nearest) * way >= 0))
            nearest = crossing;
    }
    double point = floor(fabs(nearest - met) * GRID);
    for (int i = 0; i < NEIGHBOURS && point > inside && point < outside; i++) {
        if (met_at(resample, refitted, met + way * (point / GRID)))
            inside = point++;
        else
            outside = point--;
    }
    while (outside - inside > 1) {
        double middle = inside + floor((outside - inside) / 2);
        if (met_at(resample, refitted, met + way * (middle / GRID)))
            inside = middle;
        else
            outside = middle;
    }
    return met + way * (inside / GRID);
}

struct best { double step, sought; };

static void keep_better(struct best *best, double step, double sought)
{
    if (isnan(best->step) || sought < best->sought)
        *best = (struct best){ step, sought };
}

static void keep_edge(const struct resample *resample, const struct refitted *refitted, double met, double unmet, struct best *best)
{
    double edge = edge_towards(resample, refitted, met, unmet);
    keep_better(best, edge, sought_at(resample, refitted, edge));
}

/* sought_at() on the ladder. */
static double sought_on(const struct resample *resample, const struct ladder *ladder, size_t i)
{
    size_t c = resample->sought_curve;
    if (c == resample->n_curves)
        return resample->cost[i];
    return resample->search->request->seek == SEEK_STRONGEST ? resample->curves[c].distance[i] - ladder->centre[c][i] : ladder->centre[c][i];
}

static double best_step(const struct resample *resample, const struct refitted *refitted)
{
    struct best best = { NAN, NAN };
    struct ladder ladder;
    double unmet[RUNGS];
    ladder_fill(&ladder, resample, refitted);
    count_unmet(resample, &ladder, unmet);
    bool met = unmet[0] == 0;
    for (size_t i = 0; i <= LADDER; i++) {
        bool met_before = met;
        met = unmet[i] == 0;
        if (met)
            keep_better(&best, (double)i, sought_on(resample, &ladder, i));
        if (met && !met_before)
            keep_edge(resample, refitted, (double)i, (double)i - 1, &best);
        else if (met_before && !met)
            keep_edge(resample, refitted, (double)i - 1, (double)i, &best);
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
