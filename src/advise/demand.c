#include "advise/search.h"

#include <math.h>

double recipe_estimate(const struct recipe *recipe, enum property property)
{
    if (recipe->summary)
        return recipe->summary->property[property].available ? recipe->summary->property[property].mean : NAN;
    return recipe->curve[property] ? curve_value(recipe->curve[property], recipe->x) : NAN;
}

double recipe_assured(const struct search *search, const struct recipe *recipe, enum property property, int side)
{
    const struct curve *curve = recipe->curve[property];
    return curve ? bound_memo_get(&search->bounds, curve, recipe->x, &search->request->assurance, side) : NAN;
}

size_t search_demands(const struct search *search)
{
    return search->request->n_targets + search->request->n_limits;
}

const struct demand *search_demand(const struct search *search, size_t i, bool *is_limit)
{
    const struct recommend_request *request = search->request;
    *is_limit = i >= request->n_targets;
    return *is_limit ? &request->limits[i - request->n_targets] : &request->targets[i];
}

bool cost_needed(const struct search *search)
{
    bool is_limit;
    for (size_t i = 0; i < search_demands(search); i++)
        if (search_demand(search, i, &is_limit)->kind == DEMAND_COST)
            return true;
    return search->request->seek == SEEK_CHEAPEST;
}

enum property demand_property(const struct demand *demand)
{
    if (demand->kind == DEMAND_COST)
        return PROPERTY_COUNT;
    return demand->kind == DEMAND_PIECE_MASS ? PROPERTY_DENSITY : demand->property;
}

/* A density, or nothing, as the mass of the piece with its inserts. */
static double piece_mass_kg(const struct search *search, double density_kg_m3)
{
    return density_kg_m3 * search->piece_m3 + search->request->inserts_mass_kg;
}

static double in_demanded_unit(const struct search *search, const struct demand *demand, double value)
{
    return demand->kind == DEMAND_PIECE_MASS ? piece_mass_kg(search, value) : value;
}

double demand_assured(const struct search *search, const struct recipe *recipe, const struct demand *demand, bool is_limit)
{
    if (demand->kind == DEMAND_COST)
        return recipe->cost;
    double bound = recipe_assured(search, recipe, demand_property(demand), is_limit ? 1 : -1);
    return in_demanded_unit(search, demand, bound);
}

double demand_margin(const struct demand *demand, bool is_limit, double assured)
{
    double scale = demand->value == 0 ? 1 : fabs(demand->value);
    return (is_limit ? demand->value - assured : assured - demand->value) / scale;
}

double demand_property_value(const struct search *search, const struct demand *demand)
{
    if (demand->kind != DEMAND_PIECE_MASS)
        return demand->value;
    return (demand->value - search->request->inserts_mass_kg) / search->piece_m3;
}

static double demand_chance(const struct search *search, const struct recipe *recipe, const struct demand *demand, bool is_limit)
{
    enum property property = demand_property(demand);
    if (property == PROPERTY_COUNT || !recipe->curve[property])
        return NAN;
    return curve_chance(recipe->curve[property], recipe->x, demand_property_value(search, demand),
                        search->request->assurance.specimens_per_batch, is_limit ? 1 : -1);
}

void demand_judge(const struct search *search, const struct recipe *recipe, const struct demand *demand, bool is_limit,
                  struct demand_outcome *outcome)
{
    enum property property = demand_property(demand);
    outcome->demand = *demand;
    outcome->is_limit = is_limit;
    outcome->estimate = property == PROPERTY_COUNT ? recipe->cost
        : in_demanded_unit(search, demand, recipe_estimate(recipe, property));
    outcome->assured = demand_assured(search, recipe, demand, is_limit);
    outcome->met = is_limit ? outcome->assured <= demand->value : outcome->assured >= demand->value;
    const struct curve *curve = property == PROPERTY_COUNT ? NULL : recipe->curve[property];
    outcome->batches_apart = !curve || !curve->fitted || curve->fit.has_batch_effect;
    outcome->chance = demand_chance(search, recipe, demand, is_limit);
}
