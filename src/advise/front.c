#include "advise/search.h"

#include "base/memory.h"

#include <math.h>
#include <stdlib.h>

#define STEPS 20 /* of 0.05 from no light aggregate to nothing else */
#define STEPS_MOST (STEPS + 1)

static void add_point(const struct search *search, const struct recipe *recipe, bool meets)
{
    struct recommendation *answer = search->answer;
    struct front_recipe point = {
        .interpolated = !recipe->summary, .aggregate = recipe->aggregate, .mix = recipe->mix, .aggregate_fraction = recipe->x,
        .density_kg_m3 = recipe_estimate(recipe, PROPERTY_DENSITY), .strength_mpa = recipe_estimate(recipe, answer->strength),
        .strength_assured_mpa = recipe_assured(search, recipe, answer->strength, -1), .cost = recipe->cost, .meets = meets,
    };
    if (!isnan(point.density_kg_m3) && !isnan(point.strength_assured_mpa))
        answer->front[answer->n_front++] = point;
}

static void add_mixes(const struct search *search)
{
    for (uint32_t mix = 0; mix < search->set->n_mixes; mix++) {
        const struct candidate *candidate = tested_candidate(search->answer, mix);
        const struct recipe recipe = recipe_of_mix(search, mix);
        if (candidate)
            add_point(search, &recipe, candidate->feasible);
    }
}

static bool is_tested(const struct search *search, uint32_t aggregate, double x)
{
    const struct specimen_set *set = search->set;
    for (uint32_t mix = 0; mix < set->n_mixes; mix++)
        if (set->mixes[mix].aggregate == aggregate && fabs(set->mixes[mix].aggregate_fraction - x) <= FRACTION_SAME
            && tested_candidate(search->answer, mix))
            return true;
    return false;
}

/* Where a mix was cast, that mix stands for the fraction. */
static void add_curve(const struct search *search, uint32_t aggregate)
{
    struct recipe recipe = { .aggregate = aggregate, .mix = SAMPLE_ALL };
    const struct curve *density = recommendation_curve(search->answer, aggregate, PROPERTY_DENSITY);
    const struct curve *strength = recommendation_curve(search->answer, aggregate, search->answer->strength);
    if (!density || !strength)
        return;
    recipe.curve[PROPERTY_DENSITY] = density;
    recipe.curve[search->answer->strength] = strength;
    for (int step = 0; step < STEPS_MOST; step++) {
        recipe.x = (double)step / STEPS;
        if (recipe.x < fmax(density->x_min, strength->x_min) || recipe.x > fmin(density->x_max, strength->x_max)
            || is_tested(search, aggregate, recipe.x))
            continue;
        recipe.cost = cost_at_fraction(search, aggregate, recipe.x);
        add_point(search, &recipe, curve_verdict(search, aggregate, recipe.x) == VERDICT_MEETS);
    }
}

/* A cost that only some have can beat nobody. */
static void drop_partial_costs(struct recommendation *answer)
{
    bool all = true;
    for (size_t i = 0; i < answer->n_front; i++)
        all = all && !isnan(answer->front[i].cost);
    for (size_t i = 0; !all && i < answer->n_front; i++)
        answer->front[i].cost = NAN;
}

static bool beats(const struct front_recipe *a, const struct front_recipe *b)
{
    const bool costs = !isnan(a->cost);
    if (a->density_kg_m3 > b->density_kg_m3 || a->strength_assured_mpa < b->strength_assured_mpa || (costs && a->cost > b->cost))
        return false;
    return a->density_kg_m3 < b->density_kg_m3 || a->strength_assured_mpa > b->strength_assured_mpa || (costs && a->cost < b->cost);
}

static void keep_unbeaten(struct recommendation *answer, bool *beaten)
{
    size_t kept = 0;
    for (size_t i = 0; i < answer->n_front; i++)
        for (size_t j = 0; j < answer->n_front && !beaten[i]; j++)
            beaten[i] = beats(&answer->front[j], &answer->front[i]);
    for (size_t i = 0; i < answer->n_front; i++)
        if (!beaten[i])
            answer->front[kept++] = answer->front[i];
    answer->n_front = kept;
}

static int lightest_first(const void *left, const void *right)
{
    const struct front_recipe *a = left, *b = right;
    if (a->density_kg_m3 != b->density_kg_m3)
        return a->density_kg_m3 < b->density_kg_m3 ? -1 : 1;
    return (a->aggregate > b->aggregate) - (a->aggregate < b->aggregate);
}

enum status front_make(const struct search *search, struct problem *problem)
{
    const struct specimen_set *set = search->set;
    struct recommendation *answer = search->answer;
    const size_t most = set->n_mixes + set->n_aggregates * STEPS_MOST;
    if (answer->strength == PROPERTY_COUNT)
        return STATUS_OK;
    answer->front = memory_new(most, sizeof *answer->front);
    bool *beaten = memory_new(most, sizeof *beaten);
    if (!answer->front || !beaten) {
        memory_free(beaten);
        return problem_set(problem, STATUS_MEMORY, NULL, "no memory left for the front of density, strength and cost");
    }
    add_mixes(search);
    for (uint32_t aggregate = 0; aggregate < set->n_aggregates; aggregate++)
        if (search->aggregate_wanted[aggregate])
            add_curve(search, aggregate);
    drop_partial_costs(answer);
    keep_unbeaten(answer, beaten);
    memory_free(beaten);
    qsort(answer->front, answer->n_front, sizeof *answer->front, lightest_first);
    return STATUS_OK;
}
