/* Resampled fractions where a cost has the last word: batches have luck, prices have none. */
#include "hand_study.h"

static struct mix mixes[] = {
    { .name = (char *)"C0", .aggregate = (char *)"clay", .binder = (char *)"cement", .binder_parts = 4, .light_parts = 0,
      .sand_parts = NAN, .gravel_parts = NAN, .yield = 0.8, .fibre_kg_m3 = NAN, .pigment_pct = NAN, .water_binder = 0.5 },
    { .name = (char *)"C100", .aggregate = (char *)"clay", .binder = (char *)"cement", .binder_parts = 0, .light_parts = 4,
      .sand_parts = NAN, .gravel_parts = NAN, .yield = 0.8, .fibre_kg_m3 = NAN, .pigment_pct = NAN, .water_binder = 0.5 },
};
static struct material materials[] = {
    { .name = (char *)"cement", .bulk_density_kg_m3 = 1200, .price_per_kg = 0.15 },
    { .name = (char *)"clay", .bulk_density_kg_m3 = 400, .price_per_kg = 0.9 },
};

/*
 * 1250 L of loose ingredients a m3: 1500 kg of cement at 0.15 come to 225, 500 kg of clay at 0.9 to 450, and all
 * between them lies on the line 225 + 225 x. A limit of 315 stops the search for less weight at x = 0.4, whatever
 * the batches: every resample says so.
 */
static void cost_does_not_spread(void)
{
    struct mix_list mix_list = { mixes, 2, NULL };
    struct material_list material_list = { materials, 2, NULL };
    struct invented *study = hand_study();
    struct recommend_request request = request_of(LAW_LINEAR);
    request.mixes = &mix_list;
    request.materials = &material_list;
    request.n_resamples = 99;
    request.seed = 5;
    request.limits[request.n_limits++] = (struct demand){ DEMAND_COST, PROPERTY_COUNT, 315 };
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 8);
    struct recommendation answer = search(study, &request, STATUS_OK);
    const struct candidate *winner = &answer.candidates[0];
    CU_ASSERT(winner->interpolated);
    check_close("fraction", winner->aggregate_fraction, 0.4, 1e-9);
    CU_ASSERT_EQUAL_FATAL(answer.draws.n_drawn, 99);
    for (size_t i = 0; i < answer.draws.n_values; i++)
        check_close("drawn", answer.draws.values[i], 0.4, 1e-6);
    check_close("lower", winner->fraction_lower, 0.4, 1e-6);
    check_close("upper", winner->fraction_upper, 0.4, 1e-6);
    recommendation_release(&answer);
    free(study);
}

int main(void)
{
    static const struct check_case cases[] = { { "a cost does not spread", cost_does_not_spread } };
    return check_run("resampled costs", cases, sizeof cases / sizeof *cases);
}
