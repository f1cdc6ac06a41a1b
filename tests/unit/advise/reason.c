#include "hand_study.h"

#include "advise/words.h"
#include "base/memory.h"

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
        { "the sentence", the_sentence },
        { "rounding keeps the side of the demand", rounding_keeps_the_side },
        { "nothing is strong enough", nothing_is_strong_enough },
        { "one batch is no bound", one_batch_is_no_bound },
        { "batches that would do", batches_that_would_do },
        { "impossible requests", impossible_requests },
        { "each allocation failing", each_allocation_failing },
    };
    return check_run("reason", cases, sizeof cases / sizeof cases[0]);
}
