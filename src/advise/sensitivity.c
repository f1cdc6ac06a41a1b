#include "advise/search.h"

#include "base/memory.h"

#include <math.h>

static const double factors[SENSITIVITY_POINTS] = { 0.8, 0.9, 1, 1.1, 1.2 };

static struct demand *demand_of(struct recommend_request *request, size_t demand)
{
    return demand < request->n_targets ? &request->targets[demand] : &request->limits[demand - request->n_targets];
}

/* The whole search but for the curves, which no demand alters, on a copy of the request. */
static enum status search_elsewhere(const struct search *search, struct sensitivity_point *point, struct problem *problem)
{
    struct recommend_request request = *search->request;
    struct recommendation answer = *search->answer;
    struct search elsewhere = *search;
    demand_of(&request, point->demand)->value = point->value;
    elsewhere.request = &request;
    elsewhere.answer = &answer;
    answer.candidates = NULL;
    answer.n_candidates = 0;
    enum status status = gather_candidates(&elsewhere, problem);
    if (status == STATUS_OK)
        status = rank_candidates(&elsewhere, problem);
    point->found = status == STATUS_OK && answer.found;
    if (point->found)
        point->winner = answer.candidates[answer.winner];
    memory_free(answer.candidates);
    return status;
}

/* With the demand as it is the answer stands already. */
static void take_answer(const struct recommendation *answer, struct sensitivity_point *point)
{
    point->found = answer->found;
    if (answer->found)
        point->winner = answer->candidates[answer->winner];
}

enum status sensitivity_make(const struct search *search, struct problem *problem)
{
    struct recommendation *answer = search->answer;
    const struct recommend_request *request = search->request;
    size_t n = request->n_targets > 0 ? request->n_targets : request->n_limits;
    enum status status = STATUS_OK;
    answer->sensitivity = memory_new(n * SENSITIVITY_POINTS, sizeof *answer->sensitivity);
    if (!answer->sensitivity)
        return problem_set(problem, STATUS_MEMORY, NULL, "no memory left to search with other demands");
    for (size_t i = 0; status == STATUS_OK && i < n * SENSITIVITY_POINTS; i++) {
        struct sensitivity_point *point = &answer->sensitivity[answer->n_sensitivity];
        bool is_limit;
        point->demand = i / SENSITIVITY_POINTS;
        point->factor = factors[i % SENSITIVITY_POINTS];
        point->value = point->factor * search_demand(search, point->demand, &is_limit)->value;
        if (point->factor == 1)
            take_answer(answer, point);
        else
            status = search_elsewhere(search, point, problem);
        answer->n_sensitivity += status == STATUS_OK;
    }
    return status;
}

bool recommendation_weight_cost(const struct recommend_request *request, const struct recommendation *answer,
                                const struct candidate *candidate, struct weight_cost *cost)
{
    const struct candidate *reference = answer->reference == SAMPLE_ALL ? NULL : tested_candidate(answer, answer->reference);
    *cost = (struct weight_cost){ reference ? reference->cost : NAN, NAN, NAN };
    if (!reference || isnan(candidate->cost) || isnan(reference->cost) || !(candidate->percent_lighter > 0))
        return false;
    cost->per_m3 = (candidate->cost - reference->cost) / candidate->percent_lighter;
    cost->per_piece = cost->per_m3 * request->piece.volume_l / L_PER_M3;
    return true;
}
