#include "support/check.h"

#include "advise/recommend.h"
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
    puts(sentence);
    recommendation_sentence(&study->set, &request, &answer, true, sentence, sizeof sentence);
    puts(sentence);
    for (size_t i = 0; i < answer.n_candidates; i++) {
        printf("%zu %d %g %g: %s\n", i, answer.candidates[i].interpolated, answer.candidates[i].aggregate_fraction, answer.candidates[i].density_kg_m3, answer.candidates[i].why_not);
        for (size_t k = 0; k < answer.candidates[i].n_cautions; k++) printf("    ! %s\n", answer.candidates[i].cautions[k]);
    }
    for (size_t i = 0; i < answer.notices.n_items; i++) printf("* %s\n", answer.notices.items[i].text);
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
        { "nothing is strong enough", nothing_is_strong_enough },
        { "the sentence", the_sentence },
    };
    return check_run("recommend", cases, sizeof cases / sizeof cases[0]);
}
