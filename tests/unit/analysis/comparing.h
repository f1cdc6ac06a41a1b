#ifndef TESTS_UNIT_ANALYSIS_COMPARING_H
#define TESTS_UNIT_ANALYSIS_COMPARING_H

#include "support/check.h"
#include "support/invented.h"

#include "analysis/comparison.h"

static inline struct comparison_question ask(void)
{
    struct comparison_question question = { .selection = selection_all(), .confidence = 0.95, .law = LAW_AUTO };
    return question;
}

static inline struct mix_comparison compare(struct invented *study, const struct comparison_question *question)
{
    struct mix_comparison answer;
    struct problem problem = { 0 };
    CU_ASSERT_EQUAL_FATAL(mix_comparison_make(&study->set, question, &answer, &problem), STATUS_OK);
    return answer;
}

static inline void finish(struct invented *study, struct mix_comparison *answer)
{
    mix_comparison_release(answer);
    free(study);
}

/* Density of a mix with its aggregate and fraction, and a strength beside it unless it is NaN. */
static inline void add_both(struct invented *study, const char *mix, const char *aggregate, double fraction, const char *batch,
                     double density_kg_m3, double strength_mpa)
{
    struct invented_row row = { mix, aggregate, batch, fraction, 28, MOISTURE_AIR_DRY };
    size_t i = invented_add(study, &row);
    invented_value(study, i, PROPERTY_DENSITY, density_kg_m3);
    invented_value(study, i, PROPERTY_COMPRESSIVE_STRENGTH, strength_mpa);
}

#endif
