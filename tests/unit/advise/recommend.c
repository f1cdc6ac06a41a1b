#include "support/check.h"

#include "advise/recommend.h"
#include "advise/words.h"
#include "base/memory.h"
#include "stats/distribution.h"
#include "support/invented.h"

/*
 * A study that can be checked by hand: no batches, two specimens at each of
 * five fractions, the same distance above and below a straight line, so that
 * least squares gives the line itself.
 *   strength = 20 - 10 x +- 0.5 MPa, density = 2000 - 1000 x +- 10 kg/m3
 * n = 10, mean x 0.5, squares of x about it 1.25, s2 of strength = 10 * 0.25 / 8.
 */
static const double fractions[] = { 0, 0.25, 0.5, 0.75, 1 };
static const char *const names[] = { "C0", "C25", "C50", "C75", "C100" };

static struct invented *hand_study(void)
{
    struct invented *study = invented_new();
    for (size_t i = 0; i < 5; i++)
        for (size_t k = 0; k < 2; k++) {
            struct invented_row row = { names[i], "clay", NULL, fractions[i], 28, MOISTURE_OVEN_DRY };
            size_t at = invented_add(study, &row);
            invented_value(study, at, PROPERTY_COMPRESSIVE_STRENGTH, 20 - 10 * fractions[i] + (k ? 0.5 : -0.5));
            invented_value(study, at, PROPERTY_DENSITY, 2000 - 1000 * fractions[i] + (k ? -10 : 10));
        }
    return study;
}

static struct recommend_request request_of(enum law law)
{
    return (struct recommend_request){
        .selection = selection_all(), .law = law, .piece_mm = { NAN, NAN, NAN },
        .assurance = { ASSURANCE_NEXT_BATCH, 0.95, 0.05, 3 },
    };
}

static void demand_target(struct recommend_request *request, enum property property, double value)
{
    request->targets[request->n_targets++] = (struct demand){ DEMAND_PROPERTY, property, value };
}

static struct recommendation search(const struct invented *study, const struct recommend_request *request, enum status want)
{
    struct recommendation answer;
    struct problem problem = { 0 };
    enum status status = recommend_search(&study->set, request, &answer, &problem);
    if (status != want)
        fprintf(stderr, "status %d: %s\n", (int)status, problem.text);
    CU_ASSERT_EQUAL_FATAL(status, want);
    return answer;
}

/* x where 20 - 10 x less t s sqrt(1 + 1/10 + (x - 0.5)^2 / 1.25) is the target, from the quadratic it comes to. */
static double crossing_by_hand(double target, double spread, double extra)
{
    double t = t_quantile(0.95, 8), v = t * t * spread;
    double a = 100 - v / 1.25, b = -20 * (20 - target) + v / 1.25, c = (20 - target) * (20 - target) - v * (extra + 0.1 + 0.25 / 1.25);
    return (-b - sqrt(b * b - 4 * a * c)) / (2 * a);
}

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

static const struct candidate *candidate_of(const struct recommendation *answer, uint32_t mix)
{
    for (size_t i = 0; i < answer->n_candidates; i++)
        if (answer->candidates[i].mix == mix)
            return &answer->candidates[i];
    CU_FAIL_FATAL("no such candidate");
    return NULL;
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
    request.piece_mm[0] = request.piece_mm[1] = 400;
    request.piece_mm[2] = 40;
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
    check_close("sought is the assured strength", winner->sought,
                20 - 10 * x - t * sqrt(0.3125 * (1.1 + (x - 0.5) * (x - 0.5) / 1.25)), 1e-8);
    recommendation_release(&answer);
    free(study);
}

static void nothing_is_strong_enough(void)
{
    char sentence[1024];
    struct invented *study = hand_study();
    struct recommend_request request = request_of(LAW_LINEAR);
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 30);
    struct recommendation answer = search(study, &request, STATUS_ANSWER_NO);
    CU_ASSERT_FALSE(answer.found);
    CU_ASSERT(answer.candidates[0].interpolated); /* the curve at 0 comes nearest: 20 less 1.86 * 0.559 * 1.14 */
    check_close("nearest", answer.candidates[0].aggregate_fraction, 0, 0);
    recommendation_sentence(&study->set, &request, &answer, false, sentence, sizeof sentence);
    check_text(sentence, "No recipe meets the demands; the nearest is clay at 0 by loose volume: its assured compressive strength "
                         "of 18.8 MPa is below the target of 30 MPa (mean 20.0 MPa).");
    recommendation_release(&answer);
    free(study);
}

static void the_sentence(void)
{
    char sentence[1024];
    struct invented *study = hand_study();
    struct recommend_request request = request_of(LAW_LINEAR);
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 12);
    struct recommendation answer = search(study, &request, STATUS_OK);
    recommendation_sentence(&study->set, &request, &answer, false, sentence, sizeof sentence);
    check_text(sentence, "Cast clay at 0.689 by loose volume: 1310 kg/m3 (1300 to 1320, 95 %), 34 % lighter than the reference mix 'C0'; "
                         "the next specimen should reach a compressive strength of 12 MPa against the target of 12 MPa (95 % assured); "
                         "not yet cast: make a confirming batch first.");
    recommendation_sentence(&study->set, &request, &answer, true, sentence, sizeof sentence);
    CU_ASSERT(strstr(sentence, "82 lb/ft3 (81 to 82, 95 %)") != NULL);
    CU_ASSERT(strstr(sentence, "1740.45 psi against the target of 1740.45 psi") != NULL);
    recommendation_release(&answer);
    /* Without fractions to fit on, only the mixes remain. */
    study->set.has_fraction = false;
    answer = search(study, &request, STATUS_OK);
    recommendation_sentence(&study->set, &request, &answer, false, sentence, sizeof sentence);
    CU_ASSERT(strncmp(sentence, "Cast mix 'C25' (clay at 0.25 by loose volume): 1750 kg/m3 (", 59) == 0);
    CU_ASSERT(strstr(sentence, "12.0 MPa against the target of 12 MPa") != NULL);
    recommendation_release(&answer);
    free(study);
}

/* 11.96 against 12 must not be shown as 12.0. */
static void rounding_keeps_the_side(void)
{
    char words[64];
    struct demand_outcome outcome = { .demand = { DEMAND_PROPERTY, PROPERTY_COMPRESSIVE_STRENGTH, 12 } };
    outcome_words(&outcome, 11.96, false, words, sizeof words);
    check_text(words, "11.96 MPa");
    outcome_words(&outcome, 11.94, false, words, sizeof words);
    check_text(words, "11.9 MPa");
    outcome_words(&outcome, 12.04, false, words, sizeof words);
    check_text(words, "12.0 MPa");
    outcome.demand.value = 12.03;
    outcome_words(&outcome, 12.04, false, words, sizeof words);
    check_text(words, "12.04 MPa");
    outcome.demand = (struct demand){ DEMAND_PIECE_MASS, PROPERTY_DENSITY, 12 };
    outcome.is_limit = true;
    outcome_words(&outcome, 12.04, false, words, sizeof words);
    check_text(words, "12.04 kg");
    outcome_words(&outcome, NAN, false, words, sizeof words);
    check_text(words, "- kg");
    outcome.demand = (struct demand){ DEMAND_COST, PROPERTY_COUNT, 90 };
    outcome_words(&outcome, 89.996, false, words, sizeof words);
    check_text(words, "90.00 per m3");
    outcome.is_limit = true;
    outcome_words(&outcome, 90.004, false, words, sizeof words);
    check_text(words, "90.004 per m3");
}

/* A second aggregate, pumice, lighter but weaker: 14 - 10 x and 1700 - 800 x. */
static struct invented *two_aggregates(void)
{
    static const char *const pumice[] = { "P0", "P25", "P50", "P75", "P100" };
    struct invented *study = hand_study();
    for (size_t i = 0; i < 5; i++)
        for (size_t k = 0; k < 2; k++) {
            struct invented_row row = { pumice[i], "pumice", NULL, fractions[i], 28, MOISTURE_OVEN_DRY };
            size_t at = invented_add(study, &row);
            invented_value(study, at, PROPERTY_COMPRESSIVE_STRENGTH, 14 - 10 * fractions[i] + (k ? 0.5 : -0.5));
            invented_value(study, at, PROPERTY_DENSITY, 1700 - 800 * fractions[i] + (k ? -10 : 10));
        }
    return study;
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

static void one_batch_is_no_bound(void)
{
    struct invented *study = invented_new();
    for (size_t k = 0; k < 3; k++) {
        struct invented_row row = { "C1", "clay", "1", 0.3, 28, MOISTURE_OVEN_DRY };
        size_t at = invented_add(study, &row);
        invented_value(study, at, PROPERTY_COMPRESSIVE_STRENGTH, 15 + (double)k);
        invented_value(study, at, PROPERTY_DENSITY, 1500);
    }
    struct recommend_request request = request_of(LAW_AUTO);
    struct recommendation answer;
    struct problem problem;
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 12);
    CU_ASSERT_EQUAL(recommend_search(&study->set, &request, &answer, &problem), STATUS_TOO_FEW);
    check_text(problem.text, "no recipe can be judged: 1 batch cannot assure its compressive strength: cast 2 more, for 3 in all");
    CU_ASSERT_PTR_NULL(answer.candidates);
    free(study);
}

static void batches_that_would_do(void)
{
    static const char *const batches[] = { "1", "2", "3" };
    static const double means[] = { 13, 14, 15 };
    struct invented *study = invented_new();
    for (size_t j = 0; j < 3; j++)
        for (size_t k = 0; k < 2; k++) {
            struct invented_row row = { "C1", "clay", batches[j], 0.3, 28, MOISTURE_OVEN_DRY };
            size_t at = invented_add(study, &row);
            invented_value(study, at, PROPERTY_COMPRESSIVE_STRENGTH, means[j] + (k ? 0.5 : -0.5));
            invented_value(study, at, PROPERTY_DENSITY, 1500 + 10 * means[j]);
        }
    struct recommend_request request = request_of(LAW_AUTO);
    request.assurance.specimens_per_batch = 2;
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 12);
    struct recommendation answer = search(study, &request, STATUS_ANSWER_NO);
    /*
     * Batch means vary by 1; with n batches the bound is 14 - t(0.95; n-1) sqrt(1 + 1/n):
     * n 3: 10.6, 4: 11.37, 5: 11.66, 6: 11.82, 7: 11.92, 8: 11.99, 9: 12.04.
     */
    CU_ASSERT(strstr(answer.candidates[0].why_not, "about 6 more batches would do if mean and scatter stay") != NULL);
    recommendation_release(&answer);
    free(study);
}

/* Costs by hand: 1 m3 = 1000 L; parts 1 : 3 with yield 0.8 make a part 312.5 L. */
static void costs(void)
{
    struct mix mixes[] = {
        { .name = (char *)"C25", .aggregate = (char *)"clay", .binder = (char *)"cement", .binder_parts = 3, .light_parts = 1,
          .sand_parts = NAN, .gravel_parts = NAN, .yield = 0.8, .fibre_kg_m3 = NAN, .pigment_pct = NAN, .water_binder = NAN },
        { .name = (char *)"C75", .aggregate = (char *)"clay", .binder = (char *)"cement", .binder_parts = 1, .light_parts = 3,
          .sand_parts = NAN, .gravel_parts = NAN, .yield = 0.8, .fibre_kg_m3 = 1, .pigment_pct = 2, .pigment_name = (char *)"ochre", .water_binder = NAN },
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
    /* Between them a straight line: the cheapest that is strong enough lies at the strength's crossing. */
    double x = crossing_by_hand(12, 0.3125, 1);
    CU_ASSERT(answer.candidates[0].interpolated);
    check_close("fraction", answer.candidates[0].aggregate_fraction, x, 1e-9);
    check_close("cost", answer.candidates[0].cost, c25 + (c75 - c25) * (x - 0.25) / 0.5, 1e-9);
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
                struct invented_row row = { names[i], "clay", batches[j], fractions[i], 28, MOISTURE_OVEN_DRY };
                size_t at = invented_add(study, &row);
                invented_value(study, at, PROPERTY_COMPRESSIVE_STRENGTH, 20 - 10 * fractions[i] + luck[(i + j) % 4] + (k ? 0.2 : -0.2));
                invented_value(study, at, PROPERTY_DENSITY, 2000 - 1000 * fractions[i] + 10 * luck[j]);
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

static void impossible_requests(void)
{
    static const char *const unknown[] = { "perlite" };
    struct invented *study = hand_study();
    struct recommendation answer;
    struct problem problem;
    struct recommend_request request = request_of(LAW_AUTO);
    request.limits[request.n_limits++] = (struct demand){ DEMAND_PIECE_MASS, PROPERTY_DENSITY, 12 };
    CU_ASSERT_EQUAL(recommend_search(&study->set, &request, &answer, &problem), STATUS_USAGE);
    check_text(problem.text, "a limit on piece mass needs the piece: give --piece, such as 400x400x40mm");
    request = request_of(LAW_AUTO);
    demand_target(&request, PROPERTY_FLEXURAL_STRENGTH, 2);
    CU_ASSERT_EQUAL(recommend_search(&study->set, &request, &answer, &problem), STATUS_TOO_FEW);
    check_text(problem.text, "there is no result of flexural strength: map its column with --column flexural_strength=HEADING");
    request = request_of(LAW_AUTO);
    request.selection.aggregates = unknown;
    request.selection.n_aggregates = 1;
    CU_ASSERT_EQUAL(recommend_search(&study->set, &request, &answer, &problem), STATUS_USAGE);
    CU_ASSERT(strstr(problem.text, "no aggregate 'perlite' in the results") != NULL);
    request = request_of(LAW_AUTO);
    request.reference_mix = "X";
    CU_ASSERT_EQUAL(recommend_search(&study->set, &request, &answer, &problem), STATUS_USAGE);
    request = request_of(LAW_AUTO);
    request.assurance.confidence = 1;
    CU_ASSERT_EQUAL(recommend_search(&study->set, &request, &answer, &problem), STATUS_USAGE);
    CU_ASSERT_EQUAL(answer.n_candidates, 0);
    free(study);
}

static void each_allocation_failing(void)
{
    struct invented *study = two_aggregates();
    struct recommend_request request = request_of(LAW_AUTO);
    request.n_resamples = 20;
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 12);
    size_t failed = 0;
    for (unsigned long n = 1;; n++) {
        struct recommendation answer;
        struct problem problem = { 0 };
        memory_fail_at(n, false);
        enum status status = recommend_search(&study->set, &request, &answer, &problem);
        bool reached = memory_calls() >= n;
        memory_fail_at(0, false);
        CU_ASSERT(status == STATUS_OK || status == STATUS_MEMORY);
        failed += status == STATUS_MEMORY;
        if (status == STATUS_OK)
            recommendation_release(&answer);
        if (!reached)
            break;
    }
    CU_ASSERT(failed > 100);
    free(study);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "the lightest, by hand", lightest_by_hand },
        { "tested mixes, by hand", tested_mixes_by_hand },
        { "mean and fractile", assurances_by_hand },
        { "the strongest under a piece mass", strongest_under_a_piece_mass },
        { "nothing is strong enough", nothing_is_strong_enough },
        { "the sentence", the_sentence },
        { "rounding keeps the side of the demand", rounding_keeps_the_side },
        { "aggregates compete, or one is asked for", aggregates_compete },
        { "the law asked for, and the others beside it", asked_law_and_what_others_say },
        { "one batch is no bound", one_batch_is_no_bound },
        { "batches that would do", batches_that_would_do },
        { "costs by hand", costs },
        { "limits of the fraction by resampling", resampling },
        { "impossible requests", impossible_requests },
        { "each allocation failing", each_allocation_failing },
    };
    return check_run("recommend", cases, sizeof cases / sizeof cases[0]);
}
