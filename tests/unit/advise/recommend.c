#include "hand_study.h"

#include "advise/batch_sheet.h"

static void lightest_by_hand(void)
{
    struct invented *study = hand_study();
    struct recommend_request request = request_of(LAW_LINEAR);
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 12);
    struct recommendation answer = search(study, &request, STATUS_OK);
    const struct candidate *winner = &answer.candidates[answer.winner];
    double x = crossing_by_hand(12, 0.3125, 1);
    CU_ASSERT(winner->interpolated && winner->feasible);
    CU_ASSERT_EQUAL(winner->mix, SAMPLE_ALL);
    CU_ASSERT_EQUAL(winner->at_mix, SAMPLE_ALL);
    check_close("fraction", winner->aggregate_fraction, x, 1e-9);
    check_close("density", winner->density_kg_m3, 2000 - 1000 * x, 1e-9);
    check_close("assured", winner->outcomes[0].assured, 12, 1e-8);
    CU_ASSERT(winner->outcomes[0].assured >= 12 && winner->outcomes[0].met);
    check_close("estimate", winner->outcomes[0].estimate, 20 - 10 * x, 1e-9);
    check_close("chance", winner->outcomes[0].chance, 0.95, 1e-8);
    check_text(winner->why_not, "");
    /* The thousandth that is shown is still met. */
    CU_ASSERT(winner->shown_fraction <= x && winner->shown_fraction > x - 1e-3);
    /* Two-sided 95 % confidence of the density line, s2 = 10 * 100 / 8. */
    double reach = t_quantile(0.975, 8) * sqrt(125 * (0.1 + (x - 0.5) * (x - 0.5) / 1.25));
    check_close("density lower", winner->density_lower, 2000 - 1000 * x - reach, 1e-9);
    check_close("density upper", winner->density_upper, 2000 - 1000 * x + reach, 1e-9);
    /* The reference is the mix without light aggregate. */
    CU_ASSERT_EQUAL(answer.reference, 0);
    check_close("percent lighter", winner->percent_lighter, 100 * (1 - winner->density_kg_m3 / 2000), 1e-9);
    CU_ASSERT(winner->percent_lighter_lower < winner->percent_lighter && winner->percent_lighter < winner->percent_lighter_upper);
    recommendation_release(&answer);
    free(study);
}

/* Mean +- 0.5 of two: s = 0.7071, t(0.95; 1) = 6.3138, so a mix is assured its mean less 5.4679. */
static void tested_mixes_by_hand(void)
{
    struct invented *study = hand_study();
    struct recommend_request request = request_of(LAW_LINEAR);
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 12);
    struct recommendation answer = search(study, &request, STATUS_OK);
    double below = t_quantile(0.95, 1) * sqrt(0.5 * 1.5);
    const struct candidate *c25 = candidate_of(&answer, 1), *c50 = candidate_of(&answer, 2);
    CU_ASSERT_EQUAL(answer.n_candidates, 6);
    check_close("assured of C25", c25->outcomes[0].assured, 17.5 - below, 1e-9);
    CU_ASSERT(c25->feasible && !c25->interpolated);
    CU_ASSERT_FALSE(c50->feasible);
    CU_ASSERT(strstr(c50->why_not, "assured compressive strength of 9.5 MPa is below the target of 12 MPa (mean 15.0 MPa)") != NULL);
    CU_ASSERT(strstr(c50->why_not, "more batch") != NULL);
    CU_ASSERT(strstr(c25->why_not, "meets all demands, but is ") != NULL);
    /* Ranked: the interpolated winner, then the feasible mixes by density, then the rest by what they miss. */
    CU_ASSERT_EQUAL(answer.candidates[1].mix, 1);
    CU_ASSERT_EQUAL(answer.candidates[2].mix, 0);
    CU_ASSERT_EQUAL(answer.candidates[3].mix, 2);
    CU_ASSERT_EQUAL(answer.candidates[5].mix, 4);
    bool fallback = false;
    for (size_t i = 0; i < answer.candidates[0].n_cautions; i++)
        fallback = fallback || strstr(answer.candidates[0].cautions[i], "'C25' (1750 kg/m3)");
    CU_ASSERT(fallback);
    recommendation_release(&answer);
    free(study);
}

static void assurances_by_hand(void)
{
    struct invented *study = hand_study();
    struct recommend_request request = request_of(LAW_LINEAR);
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 12);
    request.assurance.kind = ASSURANCE_MEAN;
    struct recommendation answer = search(study, &request, STATUS_OK);
    check_close("mean", answer.candidates[0].aggregate_fraction, crossing_by_hand(12, 0.3125, 0), 1e-9);
    double mean = answer.candidates[0].aggregate_fraction;
    recommendation_release(&answer);
    request.assurance.kind = ASSURANCE_FRACTILE;
    answer = search(study, &request, STATUS_OK);
    /* Tolerance bounds lie below prediction bounds. */
    CU_ASSERT(answer.candidates[0].aggregate_fraction < crossing_by_hand(12, 0.3125, 1));
    CU_ASSERT(answer.candidates[0].aggregate_fraction > 0.2 && mean > 0.7);
    recommendation_release(&answer);
    free(study);
}

/* The same study upside down: the heavier end is the weaker, so that the limit is what binds. */
static void strongest_under_a_piece_mass(void)
{
    struct invented *study = hand_study();
    struct recommend_request request = request_of(LAW_LINEAR);
    request.seek = SEEK_STRONGEST;
    request.piece = piece_of_sizes((const double[3]){ 400, 400, 40 });
    request.inserts_mass_kg = 0.8;
    request.limits[request.n_limits++] = (struct demand){ DEMAND_PIECE_MASS, PROPERTY_DENSITY, 11.04 };
    struct recommendation answer = search(study, &request, STATUS_OK);
    const struct candidate *winner = &answer.candidates[answer.winner];
    /* 11.04 kg less 0.8 kg in 0.0064 m3 is 1600 kg/m3: 2000 - 1000 x + t s sqrt(...) = 1600, a mirror of the strength. */
    double t = t_quantile(0.95, 8), v = t * t * 125, a = 1e6 - v / 1.25, b = -2 * 1000 * 400 + v / 1.25, c = 400.0 * 400 - v * 1.3;
    double x = (-b + sqrt(b * b - 4 * a * c)) / (2 * a);
    check_close("fraction", winner->aggregate_fraction, x, 1e-8);
    check_close("piece", winner->piece_mass_kg, (2000 - 1000 * x) * 0.0064 + 0.8, 1e-9);
    check_close("assured piece", winner->piece_mass_assured_kg, 11.04, 1e-8);
    CU_ASSERT(winner->outcomes[0].assured <= 11.04);
    CU_ASSERT(strstr(winner->cautions[winner->n_cautions - 1], "load-bearing use") != NULL);
    check_close("sought is the assured strength", winner->sought,
                20 - 10 * x - t * sqrt(0.3125 * (1.1 + (x - 0.5) * (x - 0.5) / 1.25)), 1e-8);
    recommendation_release(&answer);
    free(study);
}

static void aggregates_compete(void)
{
    static const char *const only[] = { "pumice" };
    struct invented *study = two_aggregates();
    struct recommend_request request = request_of(LAW_LINEAR);
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 12);
    struct recommendation answer = search(study, &request, STATUS_OK);
    /* Clay at 0.6896 weighs 1310; pumice reaches 12 MPa at 0.0843 with 1633. */
    CU_ASSERT_EQUAL(answer.candidates[0].aggregate, 0);
    CU_ASSERT(answer.candidates[1].interpolated && answer.candidates[1].aggregate == 1);
    check_close("pumice", answer.candidates[1].aggregate_fraction, crossing_by_hand(18, 0.3125, 1), 5e-9);
    CU_ASSERT(strstr(answer.candidates[1].why_not, "meets all demands, but is 320 kg/m3 heavier") != NULL);
    recommendation_release(&answer);
    request.selection.aggregates = only;
    request.selection.n_aggregates = 1;
    answer = search(study, &request, STATUS_OK);
    CU_ASSERT_EQUAL(answer.candidates[0].aggregate, 1);
    CU_ASSERT_EQUAL(answer.n_candidates, 7); /* five mixes, one point, and the reference of the other aggregate */
    CU_ASSERT_EQUAL(answer.reference, 0);
    const struct candidate *reference = candidate_of(&answer, 0);
    CU_ASSERT(reference->outcomes[0].met && !reference->feasible);
    CU_ASSERT(strstr(reference->why_not, "shown for reference") != NULL);
    check_close("reference", reference->percent_lighter, 0, 0);
    recommendation_release(&answer);
    free(study);
}

static void asked_law_and_what_others_say(void)
{
    struct invented *study = hand_study();
    struct recommend_request request = request_of(LAW_EXPONENTIAL);
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 12);
    struct recommendation answer = search(study, &request, STATUS_OK);
    const struct curve_set *curves = recommendation_curves(&answer, 0, PROPERTY_COMPRESSIVE_STRENGTH);
    CU_ASSERT_EQUAL(curves->chosen, LAW_EXPONENTIAL);
    CU_ASSERT(curves->curves[LAW_EXPONENTIAL].chosen && !curves->curves[LAW_LINEAR].chosen);
    CU_ASSERT(curves->curves[LAW_LINEAR].fitted && curves->curves[LAW_QUADRATIC].fitted);
    recommendation_release(&answer);
    request.law = LAW_POWER; /* a fraction of 0 has no logarithm: only the mixes remain, and that is said */
    answer = search(study, &request, STATUS_OK);
    CU_ASSERT_PTR_NULL(recommendation_curves(&answer, 0, PROPERTY_COMPRESSIVE_STRENGTH));
    CU_ASSERT_EQUAL(answer.n_candidates, 5);
    CU_ASSERT_EQUAL(answer.candidates[0].mix, 1);
    bool said = false;
    for (size_t i = 0; i < answer.notices.n_items; i++)
        said = said || strstr(answer.notices.items[i].text, "compressive strength of 'clay' has no curve");
    CU_ASSERT(said);
    recommendation_release(&answer);
    free(study);
}

/*
 * The cost of what is cast, 1250 L of loose ingredients a m3 with cement and clay as the fraction shown has them, and fibre and
 * pigment on the way from none to those of C75; the batch sheet for that fraction tells the same.
 */
static void check_cost_of_cast(struct invented *study, const struct recommend_request *request, const struct candidate *candidate)
{
    double x = candidate->shown_fraction, way = (x - 0.25) / 0.5, cement_kg = 1250 * (1 - x) * 1.2, clay_kg = 1250 * x * 0.4;
    double by_hand = cement_kg * 0.15 + clay_kg * 0.3 + way * 5 + cement_kg * 0.02 * way * 2;
    check_close("cost", candidate->cost, by_hand, 1e-9);
    check_close("is what was sought", candidate->sought, by_hand, 1e-9);
    check_close("and what was held against the limit", candidate->outcomes[1].assured, by_hand, 1e-9);
    CU_ASSERT(x != candidate->aggregate_fraction);
    struct batch_sheet sheet;
    struct problem_list problems = { 0 };
    struct batch_request cast = { .mixes = request->mixes, .materials = request->materials, .set = &study->set, .selection = &request->selection,
                                  .aggregate = "clay", .fraction = x, .pieces = NAN, .piece = PIECE_NONE, .waste_pct = NAN,
                                  .hold_back_pct = NAN, .trial_l = 20, .mixer_l = NAN, .yield = NAN, .moisture_pct = { NAN, NAN, NAN, NAN, NAN, NAN },
                                  .assurance = request->assurance, .law = request->law };
    CU_ASSERT(batch_sheet_make(&cast, &sheet, &problems) == STATUS_OK);
    check_close("cost of the batch sheet", sheet.cost_per_m3, candidate->cost, 1e-9);
    problem_list_release(&problems);
}

/* Costs by hand: 1 m3 = 1000 L; parts 1 : 3 with yield 0.8 make a part 312.5 L. */
static void costs(void)
{
    struct mix mixes[] = {
        { .name = (char *)"C25", .aggregate = (char *)"clay", .binder = (char *)"cement", .binder_parts = 3, .light_parts = 1,
          .sand_parts = NAN, .gravel_parts = NAN, .yield = 0.8, .fibre_kg_m3 = NAN, .pigment_pct = NAN, .water_binder = 0.5 },
        { .name = (char *)"C75", .aggregate = (char *)"clay", .binder = (char *)"cement", .binder_parts = 1, .light_parts = 3,
          .sand_parts = NAN, .gravel_parts = NAN, .yield = 0.8, .fibre_kg_m3 = 1, .pigment_pct = 2, .pigment_name = (char *)"ochre", .water_binder = 0.5 },
    };
    struct material materials[] = {
        { .name = (char *)"cement", .bulk_density_kg_m3 = 1200, .price_per_kg = 0.15 },
        { .name = (char *)"clay", .bulk_density_kg_m3 = 400, .price_per_kg = 0.3 },
        { .name = (char *)"fibre", .bulk_density_kg_m3 = NAN, .price_per_kg = 5 },
        { .name = (char *)"ochre", .bulk_density_kg_m3 = NAN, .price_per_kg = 2 },
    };
    struct mix_list mix_list = { mixes, 2, NULL };
    struct material_list material_list = { materials, 4, NULL };
    /* C25: 937.5 L of cement = 1125 kg, 312.5 L of clay = 125 kg; C75: 375 kg and 375 kg, 1 kg of fibre, 7.5 kg of ochre. */
    double c25 = 1125 * 0.15 + 125 * 0.3, c75 = 375 * 0.15 + 375 * 0.3 + 5 + 7.5 * 2;
    struct invented *study = hand_study();
    struct recommend_request request = request_of(LAW_LINEAR);
    request.seek = SEEK_CHEAPEST;
    request.mixes = &mix_list;
    request.materials = &material_list;
    request.limits[request.n_limits++] = (struct demand){ DEMAND_COST, PROPERTY_COUNT, 200 };
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 12);
    struct recommendation answer = search(study, &request, STATUS_OK);
    check_close("C25", candidate_of(&answer, 1)->cost, c25, 1e-12);
    check_close("C75", candidate_of(&answer, 3)->cost, c75, 1e-12);
    CU_ASSERT(isnan(candidate_of(&answer, 2)->cost));
    CU_ASSERT(strstr(candidate_of(&answer, 2)->why_not, "its cost cannot be told: mix 'C0' is not in the mixes file") != NULL);
    /* Between them the recipe with shares between theirs; the cheapest that is strong enough lies at the strength's crossing. */
    double x = crossing_by_hand(12, 0.3125, 1);
    CU_ASSERT(answer.candidates[0].interpolated);
    check_close("fraction", answer.candidates[0].aggregate_fraction, x, 1e-9);
    check_cost_of_cast(study, &request, &answer.candidates[0]);
    CU_ASSERT(isnan(answer.candidates[0].outcomes[1].chance) && answer.candidates[0].outcomes[1].met);
    recommendation_release(&answer);
    mixes[1].yield = NAN;
    answer = search(study, &request, STATUS_ANSWER_NO);
    CU_ASSERT(isnan(candidate_of(&answer, 3)->cost));
    recommendation_release(&answer);
    mixes[1].yield = 0.8;
    free(study);
}

static void resampling(void)
{
    static const char *const batches[] = { "1", "2", "3", "4" };
    static const double luck[] = { 0.7, -0.4, 0.2, -0.5 };
    struct invented *study = invented_new();
    for (size_t i = 0; i < 5; i++)
        for (size_t j = 0; j < 4; j++)
            for (size_t k = 0; k < 2; k++) {
                struct invented_row row = { hand_names[i], "clay", batches[j], hand_fractions[i], 28, MOISTURE_OVEN_DRY };
                size_t at = invented_add(study, &row);
                invented_value(study, at, PROPERTY_COMPRESSIVE_STRENGTH, 20 - 10 * hand_fractions[i] + luck[(i + j) % 4] + (k ? 0.2 : -0.2));
                invented_value(study, at, PROPERTY_DENSITY, 2000 - 1000 * hand_fractions[i] + 10 * luck[j]);
            }
    struct recommend_request request = request_of(LAW_LINEAR);
    request.n_resamples = 999;
    request.seed = 11;
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 14);
    struct recommendation answer = search(study, &request, STATUS_OK), again = search(study, &request, STATUS_OK);
    const struct candidate *winner = &answer.candidates[0];
    CU_ASSERT(winner->fraction_lower < winner->aggregate_fraction && winner->aggregate_fraction < winner->fraction_upper);
    check_close("the same seed", again.candidates[0].fraction_lower, winner->fraction_lower, 0);
    /*
     * Sampling sd of the crossing is about that of the line there over its slope:
     * mean squares of batch luck (0.94 / 3) over 20 batches, x 0.05 to 0.1 from the middle.
     */
    double sd = sqrt(0.94 / 3 * (1.0 / 20 + pow(winner->aggregate_fraction - 0.5, 2) / 2.5)) / 10;
    check_close("width", winner->fraction_upper - winner->fraction_lower, 2 * 1.96 * sd, 0.15);
    recommendation_release(&again);
    request.seed = 12;
    again = search(study, &request, STATUS_OK);
    CU_ASSERT(again.candidates[0].fraction_lower != winner->fraction_lower);
    recommendation_release(&again);
    recommendation_release(&answer);
    free(study);
}

/* Sixty batches of one specimen a mix are drawn in forty bundles; the limits are as wide as if each were drawn. */
static void resampling_many_batches(void)
{
    static const char *const numbers = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ01234567";
    static char batches[60][2];
    struct invented *study = invented_new();
    for (size_t i = 0; i < 5; i++)
        for (size_t j = 0; j < 60; j++) {
            batches[j][0] = numbers[j];
            struct invented_row row = { hand_names[i], "clay", batches[j], hand_fractions[i], 28, MOISTURE_OVEN_DRY };
            size_t at = invented_add(study, &row);
            double luck = sin(12.9898 * (double)(60 * i + j + 1)) * 3; /* sd 2.12, hardly any order */
            invented_value(study, at, PROPERTY_COMPRESSIVE_STRENGTH, 20 - 10 * hand_fractions[i] + luck);
            invented_value(study, at, PROPERTY_DENSITY, 2000 - 1000 * hand_fractions[i]);
        }
    struct recommend_request request = request_of(LAW_LINEAR);
    request.n_resamples = 999;
    request.seed = 3;
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 11.5);
    struct recommendation answer = search(study, &request, STATUS_OK);
    const struct candidate *winner = &answer.candidates[0];
    double sd = sqrt(4.5 * (1.0 / 300 + pow(winner->aggregate_fraction - 0.5, 2) / (60 * 0.625))) / 10;
    check_close("width", winner->fraction_upper - winner->fraction_lower, 2 * 1.96 * sd, 0.15);
    recommendation_release(&answer);
    free(study);
}

/* One batch a mix: nothing to draw from, so no limits, and the answer stands. */
static void nothing_to_resample(void)
{
    struct invented *study = invented_new();
    for (size_t i = 0; i < 5; i++)
        for (size_t k = 0; k < 2; k++) {
            struct invented_row row = { hand_names[i], "clay", "1", hand_fractions[i], 28, MOISTURE_OVEN_DRY };
            size_t at = invented_add(study, &row);
            invented_value(study, at, PROPERTY_COMPRESSIVE_STRENGTH, 20 - 10 * hand_fractions[i] + 0.3 * (double)(i % 2) + (k ? 0.2 : -0.2));
            invented_value(study, at, PROPERTY_DENSITY, 2000 - 1000 * hand_fractions[i] + 5 * (double)(i % 3));
        }
    struct recommend_request request = request_of(LAW_LINEAR);
    request.n_resamples = 99;
    request.assurance.specimens_per_batch = 1;
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 12);
    struct recommendation answer = search(study, &request, STATUS_OK);
    CU_ASSERT(answer.candidates[0].interpolated);
    CU_ASSERT(isnan(answer.candidates[0].fraction_lower) && isnan(answer.candidates[0].fraction_upper));
    recommendation_release(&answer);
    free(study);
}

/* Batches that hold other results alone, or no result at all, must not be drawn in the place of those behind the curves. */
static void resampling_of_results_only(void)
{
    static const double luck[] = { 0.7, -0.4, 0.2, -0.5 };
    static const char *const batches[] = { "1", "2", "3", "4" }, *const beams[] = { "b1", "b2", "b3", "b4", "b5", "b6" };
    struct invented *study = invented_new();
    struct recommend_request request = request_of(LAW_LINEAR);
    request.n_resamples = 999;
    request.seed = 11;
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 14);
    for (size_t i = 0; i < 5; i++)
        for (size_t j = 0; j < 4; j++) {
            struct invented_row row = { hand_names[i], "clay", batches[j], hand_fractions[i], 28, MOISTURE_OVEN_DRY };
            size_t at = invented_add(study, &row);
            invented_value(study, at, PROPERTY_COMPRESSIVE_STRENGTH, 20 - 10 * hand_fractions[i] + luck[(i + j) % 4]);
            invented_value(study, at, PROPERTY_DENSITY, 2000 - 1000 * hand_fractions[i] + 10 * luck[j]);
        }
    struct recommendation alone = search(study, &request, STATUS_OK);
    for (size_t i = 0; i < 5; i++)
        for (size_t j = 0; j < 6; j++) {
            struct invented_row row = { hand_names[i], "clay", beams[j], hand_fractions[i], 28, MOISTURE_OVEN_DRY };
            invented_value(study, invented_add(study, &row), PROPERTY_FLEXURAL_STRENGTH, 3);
        }
    struct recommendation together = search(study, &request, STATUS_OK);
    check_close("lower", together.candidates[0].fraction_lower, alone.candidates[0].fraction_lower, 0);
    check_close("upper", together.candidates[0].fraction_upper, alone.candidates[0].fraction_upper, 0);
    recommendation_release(&together);
    recommendation_release(&alone);
    free(study);
}

/* Where one mix of several is of a single batch, its share of the luck cannot be drawn: limits from the rest would be too narrow. */
static void no_limits_from_part_of_the_mixes(void)
{
    static const char *const batches[] = { "1", "2", "3" };
    static const double luck[] = { 0.3, -0.5, 0.2 };
    struct invented *study = invented_new();
    for (size_t i = 0; i < 5; i++)
        for (size_t j = 0; j < (i == 2 ? 1 : 3); j++) {
            struct invented_row row = { hand_names[i], "clay", batches[j], hand_fractions[i], 28, MOISTURE_OVEN_DRY };
            size_t at = invented_add(study, &row);
            invented_value(study, at, PROPERTY_COMPRESSIVE_STRENGTH, 20 - 10 * hand_fractions[i] + luck[(i + j) % 3]);
            invented_value(study, at, PROPERTY_DENSITY, 2000 - 1000 * hand_fractions[i] + 10 * luck[j]);
        }
    struct recommend_request request = request_of(LAW_LINEAR);
    request.n_resamples = 99;
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 14);
    struct recommendation answer = search(study, &request, STATUS_OK);
    CU_ASSERT(answer.candidates[0].interpolated);
    CU_ASSERT(isnan(answer.candidates[0].fraction_lower) && isnan(answer.candidates[0].fraction_upper));
    recommendation_release(&answer);
    free(study);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "the lightest, by hand", lightest_by_hand },
        { "tested mixes, by hand", tested_mixes_by_hand },
        { "mean and fractile", assurances_by_hand },
        { "the strongest under a piece mass", strongest_under_a_piece_mass },
        { "aggregates compete, or one is asked for", aggregates_compete },
        { "the law asked for, and the others beside it", asked_law_and_what_others_say },
        { "costs by hand", costs },
        { "limits of the fraction by resampling", resampling },
        { "many batches are drawn in bundles", resampling_many_batches },
        { "nothing to resample", nothing_to_resample },
        { "results are drawn, not empty batches", resampling_of_results_only },
        { "no limits from part of the mixes", no_limits_from_part_of_the_mixes },
    };
    return check_run("recommend", cases, sizeof cases / sizeof cases[0]);
}
