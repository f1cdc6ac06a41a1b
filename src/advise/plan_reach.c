#include "advise/plan_parts.h"

#include "stats/root.h"

#include <math.h>

#define TOLERANCE 1e-7
#define STEPS 100
#define STRETCHES 8
#define ROUNDED 1e3 /* fractions are told to the thousandth, towards the safe side */

/* The curves of one aggregate, and the chance that is wanted of every demand. */
struct reach {
    const struct search *search;
    uint32_t aggregate;
    double power;
    size_t batches;
};

/* Least chance over the demands less that wanted, when so many batches are cast at x. */
static double least_chance(double x, void *context)
{
    const struct reach *reach = context;
    const struct search *search = reach->search;
    double least = 1;
    for (size_t i = 0; i < search_demands(search); i++) {
        bool is_limit;
        const struct demand *demand = search_demand(search, i, &is_limit);
        enum property property = demand_property(demand);
        if (property == PROPERTY_COUNT)
            continue;
        const struct curve *curve = recommendation_curve(search->answer, reach->aggregate, property);
        struct plan_scatter scatter = plan_scatter_of_curve(curve, x);
        double specimens = scatter.apart ? search->request->assurance.specimens_per_batch : 1;
        double chance = plan_chance_near(&scatter, demand_property_value(search, demand), is_limit ? 1 : -1, &search->request->assurance,
                                         (double)reach->batches, specimens);
        least = fmin(least, isnan(chance) ? 0 : chance);
    }
    return least - reach->power;
}

/* The range that all curves of the demands were tested in; false when one has none. */
static bool common_range(const struct search *search, uint32_t aggregate, double *low, double *high)
{
    *low = -INFINITY;
    *high = INFINITY;
    for (size_t i = 0; i < search_demands(search); i++) {
        bool is_limit;
        enum property property = demand_property(search_demand(search, i, &is_limit));
        const struct curve *curve = property < PROPERTY_COUNT ? recommendation_curve(search->answer, aggregate, property) : NULL;
        if (property < PROPERTY_COUNT && !curve)
            return false;
        if (curve) {
            *low = fmax(*low, curve->x_min);
            *high = fmin(*high, curve->x_max);
        }
    }
    return isfinite(*low) && isfinite(*high);
}

/* Rounded away from x, into the stretch that it begins. */
static double into_stretch(const struct root_interval *stretch, double x)
{
    if (x >= stretch->low && x <= stretch->high)
        return x;
    double rounded = x > stretch->high ? floor(stretch->high * ROUNDED) / ROUNDED : ceil(stretch->low * ROUNDED) / ROUNDED;
    return fmin(stretch->high, fmax(stretch->low, rounded));
}

static double nearest_fraction(struct reach *reach, double x, double low, double high)
{
    struct root_interval stretches[STRETCHES];
    size_t found = 0;
    double nearest = NAN;
    (void)root_nonnegative(least_chance, reach, low, high, STEPS, TOLERANCE, stretches, STRETCHES, &found); /* what it kept is enough */
    for (size_t i = 0; i < found && i < STRETCHES; i++) {
        double fraction = into_stretch(&stretches[i], x);
        if (isnan(nearest) || fabs(fraction - x) < fabs(nearest - x))
            nearest = fraction;
    }
    return nearest;
}

void plan_reach_make(const struct search *search, const struct candidate *candidate, double power, struct plan *plan)
{
    static const size_t batches[PLAN_REACHES] = { 3, 5, 10, 20 };
    struct reach reach = { .search = search, .aggregate = candidate->aggregate, .power = power };
    const struct curve *density = recommendation_curve(search->answer, candidate->aggregate, PROPERTY_DENSITY);
    double low, high, x = candidate->aggregate_fraction;
    if (!common_range(search, candidate->aggregate, &low, &high))
        return;
    for (size_t i = 0; i < PLAN_REACHES; i++) {
        reach.batches = batches[i];
        double fraction = nearest_fraction(&reach, x, low, high);
        plan->reaches[plan->n_reaches++] = (struct plan_reach){
            batches[i], fraction, density && !isnan(fraction) ? curve_value(density, fraction) : NAN
        };
    }
}
