#include "output/answer.h"
#include "output/holds_for.h"
#include "output/json_build.h"
#include "output/words.h"

#include <math.h>

static void put_outcomes(struct json_build *build, json_t *object, const struct candidate *candidate, bool limits)
{
    json_t *array = json_put_array(build, object, limits ? "limits" : "targets");
    for (size_t i = 0; i < candidate->n_outcomes; i++) {
        const struct demand_outcome *outcome = &candidate->outcomes[i];
        if (outcome->is_limit != limits)
            continue;
        json_t *row = json_append_object(build, array);
        json_put_text(build, row, "property", words_demand_json(&outcome->demand));
        json_put_number(build, row, limits ? "limit" : "target", outcome->demand.value);
        json_put_number(build, row, "estimate", outcome->estimate);
        json_put_number(build, row, "assured", outcome->assured);
        json_put_bool(build, row, "met", outcome->met);
        json_put_number(build, row, "chance", outcome->chance);
    }
}

/* Nulls where a cost is not known, and for what is not lighter. */
static void put_weight_cost(struct json_build *build, json_t *object, const struct recommend_request *request,
                            const struct recommendation *answer, const struct candidate *candidate)
{
    struct weight_cost each = { NAN, NAN, NAN };
    if (candidate)
        recommendation_weight_cost(request, answer, candidate, &each);
    json_t *cost = json_put_object(build, object, "cost_per_percent_lighter");
    json_put_number(build, cost, "per_m3", each.per_m3);
    json_put_number(build, cost, "per_piece", each.per_piece);
}

static void put_candidate(struct json_build *build, json_t *object, const struct specimen_set *set, const struct candidate *candidate)
{
    json_put_text(build, object, "status", candidate->feasible ? "found" : "none");
    json_put_text(build, object, "kind", words_kind(candidate));
    json_put_text(build, object, "aggregate", words_aggregate(set, candidate->aggregate));
    json_put_text(build, object, "mix", candidate->interpolated ? NULL : words_mix(set, candidate->mix));
    json_put_number(build, object, "aggregate_fraction", candidate->aggregate_fraction);
    json_t *density = json_put_object(build, object, "density_kg_m3");
    json_put_number(build, density, "estimate", candidate->density_kg_m3);
    json_put_number(build, density, "lower", candidate->density_lower);
    json_put_number(build, density, "upper", candidate->density_upper);
    put_outcomes(build, object, candidate, false);
    put_outcomes(build, object, candidate, true);
    json_put_number(build, object, "piece_mass_kg", candidate->piece_mass_kg);
    json_put_number(build, object, "percent_lighter", candidate->percent_lighter);
    json_put_number(build, object, "cost", candidate->cost);
    json_t *cautions = json_put_array(build, object, "cautions");
    for (size_t i = 0; i < candidate->n_cautions; i++)
        json_append_text(build, cautions, candidate->cautions[i]);
}

/* Without a recipe all keys stay, the demands with what is not known as null. */
static void put_none(struct json_build *build, json_t *object, const struct recommend_request *request)
{
    struct candidate none = { .aggregate = SAMPLE_ALL, .mix = SAMPLE_ALL, .aggregate_fraction = NAN, .density_kg_m3 = NAN,
                              .density_lower = NAN, .density_upper = NAN, .piece_mass_kg = NAN, .percent_lighter = NAN, .cost = NAN };
    for (size_t i = 0; i < request->n_targets + request->n_limits; i++) {
        bool is_limit = i >= request->n_targets;
        none.outcomes[none.n_outcomes++] = (struct demand_outcome){
            .demand = is_limit ? request->limits[i - request->n_targets] : request->targets[i],
            .is_limit = is_limit, .estimate = NAN, .assured = NAN, .chance = NAN
        };
    }
    put_candidate(build, object, NULL, &none);
    json_put_text(build, object, "kind", NULL);
}

static void put_point(struct json_build *build, json_t *row, const struct specimen_set *set, const struct recommend_request *request,
                      const struct sensitivity_point *point)
{
    bool is_limit = point->demand >= request->n_targets;
    const struct demand *demand = is_limit ? &request->limits[point->demand - request->n_targets] : &request->targets[point->demand];
    const struct candidate *winner = point->found ? &point->winner : NULL;
    json_put_text(build, row, "property", words_demand_json(demand));
    json_put_number(build, row, "factor", point->factor);
    json_put_number(build, row, is_limit ? "limit" : "target", point->value);
    json_put_text(build, row, "status", winner ? "found" : "none");
    json_put_text(build, row, "kind", winner ? words_kind(winner) : NULL);
    json_put_text(build, row, "aggregate", winner ? words_aggregate(set, winner->aggregate) : NULL);
    json_put_text(build, row, "mix", winner && !winner->interpolated ? words_mix(set, winner->mix) : NULL);
    json_put_number(build, row, "aggregate_fraction", winner ? winner->aggregate_fraction : NAN);
    json_put_number(build, row, "density_kg_m3", winner ? winner->density_kg_m3 : NAN);
    json_put_number(build, row, "piece_mass_kg", winner ? winner->piece_mass_kg : NAN);
    json_put_number(build, row, "percent_lighter", winner ? winner->percent_lighter : NAN);
    json_put_number(build, row, "cost", winner ? winner->cost : NAN);
}

static void put_front(struct json_build *build, const struct specimen_set *set, const struct recommendation *answer)
{
    json_t *array = json_put_array(build, build->root, "front");
    for (size_t i = 0; i < answer->n_front; i++) {
        const struct front_recipe *point = &answer->front[i];
        json_t *row = json_append_object(build, array);
        json_put_text(build, row, "kind", point->interpolated ? "interpolated" : "tested");
        json_put_text(build, row, "aggregate", words_aggregate(set, point->aggregate));
        json_put_text(build, row, "mix", point->interpolated ? NULL : words_mix(set, point->mix));
        json_put_number(build, row, "aggregate_fraction", point->aggregate_fraction);
        json_put_number(build, row, "density_kg_m3", point->density_kg_m3);
        json_put_text(build, row, "property", property_row(answer->strength)->name);
        json_put_number(build, row, "estimate", point->strength_mpa);
        json_put_number(build, row, "assured", point->strength_assured_mpa);
        json_put_number(build, row, "cost", point->cost);
        json_put_bool(build, row, "meets", point->meets);
    }
}

/* What must be known beside the cautions of each recipe. */
static void put_notices(struct json_build *build, const struct problem_list *notices)
{
    char sentence[1024];
    json_t *array = json_put_array(build, build->root, "notices");
    for (size_t i = 0; i < notices->n_items; i++) {
        problem_sentence(&notices->items[i], sentence, sizeof sentence);
        json_append_text(build, array, sentence);
    }
}

enum status answer_recommend_json(const struct specimen_set *set, const struct recommend_request *request,
                                  const struct recommendation *answer, struct text *out)
{
    struct json_build build;
    json_build_start(&build);
    json_t *object = json_put_object(&build, build.root, "recommendation");
    if (answer->found)
        put_candidate(&build, object, set, &answer->candidates[answer->winner]);
    else
        put_none(&build, object, request);
    put_weight_cost(&build, object, request, answer, answer->found ? &answer->candidates[answer->winner] : NULL);
    holds_for_put_recommendation(&build, set, request, answer);
    json_t *array = json_put_array(&build, build.root, "candidates");
    for (size_t i = 0; i < answer->n_candidates; i++) {
        json_t *row = json_append_object(&build, array);
        put_candidate(&build, row, set, &answer->candidates[i]);
        put_weight_cost(&build, row, request, answer, &answer->candidates[i]);
        json_put_text(&build, row, "why_not", answer->candidates[i].why_not);
    }
    put_notices(&build, &answer->notices);
    array = json_put_array(&build, build.root, "sensitivity");
    for (size_t i = 0; i < answer->n_sensitivity; i++)
        put_point(&build, json_append_object(&build, array), set, request, &answer->sensitivity[i]);
    put_front(&build, set, answer);
    return json_build_finish(&build, out);
}
