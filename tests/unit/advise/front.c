#include "hand_study.h"

/* The front of density, strength and cost. */

static bool as_good(const struct front_recipe *a, double density, double assured)
{
    return a->density_kg_m3 <= density && a->strength_assured_mpa >= assured;
}

static bool on_front(const struct recommendation *answer, uint32_t mix)
{
    for (size_t i = 0; i < answer->n_front; i++)
        if (!answer->front[i].interpolated && answer->front[i].mix == mix)
            return true;
    return false;
}

/* Lighter and weaker along each aggregate; the pumice is the lighter one at any strength that both reach. */
static void nobody_is_beaten(void)
{
    struct invented *study = two_aggregates();
    struct recommend_request request = request_of(LAW_LINEAR);
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 8);
    request.sensitivity = true;
    struct recommendation answer = search(study, &request, STATUS_OK);
    CU_ASSERT_TRUE_FATAL(answer.n_front > 5);
    for (size_t i = 0; i < answer.n_front; i++) {
        const struct front_recipe *a = &answer.front[i];
        CU_ASSERT_TRUE(isnan(a->cost));
        CU_ASSERT_EQUAL(a->meets, a->strength_assured_mpa >= 8);
        CU_ASSERT_TRUE(i == 0 || a->density_kg_m3 >= answer.front[i - 1].density_kg_m3);
        for (size_t j = 0; j < answer.n_front; j++)
            CU_ASSERT_FALSE(i != j && as_good(&answer.front[j], a->density_kg_m3, a->strength_assured_mpa));
    }
    /* Whoever is missing is beaten by somebody. */
    for (uint32_t mix = 0; mix < study->set.n_mixes; mix++) {
        const struct candidate *candidate = candidate_of(&answer, mix);
        bool beaten = false;
        for (size_t i = 0; i < answer.n_front; i++)
            beaten = beaten || as_good(&answer.front[i], candidate->density_kg_m3, candidate->outcomes[0].assured);
        CU_ASSERT_TRUE(on_front(&answer, mix) || beaten);
    }
    recommendation_release(&answer);
    request.sensitivity = false;
    answer = search(study, &request, STATUS_OK);
    CU_ASSERT_EQUAL(answer.n_front, 0);
    recommendation_release(&answer);
    free(study);
}

/* Tested fractions are the mixes themselves, the steps between them points on the curve inside what was tested. */
static void steps_between_the_mixes(void)
{
    struct invented *study = hand_study();
    struct recommend_request request = request_of(LAW_LINEAR);
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 14);
    request.sensitivity = true;
    struct recommendation answer = search(study, &request, STATUS_OK);
    for (size_t i = 0; i < answer.n_front; i++) {
        const struct front_recipe *point = &answer.front[i];
        const bool cast = fabs(remainder(point->aggregate_fraction, 0.25)) < 1e-9;
        CU_ASSERT_EQUAL(point->interpolated, !cast);
        check_close("density", point->density_kg_m3, 2000 - 1000 * point->aggregate_fraction, 1e-9);
        check_close("strength", point->strength_mpa, 20 - 10 * point->aggregate_fraction, 1e-9);
        CU_ASSERT_TRUE(point->strength_assured_mpa < point->strength_mpa);
    }
    recommendation_release(&answer);
    free(study);
}

/* A cost that only some recipes have can beat nobody: it is told of none. */
static void costs_of_all_or_none(void)
{
    struct mix mixes[5];
    for (size_t i = 0; i < 5; i++)
        mixes[i] = (struct mix){
            .name = (char *)hand_names[i], .aggregate = (char *)"clay", .binder = (char *)"cement",
            .binder_parts = 4 * (1 - hand_fractions[i]), .light_parts = 4 * hand_fractions[i], .sand_parts = NAN, .gravel_parts = NAN,
            .yield = 0.8, .fibre_kg_m3 = NAN, .pigment_pct = NAN, .water_binder = 0.5,
        };
    static struct material materials[] = {
        { .name = (char *)"cement", .bulk_density_kg_m3 = 1200, .price_per_kg = 0.15 },
        { .name = (char *)"clay", .bulk_density_kg_m3 = 400, .price_per_kg = 0.9 },
    };
    struct mix_list mix_list = { mixes, 5, NULL };
    struct material_list material_list = { materials, 2, NULL };
    struct recommend_request request = request_of(LAW_LINEAR);
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 8);
    request.sensitivity = true;
    request.mixes = &mix_list;
    request.materials = &material_list;
    for (int pumice = 0; pumice < 2; pumice++) { /* its mixes have no recipe */
        struct invented *study = pumice ? two_aggregates() : hand_study();
        struct recommendation answer = search(study, &request, STATUS_OK);
        CU_ASSERT(answer.n_front > 5);
        for (size_t i = 0; i < answer.n_front; i++)
            CU_ASSERT_EQUAL(isnan(answer.front[i].cost) != 0, pumice);
        recommendation_release(&answer);
        free(study);
    }
}

/* What comes to a demand exactly meets it. */
static void exactly_enough(void)
{
    struct invented *study = hand_study();
    struct recommend_request request = request_of(LAW_LINEAR);
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 8);
    request.sensitivity = true;
    struct recommendation answer = search(study, &request, STATUS_OK);
    size_t point = 0, met = 0;
    while (point < answer.n_front && !answer.front[point].interpolated)
        point++;
    CU_ASSERT_FATAL(point < answer.n_front);
    request.targets[0].value = answer.front[point].strength_assured_mpa;
    recommendation_release(&answer);
    answer = search(study, &request, STATUS_OK);
    for (size_t i = 0; i < answer.n_front; i++)
        if (answer.front[i].interpolated && answer.front[i].strength_assured_mpa == request.targets[0].value) {
            CU_ASSERT_TRUE(answer.front[i].meets);
            met++;
        }
    CU_ASSERT_EQUAL(met, 1);
    recommendation_release(&answer);
    free(study);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "nobody on the front is beaten, all others are", nobody_is_beaten },
        { "steps between the mixes", steps_between_the_mixes },
        { "costs of all or none", costs_of_all_or_none },
        { "what comes to a demand exactly meets it", exactly_enough },
    };
    return check_run("front", cases, sizeof cases / sizeof cases[0]);
}
