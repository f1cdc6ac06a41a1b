/* Reasons where all strengths are far below 1 MPa: only a bound below zero is none. */
#include "hand_study.h"

/* Three batches of means 0.65, 0.7 and 0.75 MPa: those of reason.c divided by 20, so the count of batches is the same. */
static void batches_that_would_do(void)
{
    struct invented *study = three_batches(1, 0.5, 20, 500);
    struct recommend_request request = request_of(LAW_AUTO);
    request.assurance.specimens_per_batch = 2;
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 0.6);
    struct recommendation answer = search(study, &request, STATUS_ANSWER_NO);
    double assured = answer.candidates[0].outcomes[0].assured;
    CU_ASSERT(assured > 0 && assured < 0.6);
    CU_ASSERT(strstr(answer.candidates[0].why_not, "about 6 more batches would do if mean and scatter stay") != NULL);
    recommendation_release(&answer);
    free(study);
}

int main(void)
{
    static const struct check_case cases[] = { { "batches that would do", batches_that_would_do } };
    return check_run("small strengths", cases, sizeof cases / sizeof *cases);
}
