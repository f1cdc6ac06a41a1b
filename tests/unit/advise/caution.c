#include "hand_study.h"

static bool cautioned(const struct candidate *candidate, const char *words)
{
    for (size_t i = 0; i < candidate->n_cautions; i++)
        if (strstr(candidate->cautions[i], words))
            return true;
    return false;
}

static bool noticed(const struct recommendation *answer, const char *words)
{
    for (size_t i = 0; i < answer->notices.n_items; i++)
        if (strstr(answer->notices.items[i].text, words))
            return true;
    return false;
}

/* Strengths y at the hand study's fractions, in batches of two specimens 0.1 apart, batches 0.2 apart. */
static struct invented *batched_study(const double *y, size_t n_batches, enum moisture state, double age_days)
{
    static const char *const batches[] = { "1", "2", "3", "4" };
    struct invented *study = invented_new();
    for (size_t i = 0; i < 5; i++)
        for (size_t j = 0; j < n_batches; j++)
            for (size_t k = 0; k < 2; k++) {
                struct invented_row row = { hand_names[i], "clay", batches[j], hand_fractions[i], age_days, state };
                size_t at = invented_add(study, &row);
                double luck = 0.2 * ((double)j - 0.5 * (double)(n_batches - 1)) + (k ? 0.05 : -0.05);
                invented_value(study, at, PROPERTY_COMPRESSIVE_STRENGTH, y[i] + luck);
                invented_value(study, at, PROPERTY_DENSITY, 2000 - 1000 * hand_fractions[i] + 20 * luck);
            }
    return study;
}

static const double straight[] = { 20, 17.5, 15, 12.5, 10 }, humped[] = { 10, 16, 18, 16, 10 };

static void not_yet_cast(void)
{
    struct invented *study = batched_study(straight, 3, MOISTURE_OVEN_DRY, 28);
    struct recommend_request request = request_of(LAW_LINEAR);
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 14);
    struct recommendation answer = search(study, &request, STATUS_OK);
    const struct candidate *winner = &answer.candidates[0];
    CU_ASSERT(winner->interpolated);
    check_text(winner->cautions[0], "not yet cast: make a confirming batch first");
    CU_ASSERT(cautioned(winner, "the best mix already cast that meets all demands is 'C50' (1500 kg/m3)"));
    CU_ASSERT(cautioned(winner, "load-bearing use needs the local code"));
    CU_ASSERT_FALSE(cautioned(winner, "batch only"));
    CU_ASSERT_FALSE(cautioned(winner, "dry pieces weigh less"));
    CU_ASSERT_FALSE(cautioned(winner, "days"));
    CU_ASSERT_FALSE(cautioned(winner, "misses"));
    CU_ASSERT_EQUAL(answer.notices.n_items, 0);
    recommendation_release(&answer);
    free(study);
}

/* Three batches that all read 15.0: an assured 15.0 is not sure. */
static void no_scatter_is_told(void)
{
    static const char *const batches[] = { "1", "2", "3" };
    static const double read[][3] = { { 15, 15, 15 }, { 15, 15.1, 15 } };
    struct recommend_request request = request_of(LAW_LINEAR);
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 14);
    for (size_t i = 0; i < 2; i++) {
        struct invented *study = invented_new();
        for (size_t j = 0; j < 3; j++) {
            struct invented_row row = { "C50", "clay", batches[j], 0.5, 28, MOISTURE_OVEN_DRY };
            size_t at = invented_add(study, &row);
            invented_value(study, at, PROPERTY_COMPRESSIVE_STRENGTH, read[i][j]);
            invented_value(study, at, PROPERTY_DENSITY, 1500);
        }
        struct recommendation answer = search(study, &request, STATUS_OK);
        const char *words = "the results of compressive strength agree to the last digit";
        CU_ASSERT_EQUAL(cautioned(&answer.candidates[0], words), i == 0);
        CU_ASSERT_FALSE(cautioned(&answer.candidates[0], "the results of density")); /* no demand on it */
        recommendation_release(&answer);
        free(study);
    }
}

static void curve_at_a_tested_fraction(void)
{
    struct invented *study = batched_study(straight, 1, MOISTURE_OVEN_DRY, 28);
    struct recommend_request request = request_of(LAW_LINEAR);
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 5); /* met everywhere: the lightest is the last fraction */
    struct recommendation answer = search(study, &request, STATUS_OK);
    const struct candidate *winner = &answer.candidates[0];
    CU_ASSERT(winner->interpolated);
    CU_ASSERT_EQUAL(winner->at_mix, 4);
    CU_ASSERT(cautioned(winner, "judged by the curve of its aggregate, not by mix 'C100' alone"));
    CU_ASSERT_FALSE(cautioned(winner, "the best mix already cast")); /* one batch each: no mix is assured */
    const struct candidate *tested = candidate_of(&answer, 4);
    CU_ASSERT(cautioned(tested, "cast in 1 batch only: 2 more would make the bound worth more"));
    CU_ASSERT(strstr(tested->why_not, "1 batch cannot assure its compressive strength") != NULL);
    recommendation_release(&answer);
    free(study);
}

static void doubtful_law(void)
{
    struct invented *study = batched_study(humped, 2, MOISTURE_OVEN_DRY, 28);
    struct recommend_request request = request_of(LAW_QUADRATIC);
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 12);
    struct recommendation answer = search(study, &request, STATUS_OK);
    const struct candidate *winner = &answer.candidates[0];
    CU_ASSERT(winner->interpolated);
    CU_ASSERT(cautioned(winner, "the quadratic law of compressive strength turns within the tested range: doubtful"));
    /* The lightest end of the stretch that is strong enough, not the heavy one. */
    CU_ASSERT(winner->aggregate_fraction > 0.75);
    recommendation_release(&answer);
    request.law = LAW_LINEAR; /* misses the hump */
    request.targets[0].value = 11;
    request.assurance.kind = ASSURANCE_MEAN;
    answer = search(study, &request, STATUS_OK);
    CU_ASSERT(cautioned(candidate_of(&answer, SAMPLE_ALL), "the linear law misses the mean compressive strength of the mixes by more than their batches explain"));
    char sentence[600];
    recommendation_sentence(&study->set, &request, &answer, false, sentence, sizeof sentence);
    CU_ASSERT(answer.candidates[answer.winner].interpolated);
    CU_ASSERT(strstr(sentence, "the curve of compressive strength misses the mixes that were cast by more than their scatter") != NULL);
    recommendation_release(&answer);
    free(study);
}

static void states_and_ages(void)
{
    struct invented *study = batched_study(straight, 3, MOISTURE_SATURATED, 7);
    struct recommend_request request = request_of(LAW_LINEAR);
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 14);
    struct recommendation answer = search(study, &request, STATUS_OK);
    CU_ASSERT(cautioned(&answer.candidates[0], "density is that of saturated specimens: dry pieces weigh less"));
    CU_ASSERT(cautioned(&answer.candidates[0], "judged at 7 days, before the usual 28"));
    check_close("settled age", answer.selection.age_days, 7, 0);
    recommendation_release(&answer);
    free(study);
    study = batched_study(straight, 2, MOISTURE_UNKNOWN, NAN);
    answer = search(study, &request, STATUS_OK);
    CU_ASSERT(cautioned(&answer.candidates[0], "no moisture state is told with the density"));
    CU_ASSERT(cautioned(candidate_of(&answer, 1), "cast in 2 batches only: 1 more would make the bound worth more"));
    recommendation_release(&answer);
    free(study);
}

static void notices(void)
{
    struct invented *study = hand_study();
    struct recommend_request request = request_of(LAW_LINEAR);
    struct recommendation answer = search(study, &request, STATUS_OK);
    CU_ASSERT(noticed(&answer, "no target or limit is set"));
    CU_ASSERT(cautioned(&answer.candidates[0], "no batches are told"));
    CU_ASSERT_FALSE(noticed(&answer, "there is no batch column")); /* said once */
    CU_ASSERT_FALSE(noticed(&answer, "no aggregate fraction"));
    CU_ASSERT_EQUAL(answer.candidates[0].mix, 4); /* the curve and the mix at 1 weigh the same: the tested one goes first */
    CU_ASSERT(answer.candidates[1].interpolated);
    recommendation_release(&answer);
    study->set.has_fraction = false;
    for (size_t i = 0; i < study->set.n_mixes; i++)
        study->mixes[i].aggregate_fraction = NAN;
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 5);
    answer = search(study, &request, STATUS_OK);
    CU_ASSERT(noticed(&answer, "no aggregate fraction is known, so only tested mixes are compared"));
    CU_ASSERT(noticed(&answer, "no mix has an aggregate fraction of 0 to count from"));
    CU_ASSERT(isnan(answer.candidates[0].percent_lighter));
    CU_ASSERT_EQUAL(answer.n_candidates, 5);
    recommendation_release(&answer);
    free(study);
}

/* Straight lines from 20 MPa and 1800 kg/m3 at the first fraction to 10 and 1400 at the last, three batches each. */
static struct invented *few_fractions(const double *fractions, size_t n)
{
    static const char *const batches[] = { "1", "2", "3" };
    struct invented *study = invented_new();
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < 6; j++) {
            const double part = (fractions[i] - fractions[0]) / (fractions[n - 1] - fractions[0]), luck = 0.1 * ((double)(j / 2) - 1) + (j % 2 ? 0.05 : -0.05);
            struct invented_row row = { hand_names[i], "clay", batches[j / 2], fractions[i], 28, MOISTURE_OVEN_DRY };
            size_t at = invented_add(study, &row);
            invented_value(study, at, PROPERTY_COMPRESSIVE_STRENGTH, 20 - 10 * part + luck);
            invented_value(study, at, PROPERTY_DENSITY, 1800 - 400 * part + 20 * luck);
        }
    return study;
}

/* What the chosen laws are, and whether the answer says that their shape is untested. */
static void check_shape(const double *fractions, size_t n, enum law asked, enum law strength, enum law density, bool untested)
{
    struct invented *study = few_fractions(fractions, n);
    struct recommend_request request = request_of(asked);
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 12);
    struct recommendation answer = search(study, &request, STATUS_OK);
    const char *words = n == 2 ? "with 2 fractions of clay only, nothing tests the shape of its curve of density between them"
                               : "with 3 fractions of clay only, nothing tests the shape of its curve of density between them";
    char sentence[2048];
    CU_ASSERT_TRUE(answer.candidates[0].interpolated);
    CU_ASSERT_EQUAL(recommendation_curves(&answer, 0, PROPERTY_COMPRESSIVE_STRENGTH)->chosen, strength);
    CU_ASSERT_EQUAL(recommendation_curves(&answer, 0, PROPERTY_DENSITY)->chosen, density);
    CU_ASSERT_EQUAL(cautioned(&answer.candidates[0], words), untested);
    CU_ASSERT_EQUAL(recommendation_sentence(&study->set, &request, &answer, false, sentence, sizeof sentence), STATUS_OK);
    CU_ASSERT_EQUAL(strstr(sentence, words) != NULL, untested);
    recommendation_release(&answer);
    free(study);
}

/* Half way 15 MPa by a line, 14.1 by an exponential, 12.9 by a power law: the lowest is the cautious one; of densities the highest. */
static void shape_of_few_fractions(void)
{
    static const double two[] = { 0.2, 0.6 }, from_none[] = { 0, 0.6 }, three[] = { 0.2, 0.4, 0.6 };
    check_shape(two, 2, LAW_AUTO, LAW_POWER, LAW_LINEAR, true);
    check_shape(from_none, 2, LAW_AUTO, LAW_EXPONENTIAL, LAW_LINEAR, true);
    check_shape(two, 2, LAW_EXPONENTIAL, LAW_EXPONENTIAL, LAW_EXPONENTIAL, true);
    check_shape(three, 3, LAW_QUADRATIC, LAW_QUADRATIC, LAW_QUADRATIC, true);
    check_shape(three, 3, LAW_LINEAR, LAW_LINEAR, LAW_LINEAR, false);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "not yet cast, and what is", not_yet_cast },
        { "a curve at a tested fraction", curve_at_a_tested_fraction },
        { "doubtful laws", doubtful_law },
        { "moisture states and ages", states_and_ages },
        { "notices", notices },
        { "the shape of curves through few fractions", shape_of_few_fractions },
        { "no scatter at all", no_scatter_is_told },
    };
    return check_run("caution", cases, sizeof cases / sizeof cases[0]);
}
