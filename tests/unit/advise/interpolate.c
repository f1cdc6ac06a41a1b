/* Fractions between the mixes: which one is shown, and where a cost has the last word. */
#include "hand_study.h"

static struct mix mixes[] = {
    { .name = (char *)"C0", .aggregate = (char *)"clay", .binder = (char *)"cement", .binder_parts = 4, .light_parts = 0,
      .sand_parts = NAN, .gravel_parts = NAN, .yield = 0.8, .fibre_kg_m3 = NAN, .pigment_pct = NAN, .water_binder = 0.5 },
    { .name = (char *)"C100", .aggregate = (char *)"clay", .binder = (char *)"cement", .binder_parts = 0, .light_parts = 4,
      .sand_parts = NAN, .gravel_parts = NAN, .yield = 0.8, .fibre_kg_m3 = NAN, .pigment_pct = NAN, .water_binder = 0.5 },
};
static struct material materials[] = {
    { .name = (char *)"cement", .bulk_density_kg_m3 = 1200, .price_per_kg = 0.15 },
    { .name = (char *)"clay", .bulk_density_kg_m3 = 400, .price_per_kg = 0.9 },
};

/*
 * Demands that leave less than a thousandth of room: the strength's crossing bounds the fraction from above, the density's, 0.3
 * kg/m3 more than the bound there at 1000 kg/m3 for the whole range, from 0.0003 below. No thousandth lies between: the next
 * finer step is shown.
 */
static void fraction_between_thousandths(void)
{
    struct invented *study = hand_study();
    struct recommend_request request = request_of(LAW_LINEAR);
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 12);
    request.limits[request.n_limits++] = (struct demand){ DEMAND_PROPERTY, PROPERTY_DENSITY, 2000 };
    struct recommendation answer = search(study, &request, STATUS_OK);
    double x = answer.candidates[0].aggregate_fraction, bound = answer.candidates[0].outcomes[1].assured;
    check_close("crossing", x, crossing_by_hand(12, 0.3125, 1), 1e-9);
    CU_ASSERT_FATAL(floor(x * 1000) / 1000 < x - 0.0004);
    recommendation_release(&answer);
    request.limits[0].value = bound + 0.3;
    answer = search(study, &request, STATUS_OK);
    double shown = answer.candidates[0].shown_fraction;
    check_close("fraction", answer.candidates[0].aggregate_fraction, x, 1e-9);
    CU_ASSERT(shown <= x && shown > x - 0.00032);
    check_close("four decimals", shown, round(shown * 1e4) / 1e4, 1e-12);
    recommendation_release(&answer);
    free(study);
}

/*
 * 1250 L of loose ingredients a m3: 1500 kg of cement at 0.15 come to 225, 500 kg of clay at 0.9 to 450, and all
 * between them lies on the line 225 + 225 x. A limit of 315 stops the search for less weight at x = 0.4, whatever
 * the batches: every resample says so.
 */
static void cost_does_not_spread(void)
{
    struct mix_list mix_list = { mixes, 2, NULL };
    struct material_list material_list = { materials, 2, NULL };
    struct invented *study = hand_study();
    struct recommend_request request = request_of(LAW_LINEAR);
    request.mixes = &mix_list;
    request.materials = &material_list;
    request.n_resamples = 99;
    request.seed = 5;
    request.limits[request.n_limits++] = (struct demand){ DEMAND_COST, PROPERTY_COUNT, 315 };
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 8);
    struct recommendation answer = search(study, &request, STATUS_OK);
    const struct candidate *winner = &answer.candidates[0];
    CU_ASSERT(winner->interpolated);
    check_close("fraction", winner->aggregate_fraction, 0.4, 1e-9);
    CU_ASSERT_EQUAL_FATAL(answer.draws.n_drawn, 99);
    for (size_t i = 0; i < answer.draws.n_values; i++)
        check_close("drawn", answer.draws.values[i], 0.4, 1e-6);
    check_close("lower", winner->fraction_lower, 0.4, 1e-6);
    check_close("upper", winner->fraction_upper, 0.4, 1e-6);
    recommendation_release(&answer);
    free(study);
}

/* Where a draw meets the demands at the end of the tested range already, it ends there: none goes beyond. */
static void draws_stay_in_the_range(void)
{
    struct invented *study = hand_study();
    struct recommend_request request = request_of(LAW_LINEAR);
    size_t n_at_end = 0, n_beyond = 0;
    request.seek = SEEK_STRONGEST;
    request.n_resamples = 99;
    request.seed = 7;
    request.limits[request.n_limits++] = (struct demand){ DEMAND_PROPERTY, PROPERTY_DENSITY, 2022 };
    struct recommendation answer = search(study, &request, STATUS_OK);
    CU_ASSERT_FATAL(answer.candidates[answer.draws.candidate].interpolated && answer.draws.n_values == 99);
    for (size_t i = 0; i < answer.draws.n_values; i++) {
        n_at_end += answer.draws.values[i] == 0;
        n_beyond += answer.draws.values[i] < 0;
    }
    CU_ASSERT(n_beyond == 0 && n_at_end > 10 && n_at_end < 89);
    recommendation_release(&answer);
    free(study);
}

/* Where the draws of a study of so many batches of two lie: 20 - 10 x MPa and 2000 - 1000 x kg/m3, batches up to 1.5 MPa apart. */
struct draws { double mean, sd; };

static struct draws draws_of_batches(size_t n_batches)
{
    static char names[1100][24];
    struct invented *study = invented_new();
    for (size_t j = 0; j < n_batches; j++)
        for (size_t k = 0; k < 2; k++) {
            const double x = hand_fractions[j % 5], luck = 0.75 * ((double)(j / 5 % 5) - 2);
            snprintf(names[j], sizeof names[j], "%zu", j);
            struct invented_row row = { hand_names[j % 5], "clay", names[j], x, 28, MOISTURE_OVEN_DRY };
            size_t at = invented_add(study, &row);
            invented_value(study, at, PROPERTY_COMPRESSIVE_STRENGTH, 20 - 10 * x + luck + (k ? 0.5 : -0.5));
            invented_value(study, at, PROPERTY_DENSITY, 2000 - 1000 * x + 20 * luck + (k ? -10 : 10));
        }
    struct recommend_request request = request_of(LAW_LINEAR);
    request.n_resamples = 999;
    request.n_threads = 2;
    request.seed = 3;
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 12);
    struct recommendation answer = search(study, &request, STATUS_OK);
    struct draws draws = { 0, 0 };
    const struct fraction_draws *drawn = &answer.draws;
    CU_ASSERT_EQUAL_FATAL(drawn->n_values, 999);
    for (size_t i = 0; i < drawn->n_values; i++)
        draws.mean += drawn->values[i] / (double)drawn->n_values;
    for (size_t i = 0; i < drawn->n_values; i++)
        draws.sd += (drawn->values[i] - draws.mean) * (drawn->values[i] - draws.mean) / (double)(drawn->n_values - 1);
    draws.sd = sqrt(draws.sd);
    recommendation_release(&answer);
    free(study);
    return draws;
}

/*
 * From 1000 batches on their sums are resampled, before that their rows. Five batches more of a pattern that repeats every 25 change
 * next to nothing: the draws lie at one place, a thirtieth of their spread apart by chance, and spread alike to 2 % of it by chance.
 */
static void draws_of_many_batches(void)
{
    const struct draws rows = draws_of_batches(975), sums = draws_of_batches(1000);
    CU_ASSERT(rows.sd > 0 && rows.sd < 0.1 && rows.mean > 0.5 && rows.mean < 0.8);
    check_close("place", sums.mean, rows.mean, 0.2 * rows.sd / rows.mean);
    check_close("spread", sums.sd, rows.sd * sqrt(975.0 / 1000), 0.1);
}

/* Out of reach: the nearest is the least tested fraction, 0.0625, shown in thousandths, of which the even one is taken. */
static void nearest_fraction_shown(void)
{
    struct invented *study = invented_new();
    for (size_t i = 0; i < 4; i++)
        for (size_t k = 0; k < 2; k++) {
            double fraction = 0.0625 + 0.25 * (double)i;
            struct invented_row row = { hand_names[i], "clay", NULL, fraction, 28, MOISTURE_OVEN_DRY };
            size_t at = invented_add(study, &row);
            invented_value(study, at, PROPERTY_COMPRESSIVE_STRENGTH, 20 - 10 * fraction + (k ? 0.5 : -0.5));
            invented_value(study, at, PROPERTY_DENSITY, 2000 - 1000 * fraction + (k ? -10 : 10));
        }
    struct recommend_request request = request_of(LAW_LINEAR);
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 25);
    struct recommendation answer = search(study, &request, STATUS_ANSWER_NO);
    size_t n_between = 0;
    for (size_t i = 0; i < answer.n_candidates; i++)
        if (answer.candidates[i].interpolated) {
            check_close("nearest", answer.candidates[i].aggregate_fraction, 0.0625, 1e-12);
            check_close("shown", answer.candidates[i].shown_fraction, 0.062, 1e-12);
            n_between++;
        }
    CU_ASSERT_EQUAL(n_between, 1);
    recommendation_release(&answer);
    free(study);
}

/* A limit of nothing at all cannot be met; the nearest to it are told first. */
static void nearest_to_nothing(void)
{
    struct invented *study = hand_study();
    struct recommend_request request = request_of(LAW_LINEAR);
    request.limits[request.n_limits++] = (struct demand){ DEMAND_PROPERTY, PROPERTY_DENSITY, 0 };
    struct recommendation answer = search(study, &request, STATUS_ANSWER_NO);
    CU_ASSERT_FATAL(answer.n_candidates > 5);
    for (size_t i = 1; i < answer.n_candidates; i++)
        CU_ASSERT(answer.candidates[i - 1].outcomes[0].assured <= answer.candidates[i].outcomes[0].assured);
    recommendation_release(&answer);
    free(study);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "a fraction between thousandths", fraction_between_thousandths }, { "a cost does not spread", cost_does_not_spread },
        { "draws stay in the range", draws_stay_in_the_range }, { "draws of many batches", draws_of_many_batches },
        { "the nearest fraction shown", nearest_fraction_shown }, { "nearest to nothing", nearest_to_nothing },
    };
    return check_run("interpolate", cases, sizeof cases / sizeof *cases);
}
