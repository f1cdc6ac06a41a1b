#include "hand_study.h"

/* What is said where a mix and the curve at its fraction disagree, and at the ends of what was tested. */

static bool cautioned(const struct candidate *candidate, const char *words)
{
    for (size_t i = 0; i < candidate->n_cautions; i++)
        if (strstr(candidate->cautions[i], words))
            return true;
    return false;
}

/* One row of a study: a mix of clay and its strength by batch, 0 ending them. */
struct trial { const char *mix; double fraction, strength[5]; };

static struct invented *study_of(const struct trial *trials, size_t n)
{
    static const char *const batches[] = { "1", "2", "3", "4", "5" };
    struct invented *study = invented_new();
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; trials[i].strength[j] > 0; j++)
            for (int k = 0; k < 2; k++) {
                struct invented_row row = { trials[i].mix, "clay", batches[j], trials[i].fraction, 28, MOISTURE_OVEN_DRY };
                size_t at = invented_add(study, &row);
                invented_value(study, at, PROPERTY_COMPRESSIVE_STRENGTH, trials[i].strength[j] + (k ? 0.1 : -0.1));
                invented_value(study, at, PROPERTY_DENSITY, 2000 - 1000 * trials[i].fraction + (k ? 5 : -5) + (double)j);
            }
    return study;
}

static const struct candidate *named(const struct invented *study, const struct recommendation *answer, const char *mix)
{
    for (size_t i = 0; i < answer->n_candidates; i++) {
        const struct candidate *candidate = &answer->candidates[i];
        if (candidate->interpolated ? mix == NULL : mix && strcmp(study->set.mixes[candidate->mix].name, mix) == 0)
            return candidate;
    }
    CU_FAIL_FATAL("no such candidate");
    return NULL;
}

/* Two batches far apart assure nothing by themselves; on the line of eleven batches they do. */
static void curve_passes_where_the_mix_fails(void)
{
    static const struct trial trials[] = {
        { "C1", 0.1, { 19.2, 18.8, 19 } }, { "C2", 0.2, { 18, 18.3, 17.7 } }, { "C3", 0.3, { 17.1, 16.9, 17 } }, { "C4", 0.4, { 15.5, 16.5 } },
    };
    struct invented *study = study_of(trials, 4);
    struct recommend_request request = request_of(LAW_LINEAR);
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 14.5);
    struct recommendation answer = search(study, &request, STATUS_OK);
    const struct candidate *curve = named(study, &answer, NULL), *mix = named(study, &answer, "C4");
    CU_ASSERT(curve->feasible && !mix->feasible);
    check_close("at the mix's fraction", curve->aggregate_fraction, 0.4, 1e-9);
    CU_ASSERT(cautioned(curve, "mix 'C4' was cast at this fraction and fails by its own 2 batches; the curve passes, since it rests on all 11"));
    CU_ASSERT_PTR_NOT_NULL(strstr(mix->why_not, "the curve of its aggregate meets the demands at this fraction, since it rests on 11 batches and this mix on 2"));
    recommendation_release(&answer);
    free(study);
}

/* A mix above the line of its neighbours. */
static void mix_passes_where_the_curve_fails(void)
{
    static const struct trial trials[] = {
        { "C1", 0.1, { 16.1, 15.9, 16 } }, { "C2", 0.2, { 14.1, 13.9, 14 } }, { "C3", 0.3, { 14.1, 14, 13.9 } }, { "C4", 0.4, { 10, 10.1, 9.9 } },
        { "C5", 0.5, { 8.1, 7.9, 8 } },
    };
    struct invented *study = study_of(trials, 5);
    struct recommend_request request = request_of(LAW_LINEAR);
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 13.2);
    struct recommendation answer = search(study, &request, STATUS_OK);
    const struct candidate *mix = named(study, &answer, "C3");
    CU_ASSERT_TRUE(mix->feasible);
    CU_ASSERT(cautioned(mix, "meets the demands by its own 3 batches, but the curve of its aggregate (15 batches) does not at this fraction"));
    CU_ASSERT_FALSE(cautioned(named(study, &answer, "C1"), "may have been lucky"));
    CU_ASSERT_PTR_NULL(strstr(named(study, &answer, "C5")->why_not, "the curve of its aggregate meets"));
    recommendation_release(&answer);
    free(study);
}

static void ends_of_what_was_tested(void)
{
    static const struct trial trials[] = {
        { "C1", 0.1, { 19.2, 18.8, 19 } }, { "C2", 0.2, { 18, 18.3, 17.7 } }, { "C4", 0.4, { 16.1, 15.9, 16 } },
    };
    struct invented *study = study_of(trials, 3);
    struct recommend_request request = request_of(LAW_LINEAR);
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 10);
    struct recommendation answer = search(study, &request, STATUS_OK);
    const char *words = "0.4 is the largest fraction of clay that was tested: nothing tells what lies beyond";
    CU_ASSERT_EQUAL(answer.candidates[0].edge, 1);
    CU_ASSERT(cautioned(&answer.candidates[0], words) && cautioned(named(study, &answer, "C4"), words));
    CU_ASSERT_FALSE(cautioned(named(study, &answer, "C2"), "nothing tells"));
    recommendation_release(&answer);
    request.seek = SEEK_STRONGEST;
    answer = search(study, &request, STATUS_OK);
    CU_ASSERT_EQUAL(answer.candidates[0].edge, -1);
    CU_ASSERT(cautioned(&answer.candidates[0], "0.1 is the smallest fraction of clay that was tested"));
    recommendation_release(&answer);
    free(study);
    /* Below no aggregate and above nothing but aggregate there is nothing. */
    study = hand_study();
    request.targets[0].value = 5;
    answer = search(study, &request, STATUS_OK);
    CU_ASSERT_EQUAL(answer.candidates[0].aggregate_fraction, 0);
    CU_ASSERT_EQUAL(answer.candidates[0].edge, 0);
    recommendation_release(&answer);
    free(study);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "the curve passes where the mix fails", curve_passes_where_the_mix_fails },
        { "the mix passes where the curve fails", mix_passes_where_the_curve_fails },
        { "ends of what was tested", ends_of_what_was_tested },
    };
    return check_run("agreement", cases, sizeof cases / sizeof cases[0]);
}
