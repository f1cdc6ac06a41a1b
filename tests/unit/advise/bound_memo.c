/* Bounds remembered: each is the one that would be worked out anew, however full the memory is. */
#include "hand_study.h"

#include "advise/search.h"

static void same_as_worked_out(void)
{
    enum { POINTS = 20000 }; /* more than there is room for, so that they crowd and push one another out */
    struct invented *study = hand_study();
    struct recommend_request request = request_of(LAW_LINEAR);
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 12);
    struct recommendation answer = search(study, &request, STATUS_OK);
    const struct curve *curve = recommendation_curve(&answer, 0, PROPERTY_COMPRESSIVE_STRENGTH);
    CU_ASSERT_PTR_NOT_NULL_FATAL(curve);
    struct bound_memo memo;
    CU_ASSERT_EQUAL_FATAL(bound_memo_make(&memo), STATUS_OK);
    size_t wrong = 0;
    for (int i = 0; i < POINTS; i++) {
        double x = (double)i / POINTS, low = curve_bound(curve, x, &request.assurance, -1), high = curve_bound(curve, x, &request.assurance, 1);
        wrong += bound_memo_get(&memo, curve, x, &request.assurance, 1) != high;
        wrong += bound_memo_get(&memo, curve, x, &request.assurance, -1) != low;
        wrong += bound_memo_get(&memo, curve, x, &request.assurance, 1) != high;
    }
    CU_ASSERT_EQUAL(wrong, 0);
    bound_memo_release(&memo);
    recommendation_release(&answer);
    free(study);
}

int main(void)
{
    static const struct check_case cases[] = { { "the same as worked out", same_as_worked_out } };
    return check_run("bound memo", cases, sizeof cases / sizeof *cases);
}
