#include "advise/search.h"

#include "stats/fieller.h"

#include <math.h>
#include <string.h>

bool mix_has_results(const struct mix_summary *summary)
{
    for (enum property property = 0; property < PROPERTY_COUNT; property++)
        if (summary->property[property].available)
            return true;
    return false;
}

struct recipe recipe_of_mix(const struct search *search, uint32_t mix)
{
    const struct mix_summary *summary = &search->answer->mixes.items[mix];
    struct recipe recipe = {
        .aggregate = search->set->mixes[mix].aggregate, .mix = mix,
        .x = search->set->mixes[mix].aggregate_fraction, .summary = summary, .cost = search->costs.per_m3[mix],
    };
    for (enum property property = 0; property < PROPERTY_COUNT; property++)
        if (summary->property[property].available)
            recipe.curve[property] = &summary->property[property].curve;
    return recipe;
}

const struct curve *candidate_curve(const struct recommendation *answer, const struct candidate *candidate, enum property property)
{
    if (!candidate->interpolated) {
        const struct mix_property *result = &answer->mixes.items[candidate->mix].property[property];
        return result->available ? &result->curve : NULL;
    }
    return recommendation_curve(answer, candidate->aggregate, property);
}

const struct candidate *tested_candidate(const struct recommendation *answer, uint32_t mix)
{
    for (size_t i = 0; i < answer->n_candidates; i++)
        if (!answer->candidates[i].interpolated && answer->candidates[i].mix == mix)
            return &answer->candidates[i];
    return NULL;
}

double recipe_sought(const struct search *search, const struct recipe *recipe)
{
    switch (search->request->seek) {
    case SEEK_STRONGEST:
        return recipe_assured(search, recipe, search->answer->strength, -1);
    case SEEK_CHEAPEST:
        return recipe->cost;
    default:
        return recipe_estimate(recipe, PROPERTY_DENSITY);
    }
}

static void fill_lighter_tested(const struct mix_summary *summary, bool is_reference, struct candidate *candidate)
{
    candidate->percent_lighter = is_reference ? 0 : summary->percent_lighter.estimate;
    candidate->percent_lighter_lower = is_reference ? 0 : summary->percent_lighter.lower;
    candidate->percent_lighter_upper = is_reference ? 0 : summary->percent_lighter.upper;
}

/* Fieller's interval for a point of the density curve over the mean of the reference mix. */
static void fill_lighter_curve(const struct search *search, const struct recipe *recipe, struct candidate *candidate)
{
    const struct mix_property *reference =
        &search->answer->mixes.items[search->answer->reference].property[PROPERTY_DENSITY];
    double variance, df, density = candidate->density_kg_m3;
    candidate->percent_lighter = 100 * (1 - density / reference->mean);
    if (!recipe->curve[PROPERTY_DENSITY] || !curve_variance(recipe->curve[PROPERTY_DENSITY], recipe->x, &variance, &df))
        return;
    double reference_variance = reference->std_error * reference->std_error;
    struct fieller_input input = { density, reference->mean, variance, reference_variance, 0,
                                   fieller_df(density / reference->mean, variance, df, reference_variance, reference->df) };
    struct fieller_ratio ratio = fieller_percent_less(&input, search->request->assurance.confidence);
    if (ratio.shape != FIELLER_BOUNDED)
        return;
    candidate->percent_lighter_lower = ratio.lower;
    candidate->percent_lighter_upper = ratio.upper;
}

static void fill_lighter(const struct search *search, const struct recipe *recipe, struct candidate *candidate)
{
    candidate->percent_lighter = candidate->percent_lighter_lower = candidate->percent_lighter_upper = NAN;
    if (search->answer->reference == SAMPLE_ALL)
        return;
    if (recipe->summary)
        fill_lighter_tested(recipe->summary, recipe->mix == search->answer->reference, candidate);
    else
        fill_lighter_curve(search, recipe, candidate);
}

static void fill_density(const struct search *search, const struct recipe *recipe, struct candidate *candidate)
{
    const struct curve *curve = recipe->curve[PROPERTY_DENSITY];
    double inserts_kg = search->request->inserts_mass_kg;
    candidate->density_kg_m3 = recipe_estimate(recipe, PROPERTY_DENSITY);
    candidate->density_lower = candidate->density_upper = NAN;
    if (curve)
        curve_confidence(curve, recipe->x, search->request->assurance.confidence, &candidate->density_lower, &candidate->density_upper);
    double assured = recipe_assured(search, recipe, PROPERTY_DENSITY, 1);
    candidate->piece_mass_kg = candidate->density_kg_m3 * search->piece_m3 + inserts_kg;
    candidate->piece_mass_assured_kg = assured * search->piece_m3 + inserts_kg;
}

static void fill_counts(const struct recipe *recipe, enum property main_property, struct candidate *candidate)
{
    const struct curve *curve = recipe->curve[main_property] ? recipe->curve[main_property] : recipe->curve[PROPERTY_DENSITY];
    candidate->n_specimens = curve ? curve->n_specimens : 0;
    candidate->n_batches = curve ? curve->n_batches : 0;
}

static enum property main_property(const struct search *search)
{
    for (size_t i = 0; i < search_demands(search); i++) {
        bool is_limit;
        enum property property = demand_property(search_demand(search, i, &is_limit));
        if (property != PROPERTY_COUNT)
            return property;
    }
    return search->request->seek == SEEK_STRONGEST ? search->answer->strength : PROPERTY_DENSITY;
}

/* Pure sand or pure light aggregate has nothing beyond it. */
static int edge_of(const struct search *search, uint32_t aggregate, double x)
{
    const struct specimen_set *set = search->set;
    bool smaller = false, larger = false;
    for (size_t i = 0; i < set->n_mixes; i++) {
        if (set->mixes[i].aggregate != aggregate || !mix_has_results(&search->answer->mixes.items[i]))
            continue;
        smaller = smaller || set->mixes[i].aggregate_fraction < x - FRACTION_SAME;
        larger = larger || set->mixes[i].aggregate_fraction > x + FRACTION_SAME;
    }
    if (smaller == larger || (larger && !(x > 0)) || (smaller && !(x < 1)))
        return 0;
    return larger ? -1 : 1;
}

void candidate_fill(const struct search *search, const struct recipe *recipe, struct candidate *candidate)
{
    memset(candidate, 0, sizeof *candidate);
    candidate->interpolated = !recipe->summary;
    candidate->aggregate = recipe->aggregate;
    candidate->mix = recipe->mix;
    candidate->at_mix = SAMPLE_ALL;
    candidate->edge = edge_of(search, recipe->aggregate, recipe->x);
    candidate->aggregate_fraction = candidate->shown_fraction = recipe->x;
    candidate->fraction_lower = candidate->fraction_upper = NAN;
    candidate->cost = recipe->cost;
    candidate->sought = recipe_sought(search, recipe);
    fill_density(search, recipe, candidate);
    fill_lighter(search, recipe, candidate);
    fill_counts(recipe, main_property(search), candidate);
    candidate->feasible = !isnan(candidate->sought) && search->aggregate_wanted[recipe->aggregate];
    for (size_t i = 0; i < search_demands(search); i++) {
        bool is_limit;
        const struct demand *demand = search_demand(search, i, &is_limit);
        struct demand_outcome *outcome = &candidate->outcomes[candidate->n_outcomes++];
        demand_judge(search, recipe, demand, is_limit, outcome);
        candidate->feasible = candidate->feasible && outcome->met;
    }
}
