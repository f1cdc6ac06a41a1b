#include "hand_study.h"

static bool is_noted(const struct recommendation *answer, const char *words)
{
    for (size_t i = 0; i < answer->notices.n_items; i++)
        if (strstr(answer->notices.items[i].text, words))
            return true;
    return false;
}

/* Two mixes of pumice, one batch each, give no curve, which is said; of slag there is one mix, and no curve to miss. */
static void aggregates_without_curve(void)
{
    static const struct { const char *mix, *aggregate; double fraction; } cast[] = { { "P1", "pumice", 0.3 }, { "P2", "pumice", 0.6 }, { "S1", "slag", 0.4 } };
    struct invented *study = hand_study();
    struct recommend_request request = request_of(LAW_LINEAR);
    for (size_t i = 0; i < 3; i++)
        for (int k = 0; k < 2; k++) {
            struct invented_row row = { cast[i].mix, cast[i].aggregate, "B1", cast[i].fraction, 28, MOISTURE_OVEN_DRY };
            size_t at = invented_add(study, &row);
            invented_value(study, at, PROPERTY_COMPRESSIVE_STRENGTH, 14 + k);
            invented_value(study, at, PROPERTY_DENSITY, 1600 + 10 * k);
        }
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 12);
    struct recommendation answer = search(study, &request, STATUS_OK);
    CU_ASSERT_TRUE(is_noted(&answer, "compressive strength of 'pumice' has no curve, so only its tested mixes are compared"));
    CU_ASSERT_TRUE(is_noted(&answer, "density of 'pumice' has no curve"));
    CU_ASSERT_FALSE(is_noted(&answer, "'slag'"));
    CU_ASSERT_FALSE(is_noted(&answer, "'clay'"));
    recommendation_release(&answer);
    free(study);
}

int main(void)
{
    static const struct check_case cases[] = { { "aggregates without a curve", aggregates_without_curve } };
    return check_run("fit curves", cases, sizeof cases / sizeof *cases);
}
