#include "advise/search.h"

#include "base/number.h"
#include "stats/root.h"

#include <math.h>

#define STEPS 400              /* of the walk along a tested range */
#define STEPS_FRACTILE 64      /* ... where each step costs a noncentral t; laws turn once at most, so few will do */
#define INTERVALS_MAX 32
#define FRACTION_TOLERANCE 1e-10
#define FRACTION_SHOWN 1e-3

/* A walk along the curves of one aggregate; recipe.x moves. */
struct walk {
    const struct search *search;
    struct recipe recipe;
    double low, high;          /* the range that all curves cover */
    bool costed;               /* a cost is demanded or sought */
};

static void walk_to(struct walk *walk, double x)
{
    walk->recipe.x = x;
    if (walk->costed)
        walk->recipe.cost = cost_at_fraction(walk->search, walk->recipe.aggregate, x);
}

/* The worst of all demands: at 0 or above, every one is met. */
static double walk_margin(double x, void *context)
{
    struct walk *walk = context;
    double worst = INFINITY;
    walk_to(walk, x);
    for (size_t i = 0; i < search_demands(walk->search); i++) {
        bool is_limit;
        const struct demand *demand = search_demand(walk->search, i, &is_limit);
        double margin = demand_margin(demand, is_limit, demand_assured(walk->search, &walk->recipe, demand, is_limit));
        if (isnan(margin))
            return NAN;
        worst = fmin(worst, margin);
    }
    return worst;
}

static double walk_shortfall(double x, void *context)
{
    return -walk_margin(x, context);
}

/* What is sought, turned so that less is better. */
static double walk_sought(double x, void *context)
{
    struct walk *walk = context;
    walk_to(walk, x);
    double sought = recipe_sought(walk->search, &walk->recipe);
    return walk->search->request->seek == SEEK_STRONGEST ? -sought : sought;
}

static bool walk_start(struct walk *walk, const struct search *search, uint32_t aggregate)
{
    *walk = (struct walk){ .search = search, .low = -INFINITY, .high = INFINITY, .costed = cost_needed(search) };
    walk->recipe = (struct recipe){ .aggregate = aggregate, .mix = SAMPLE_ALL, .cost = NAN };
    for (enum property property = 0; property < PROPERTY_COUNT; property++) {
        walk->recipe.curve[property] = recommendation_curve(search->answer, aggregate, property);
        if (!recommendation_uses(search->request, search->answer, property))
            continue;
        if (!walk->recipe.curve[property])
            return false;
        walk->low = fmax(walk->low, walk->recipe.curve[property]->x_min);
        walk->high = fmin(walk->high, walk->recipe.curve[property]->x_max);
    }
    return walk->low < walk->high;
}

/* Keeps x when it is truly met and better than what was kept. */
static void keep_better(struct walk *walk, double x, double *best, double *best_sought)
{
    if (!(walk_margin(x, walk) >= 0))
        return;
    double sought = walk_sought(x, walk);
    if (isnan(sought) || (!isnan(*best) && sought >= *best_sought))
        return;
    *best = x;
    *best_sought = sought;
}

/* Tested fractions are kinks of the cost, which no smooth minimiser lands on. */
static void try_tested_fractions(struct walk *walk, double *best, double *best_sought)
{
    const struct specimen_set *set = walk->search->set;
    for (size_t i = 0; i < set->n_mixes; i++) {
        double fraction = set->mixes[i].aggregate_fraction;
        if (set->mixes[i].aggregate == walk->recipe.aggregate && fraction >= walk->low && fraction <= walk->high)
            keep_better(walk, fraction, best, best_sought);
    }
}

static size_t walk_steps(const struct walk *walk)
{
    return walk->search->request->assurance.kind == ASSURANCE_FRACTILE ? STEPS_FRACTILE : STEPS;
}

/* The best x where all demands are met; NaN when there is none. */
static double walk_best(struct walk *walk)
{
    struct root_interval intervals[INTERVALS_MAX];
    size_t found = 0;
    double best = NAN, best_sought = NAN, x;
    /* Of too many intervals those kept will do. */
    (void)root_nonnegative(walk_margin, walk, walk->low, walk->high, walk_steps(walk), FRACTION_TOLERANCE, intervals, INTERVALS_MAX, &found);
    for (size_t i = 0; i < found && i < INTERVALS_MAX; i++) {
        keep_better(walk, intervals[i].low, &best, &best_sought);
        keep_better(walk, intervals[i].high, &best, &best_sought);
        if (root_minimum(walk_sought, walk, intervals[i].low, intervals[i].high, walk_steps(walk), FRACTION_TOLERANCE, &x) == STATUS_OK)
            keep_better(walk, x, &best, &best_sought);
    }
    try_tested_fractions(walk, &best, &best_sought);
    return best;
}

/* Where nothing is met: the x that comes nearest, else the middle. */
static double walk_nearest(struct walk *walk)
{
    double x;
    if (root_minimum(walk_shortfall, walk, walk->low, walk->high, walk_steps(walk), FRACTION_TOLERANCE, &x) == STATUS_OK)
        return x;
    return (walk->low + walk->high) / 2;
}

static uint32_t mix_at_fraction(const struct specimen_set *set, uint32_t aggregate, double x)
{
    for (uint32_t mix = 0; mix < set->n_mixes; mix++)
        if (set->mixes[mix].aggregate == aggregate && fabs(set->mixes[mix].aggregate_fraction - x) <= FRACTION_SAME)
            return mix;
    return SAMPLE_ALL;
}

/* Thousandths that still meet the demands: people cast what they read. */
static double fraction_to_show(struct walk *walk, double x)
{
    static const double steps[] = { FRACTION_SHOWN, FRACTION_SHOWN / 10, FRACTION_SHOWN / 100 };
    for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++) {
        double nearest = number_round(x, steps[i], false);
        double other = number_round(nearest + (nearest > x ? -steps[i] : steps[i]), steps[i], false);
        if (nearest >= walk->low && nearest <= walk->high && walk_margin(nearest, walk) >= 0)
            return nearest;
        if (other >= walk->low && other <= walk->high && walk_margin(other, walk) >= 0)
            return other;
    }
    return x;
}

/* A cost is of what is cast, and cast is the fraction that is shown; it meets the demands too. */
static void cost_as_shown(const struct search *search, struct candidate *candidate)
{
    double cost = cost_at_fraction(search, candidate->aggregate, candidate->shown_fraction);
    candidate->cost = cost;
    if (search->request->seek == SEEK_CHEAPEST)
        candidate->sought = cost;
    for (size_t i = 0; i < candidate->n_outcomes; i++)
        if (candidate->outcomes[i].demand.kind == DEMAND_COST)
            candidate->outcomes[i].estimate = candidate->outcomes[i].assured = cost;
}

bool interpolate_candidate(const struct search *search, uint32_t aggregate, struct candidate *candidate)
{
    struct walk walk;
    if (!walk_start(&walk, search, aggregate))
        return false;
    double x = walk_best(&walk);
    walk_to(&walk, isnan(x) ? walk_nearest(&walk) : x);
    walk.recipe.cost = cost_at_fraction(search, aggregate, walk.recipe.x);
    candidate_fill(search, &walk.recipe, candidate);
    candidate->at_mix = mix_at_fraction(search->set, aggregate, walk.recipe.x);
    candidate->shown_fraction = candidate->feasible ? fraction_to_show(&walk, walk.recipe.x)
                                                    : number_round(walk.recipe.x, FRACTION_SHOWN, false);
    if (candidate->feasible)
        cost_as_shown(search, candidate);
    return true;
}

enum verdict curve_verdict(const struct search *search, uint32_t aggregate, double x)
{
    struct walk walk;
    if (!walk_start(&walk, search, aggregate) || !(x >= walk.low && x <= walk.high))
        return VERDICT_UNKNOWN;
    double margin = walk_margin(x, &walk);
    return isnan(margin) ? VERDICT_UNKNOWN : margin >= 0 ? VERDICT_MEETS : VERDICT_FAILS;
}

enum status interpolate_uncertainty(const struct search *search, struct candidate *candidate, struct problem *problem)
{
    struct walk walk;
    if (!walk_start(&walk, search, candidate->aggregate))
        return STATUS_OK;
    walk_to(&walk, candidate->aggregate_fraction);
    return resample_fraction(search, &walk.recipe, walk.low, walk.high, candidate, problem);
}
