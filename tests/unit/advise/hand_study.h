#ifndef TESTS_UNIT_ADVISE_HAND_STUDY_H
#define TESTS_UNIT_ADVISE_HAND_STUDY_H

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
static const double hand_fractions[] = { 0, 0.25, 0.5, 0.75, 1 };
static const char *const hand_names[] = { "C0", "C25", "C50", "C75", "C100" };

static inline struct invented *hand_study(void)
{
    struct invented *study = invented_new();
    for (size_t i = 0; i < 5; i++)
        for (size_t k = 0; k < 2; k++) {
            struct invented_row row = { hand_names[i], "clay", NULL, hand_fractions[i], 28, MOISTURE_OVEN_DRY };
            size_t at = invented_add(study, &row);
            invented_value(study, at, PROPERTY_COMPRESSIVE_STRENGTH, 20 - 10 * hand_fractions[i] + (k ? 0.5 : -0.5));
            invented_value(study, at, PROPERTY_DENSITY, 2000 - 1000 * hand_fractions[i] + (k ? -10 : 10));
        }
    return study;
}

/* Three batches of two specimens, `within` above and below means `step` apart about 14 MPa, all strengths then divided by `weaker`. */
static inline struct invented *three_batches(double step, double within, double weaker, double density)
{
    static const char *const batches[] = { "1", "2", "3" };
    struct invented *study = invented_new();
    for (size_t j = 0; j < 3; j++)
        for (size_t k = 0; k < 2; k++) {
            struct invented_row row = { "C1", "clay", batches[j], 0.3, 28, MOISTURE_OVEN_DRY };
            size_t at = invented_add(study, &row);
            invented_value(study, at, PROPERTY_COMPRESSIVE_STRENGTH, (14 + step * ((double)j - 1) + (k ? within : -within)) / weaker);
            invented_value(study, at, PROPERTY_DENSITY, density + 10 * (double)j);
        }
    return study;
}

static inline struct recommend_request request_of(enum law law)
{
    return (struct recommend_request){
        .selection = selection_all(), .law = law, .piece = PIECE_NONE,
        .assurance = { ASSURANCE_NEXT_BATCH, 0.95, 0.05, 3 },
    };
}

static inline void demand_target(struct recommend_request *request, enum property property, double value)
{
    request->targets[request->n_targets++] = (struct demand){ DEMAND_PROPERTY, property, value };
}

static inline struct recommendation search(const struct invented *study, const struct recommend_request *request, enum status want)
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
static inline double crossing_by_hand(double target, double spread, double extra)
{
    double t = t_quantile(0.95, 8), v = t * t * spread;
    double a = 100 - v / 1.25, b = -20 * (20 - target) + v / 1.25, c = (20 - target) * (20 - target) - v * (extra + 0.1 + 0.25 / 1.25);
    return (-b - sqrt(b * b - 4 * a * c)) / (2 * a);
}

static inline const struct candidate *candidate_of(const struct recommendation *answer, uint32_t mix)
{
    for (size_t i = 0; i < answer->n_candidates; i++)
        if (answer->candidates[i].mix == mix)
            return &answer->candidates[i];
    CU_FAIL_FATAL("no such candidate");
    return NULL;
}

/* A second aggregate, pumice, lighter but weaker: 14 - 10 x and 1700 - 800 x. */
static inline struct invented *two_aggregates(void)
{
    static const char *const pumice[] = { "P0", "P25", "P50", "P75", "P100" };
    struct invented *study = hand_study();
    for (size_t i = 0; i < 5; i++)
        for (size_t k = 0; k < 2; k++) {
            struct invented_row row = { pumice[i], "pumice", NULL, hand_fractions[i], 28, MOISTURE_OVEN_DRY };
            size_t at = invented_add(study, &row);
            invented_value(study, at, PROPERTY_COMPRESSIVE_STRENGTH, 14 - 10 * hand_fractions[i] + (k ? 0.5 : -0.5));
            invented_value(study, at, PROPERTY_DENSITY, 1700 - 800 * hand_fractions[i] + (k ? -10 : 10));
        }
    return study;
}

#endif
