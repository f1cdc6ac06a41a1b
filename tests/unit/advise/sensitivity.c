#include "hand_study.h"

/* Each point must be what a whole search with that demand finds: the study of hand_study.h, and one with a second aggregate. */

static void check_point(const struct invented *study, const struct recommend_request *request, const struct sensitivity_point *point)
{
    struct recommend_request moved = *request;
    struct problem problem = { 0 };
    struct recommendation answer;
    bool is_limit = point->demand >= request->n_targets;
    struct demand *demand = is_limit ? &moved.limits[point->demand - request->n_targets] : &moved.targets[point->demand];
    demand->value = point->value;
    moved.sensitivity = false;
    enum status status = recommend_search(&study->set, &moved, &answer, &problem);
    CU_ASSERT_EQUAL(point->found, status == STATUS_OK);
    CU_ASSERT_EQUAL(answer.n_sensitivity, 0);
    if (point->found) {
        const struct candidate *winner = &answer.candidates[answer.winner];
        CU_ASSERT_EQUAL(point->winner.interpolated, winner->interpolated);
        CU_ASSERT_EQUAL(point->winner.aggregate, winner->aggregate);
        CU_ASSERT_EQUAL(point->winner.mix, winner->mix);
        check_close("fraction", point->winner.aggregate_fraction, winner->aggregate_fraction, 0);
        check_close("shown", point->winner.shown_fraction, winner->shown_fraction, 0);
        check_close("density", point->winner.density_kg_m3, winner->density_kg_m3, 0);
    }
    recommendation_release(&answer);
}

static void every_point_is_a_search(void)
{
    struct invented *study = two_aggregates();
    struct recommend_request request = request_of(LAW_LINEAR);
    request.sensitivity = true;
    request.n_resamples = 50;
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 15.5);
    request.limits[request.n_limits++] = (struct demand){ DEMAND_PROPERTY, PROPERTY_DENSITY, 1900 };
    struct recommendation answer = search(study, &request, STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(answer.n_sensitivity, SENSITIVITY_POINTS);
    for (size_t i = 0; i < answer.n_sensitivity; i++) {
        check_close("value", answer.sensitivity[i].value, (0.8 + 0.1 * (double)i) * 15.5, 1e-15);
        check_point(study, &request, &answer.sensitivity[i]);
    }
    /* 18.6 MPa is reached below 0.01 only, where clay weighs more than 1900 kg/m3. */
    CU_ASSERT(answer.sensitivity[0].found && !answer.sensitivity[4].found);
    check_close("as asked", answer.sensitivity[2].winner.aggregate_fraction, answer.candidates[0].aggregate_fraction, 0);
    check_close("by hand", answer.sensitivity[0].winner.aggregate_fraction, crossing_by_hand(0.8 * 15.5, 0.3125, 1), 1e-8);
    recommendation_release(&answer);
    free(study);
}

/* An answer of none says at which target there would be one. */
static void none_as_asked(void)
{
    struct invented *study = hand_study();
    struct recommend_request request = request_of(LAW_LINEAR);
    request.sensitivity = true;
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 20);
    struct recommendation answer = search(study, &request, STATUS_ANSWER_NO);
    CU_ASSERT_EQUAL_FATAL(answer.n_sensitivity, SENSITIVITY_POINTS);
    CU_ASSERT(answer.sensitivity[0].found && answer.sensitivity[1].found && !answer.sensitivity[2].found);
    for (size_t i = 0; i < answer.n_sensitivity; i++)
        check_point(study, &request, &answer.sensitivity[i]);
    recommendation_release(&answer);
    free(study);
}

/* Two targets make two rows of points; without a target the limits move. */
static void which_demands_move(void)
{
    struct invented *study = hand_study();
    struct recommend_request request = request_of(LAW_LINEAR);
    request.sensitivity = true;
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 12);
    demand_target(&request, PROPERTY_DENSITY, 1100);
    struct recommendation answer = search(study, &request, STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(answer.n_sensitivity, 2 * SENSITIVITY_POINTS);
    CU_ASSERT(answer.sensitivity[4].demand == 0 && answer.sensitivity[5].demand == 1);
    check_close("second", answer.sensitivity[5].value, 880, 1e-15);
    for (size_t i = 0; i < answer.n_sensitivity; i++)
        check_point(study, &request, &answer.sensitivity[i]);
    recommendation_release(&answer);
    request.seek = SEEK_STRONGEST;
    request.n_targets = 0;
    request.limits[request.n_limits++] = (struct demand){ DEMAND_PROPERTY, PROPERTY_DENSITY, 1500 };
    answer = search(study, &request, STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(answer.n_sensitivity, SENSITIVITY_POINTS);
    for (size_t i = 0; i < answer.n_sensitivity; i++)
        check_point(study, &request, &answer.sensitivity[i]);
    CU_ASSERT(answer.sensitivity[0].winner.aggregate_fraction > answer.sensitivity[4].winner.aggregate_fraction);
    recommendation_release(&answer);
    free(study);
}

/* By hand: 40 more per m3 for 25 % less weight is 1.60 for each per cent, 0.01024 in a piece of 0.0064 m3. */
static void cost_of_weight(void)
{
    struct recommend_request request = { .piece = { { 400, 400, 40 }, 6.4 } };
    struct candidate candidates[2] = {
        { .mix = 3, .cost = 180, .percent_lighter = 25 }, { .mix = 7, .cost = 140, .percent_lighter = 0 },
    };
    struct recommendation answer = { .candidates = candidates, .n_candidates = 2, .reference = 7 };
    struct weight_cost each;
    CU_ASSERT(recommendation_weight_cost(&request, &answer, &candidates[0], &each));
    check_close("per m3", each.per_m3, 1.6, 1e-15);
    check_close("per piece", each.per_piece, 0.01024, 1e-14);
    check_close("reference", each.reference_per_m3, 140, 0);
    CU_ASSERT(!recommendation_weight_cost(&request, &answer, &candidates[1], &each) && isnan(each.per_m3));
    candidates[0].cost = 130;
    request.piece = (struct piece)PIECE_NONE;
    CU_ASSERT(recommendation_weight_cost(&request, &answer, &candidates[0], &each));
    check_close("it pays", each.per_m3, -0.4, 1e-15);
    CU_ASSERT(isnan(each.per_piece));
    candidates[1].cost = NAN;
    CU_ASSERT(!recommendation_weight_cost(&request, &answer, &candidates[0], &each));
    answer.reference = SAMPLE_ALL;
    CU_ASSERT(!recommendation_weight_cost(&request, &answer, &candidates[0], &each));
}

int main(void)
{
    static const struct check_case cases[] = {
        { "every point is a search", every_point_is_a_search }, { "none as asked", none_as_asked },
        { "which demands move", which_demands_move }, { "cost of weight", cost_of_weight },
    };
    return check_run("sensitivity", cases, sizeof cases / sizeof cases[0]);
}
