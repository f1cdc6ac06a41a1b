#include "support/check.h"

#include "support/invented.h"

static size_t add(struct invented *study, const char *mix, const char *aggregate, double fraction, const char *batch,
                  double age_days, enum moisture moisture, double strength, double density)
{
    struct invented_row row = { mix, aggregate, batch, fraction, age_days, moisture };
    size_t i = invented_add(study, &row);
    invented_value(study, i, PROPERTY_COMPRESSIVE_STRENGTH, strength);
    invented_value(study, i, PROPERTY_DENSITY, density);
    return i;
}

static struct invented *small_study(void)
{
    struct invented *study = invented_new();
    add(study, "C2", "clay", 0.2, "1", 28, MOISTURE_OVEN_DRY, 20, 1600);
    add(study, "P3", "perlite", 0.3, "1", 28, MOISTURE_OVEN_DRY, 8, 900);
    add(study, "C2", "clay", 0.2, "2", 28, MOISTURE_OVEN_DRY, 21, NAN);
    add(study, "C4", "clay", 0.4, "1", 28, MOISTURE_OVEN_DRY, 15, 1400);
    add(study, "C2", "clay", 0.2, "1", 28, MOISTURE_OVEN_DRY, 22, 1610);
    add(study, "C9", "clay", NAN, "1", 28, MOISTURE_OVEN_DRY, 5, 1000);
    return study;
}

static enum status take(const struct invented *study, const struct selection *selection, uint32_t aggregate, uint32_t mix,
                        enum property property, enum property predictor, struct sample *sample, struct problem *problem)
{
    problem->text[0] = '\0';
    return sample_take(&study->set, selection, aggregate, mix, property, predictor, sample, problem);
}

static void rows_of_an_aggregate(void)
{
    struct invented *study = small_study();
    struct selection selection = selection_all();
    struct sample sample;
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(take(study, &selection, 0, SAMPLE_ALL, PROPERTY_COMPRESSIVE_STRENGTH, PROPERTY_COUNT, &sample, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(sample.n, 4); /* C9 has no fraction */
    CU_ASSERT_EQUAL(sample.n_batches, 3);
    CU_ASSERT_EQUAL(sample.n_mixes, 2);
    CU_ASSERT_EQUAL(sample.row[2], 3);
    CU_ASSERT_EQUAL(sample.batch[3], sample.batch[0]);
    CU_ASSERT_EQUAL(sample.batch_of[sample.batch[2]], study->batch[3]);
    CU_ASSERT_EQUAL(sample.mix_of[sample.mix[2]], study->mix[3]);
    check_close("x", sample.x[2], 0.4, 0);
    check_close("y", sample.y[3], 22, 0);
    sample_release(&sample);
    CU_ASSERT_PTR_NULL(sample.y);
    CU_ASSERT_EQUAL(take(study, &selection, SAMPLE_ALL, 0, PROPERTY_DENSITY, SAMPLE_PREDICTOR_NONE, &sample, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(sample.n, 2);
    sample_release(&sample);
    CU_ASSERT_EQUAL(take(study, &selection, SAMPLE_ALL, SAMPLE_ALL, PROPERTY_COMPRESSIVE_STRENGTH, PROPERTY_DENSITY, &sample, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(sample.n, 5); /* one has no density */
    check_close("density as predictor", sample.x[1], 900, 0);
    sample_release(&sample);
    free(study);
}

static void named_aggregates(void)
{
    static const char *const names[] = { "Perlite" };
    struct invented *study = small_study();
    struct selection selection = selection_all();
    struct sample sample;
    struct problem problem;
    selection.aggregates = names;
    selection.n_aggregates = 1;
    CU_ASSERT_EQUAL(take(study, &selection, SAMPLE_ALL, SAMPLE_ALL, PROPERTY_COMPRESSIVE_STRENGTH, SAMPLE_PREDICTOR_NONE, &sample, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(sample.n, 1);
    sample_release(&sample);
    /* An index is more than a name. */
    CU_ASSERT_EQUAL(take(study, &selection, 0, SAMPLE_ALL, PROPERTY_COMPRESSIVE_STRENGTH, SAMPLE_PREDICTOR_NONE, &sample, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(sample.n, 5);
    sample_release(&sample);
    free(study);
}

static void ages_are_not_pooled(void)
{
    struct invented *study = small_study();
    struct selection selection = selection_all();
    struct sample sample;
    struct problem problem;
    add(study, "C2", "clay", 0.2, "1", 7, MOISTURE_OVEN_DRY, 12, 1605);
    add(study, "C2", "clay", 0.2, "1", 28.4, MOISTURE_OVEN_DRY, 20.5, 1605);
    CU_ASSERT_EQUAL(take(study, &selection, 0, SAMPLE_ALL, PROPERTY_COMPRESSIVE_STRENGTH, PROPERTY_COUNT, &sample, &problem), STATUS_INPUT);
    check_text(problem.text, "compressive strength of 'clay' is given at several ages (28 days: 5, 7 days: 1): choose one with --age");
    CU_ASSERT_PTR_NULL(sample.y);
    selection.age_days = 28;
    CU_ASSERT_EQUAL(take(study, &selection, 0, SAMPLE_ALL, PROPERTY_COMPRESSIVE_STRENGTH, PROPERTY_COUNT, &sample, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(sample.n, 5); /* 28.4 days is 28 days */
    CU_ASSERT_EQUAL(sample.n_other_age, 1);
    sample_release(&sample);
    selection.age_days = 90;
    CU_ASSERT_EQUAL(take(study, &selection, 0, SAMPLE_ALL, PROPERTY_COMPRESSIVE_STRENGTH, PROPERTY_COUNT, &sample, &problem), STATUS_TOO_FEW);
    check_text(problem.text, "no compressive strength of 'clay' at 90 days: 6 results are of another age or state");
    free(study);
}

static void missing_age_is_an_age(void)
{
    struct invented *study = small_study();
    struct selection selection = selection_all();
    struct sample sample;
    struct problem problem;
    size_t i = add(study, "C2", "clay", 0.2, "1", NAN, MOISTURE_OVEN_DRY, 12, 1605);
    CU_ASSERT_EQUAL(take(study, &selection, 0, SAMPLE_ALL, PROPERTY_COMPRESSIVE_STRENGTH, PROPERTY_COUNT, &sample, &problem), STATUS_INPUT);
    selection.age_days = 28;
    CU_ASSERT_EQUAL(take(study, &selection, 0, SAMPLE_ALL, PROPERTY_COMPRESSIVE_STRENGTH, PROPERTY_COUNT, &sample, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(sample.n_other_age, 1);
    sample_release(&sample);
    /* Absorption has no age anywhere: the age cannot bind it. */
    invented_value(study, i, PROPERTY_ABSORPTION, 9);
    for (size_t k = 0; k < i; k++)
        invented_value(study, k, PROPERTY_ABSORPTION, NAN);
    CU_ASSERT_EQUAL(take(study, &selection, 0, SAMPLE_ALL, PROPERTY_ABSORPTION, PROPERTY_COUNT, &sample, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(sample.n, 1);
    sample_release(&sample);
    free(study);
}

static void states_are_not_pooled(void)
{
    struct invented *study = small_study();
    struct selection selection = selection_all();
    struct sample sample;
    struct problem problem;
    add(study, "C2", "clay", 0.2, "3", 28, MOISTURE_AS_CAST, NAN, 1750);
    add(study, "C2", "clay", 0.2, "3", 28, MOISTURE_UNKNOWN, NAN, 1751);
    CU_ASSERT_EQUAL(take(study, &selection, 0, SAMPLE_ALL, PROPERTY_DENSITY, PROPERTY_COUNT, &sample, &problem), STATUS_INPUT);
    check_text(problem.text, "density of 'clay' is given in several moisture states (no state: 1, as-cast: 1, oven-dry: 3): choose one with --moisture");
    CU_ASSERT_EQUAL(take(study, &selection, 0, SAMPLE_ALL, PROPERTY_COMPRESSIVE_STRENGTH, PROPERTY_COUNT, &sample, &problem), STATUS_OK);
    sample_release(&sample);
    selection.moisture = MOISTURE_AS_CAST;
    CU_ASSERT_EQUAL(take(study, &selection, 0, SAMPLE_ALL, PROPERTY_DENSITY, PROPERTY_COUNT, &sample, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(sample.n, 1);
    CU_ASSERT_EQUAL(sample.n_other_moisture, 4);
    sample_release(&sample);
    selection.moisture = MOISTURE_SATURATED;
    CU_ASSERT_EQUAL(take(study, &selection, 0, SAMPLE_ALL, PROPERTY_DENSITY, PROPERTY_COUNT, &sample, &problem), STATUS_TOO_FEW);
    check_text(problem.text, "no density of 'clay' in the state 'saturated': 5 results are in another");
    free(study);
}

static void settle_takes_the_main_age(void)
{
    struct invented *study = invented_new();
    static const double ages[] = { 14, 28, 7 };
    for (size_t i = 0; i < 6; i++)
        add(study, "C2", "clay", 0.2, "1", ages[i % 3], MOISTURE_OVEN_DRY, 10, 1600);
    struct selection selection = selection_all();
    struct problem_list problems = { 0 };
    CU_ASSERT_EQUAL(selection_settle(&study->set, &selection, &problems), STATUS_OK);
    check_close("28 of equals", selection.age_days, 28, 0);
    CU_ASSERT_EQUAL_FATAL(problems.n_items, 1);
    CU_ASSERT_EQUAL(problems.items[0].severity, SEVERITY_NOTICE);
    check_text(problems.items[0].text, "results are of several ages (14 days: 2, 28 days: 2, 7 days: 2): those at 28 days are used, choose another with --age");
    CU_ASSERT_EQUAL(selection.property_moisture[PROPERTY_DENSITY], MOISTURE_OVEN_DRY);
    /* Once settled, it stays and says nothing more. */
    CU_ASSERT_EQUAL(selection_settle(&study->set, &selection, &problems), STATUS_OK);
    CU_ASSERT_EQUAL(problems.n_items, 1);
    add(study, "C2", "clay", 0.2, "1", 7, MOISTURE_OVEN_DRY, 10, 1600);
    selection = selection_all();
    CU_ASSERT_EQUAL(selection_settle(&study->set, &selection, &problems), STATUS_OK);
    check_close("most rows", selection.age_days, 7, 0);
    problem_list_release(&problems);
    free(study);
}

static void settle_takes_states_by_property(void)
{
    struct invented *study = invented_new();
    for (size_t i = 0; i < 3; i++)
        add(study, "C2", "clay", 0.2, "1", 28, MOISTURE_SATURATED, 10, NAN);
    for (size_t i = 0; i < 4; i++)
        add(study, "C2", "clay", 0.2, "1", 28, i < 2 ? MOISTURE_OVEN_DRY : MOISTURE_AS_CAST, NAN, 1600);
    struct selection selection = selection_all();
    struct problem_list problems = { 0 };
    CU_ASSERT_EQUAL(selection_settle(&study->set, &selection, &problems), STATUS_OK);
    CU_ASSERT_EQUAL(selection.property_moisture[PROPERTY_COMPRESSIVE_STRENGTH], MOISTURE_SATURATED);
    CU_ASSERT_EQUAL(selection.property_moisture[PROPERTY_DENSITY], MOISTURE_OVEN_DRY);
    CU_ASSERT_EQUAL_FATAL(problems.n_items, 1);
    check_text(problems.items[0].text, "density is given in several moisture states (as-cast: 2, oven-dry: 2): "
                                       "the oven-dry results are used, choose another with --moisture");
    problem_list_release(&problems);
    selection = selection_all();
    selection.moisture = MOISTURE_AS_CAST;
    CU_ASSERT_EQUAL(selection_settle(&study->set, &selection, &problems), STATUS_OK);
    CU_ASSERT_EQUAL(selection.property_moisture[PROPERTY_DENSITY], MOISTURE_AS_CAST);
    CU_ASSERT_EQUAL(selection.property_moisture[PROPERTY_COMPRESSIVE_STRENGTH], MOISTURE_SATURATED);
    CU_ASSERT_EQUAL_FATAL(problems.n_items, 1);
    check_text(problems.items[0].text, "no compressive strength is given as-cast (saturated: 3): the saturated results are used");
    problem_list_release(&problems);
    free(study);
}

static void settle_with_things_untold(void)
{
    struct invented *study = invented_new();
    struct selection selection = selection_all();
    struct problem_list problems = { 0 };
    /* Two ages; density without any age; more rows without a moisture state than with one. */
    add(study, "C2", "clay", 0.2, "1", 28, MOISTURE_OVEN_DRY, 10, NAN);
    add(study, "C2", "clay", 0.2, "1", 7, MOISTURE_OVEN_DRY, 9, NAN);
    for (size_t i = 0; i < 3; i++)
        add(study, "C2", "clay", 0.2, "1", NAN, i == 0 ? MOISTURE_AIR_DRY : MOISTURE_UNKNOWN, NAN, 1600);
    CU_ASSERT_EQUAL(selection_settle(&study->set, &selection, &problems), STATUS_OK);
    check_close("age", selection.age_days, 28, 0);
    CU_ASSERT_EQUAL(selection.property_moisture[PROPERTY_DENSITY], MOISTURE_AIR_DRY);
    CU_ASSERT_EQUAL_FATAL(problems.n_items, 3);
    CU_ASSERT(strstr(problems.items[0].text, "(28 days: 1, 7 days: 1, no age: 3)") != NULL);
    check_text(problems.items[1].text, "no age is given with any density: all its results are used");
    check_text(problems.items[2].text, "density is given in several moisture states (no state: 2, air-dry: 1): "
                                       "the air-dry results are used, choose another with --moisture");
    problem_list_release(&problems);
    free(study);
}

static void settle_refuses_unknown_aggregates(void)
{
    static const char *const names[] = { "clay", "perlit" };
    struct invented *study = small_study();
    struct selection selection = selection_all();
    struct problem_list problems = { 0 };
    selection.aggregates = names;
    selection.n_aggregates = 2;
    CU_ASSERT_EQUAL(selection_settle(&study->set, &selection, &problems), STATUS_USAGE);
    check_text(problems.items[0].text, "no aggregate 'perlit' in the results: did you mean 'perlite'?");
    problem_list_release(&problems);
    free(study);
}

static void unlike_specimens_are_told(void)
{
    struct invented *study = small_study();
    struct selection selection = selection_all();
    struct problem_list problems = { 0 };
    uint8_t kind[6] = { 0 };
    char listed[160];
    study->set.kind = kind;
    for (size_t i = 0; i < 5; i++)
        kind[i] = (uint8_t)specimen_kind(i < 3 ? SHAPE_CUBE : SHAPE_CYLINDER, LOADING_AXIAL); /* the sixth tells none */
    CU_ASSERT(selection_mixes_kinds(&study->set, &selection, PROPERTY_COMPRESSIVE_STRENGTH, listed, sizeof listed));
    check_text(listed, "cube: 3, cylinder: 2");
    CU_ASSERT_FALSE(selection_mixes_kinds(&study->set, &selection, PROPERTY_DENSITY, listed, sizeof listed));
    CU_ASSERT_FALSE(selection_mixes_kinds(&study->set, &selection, PROPERTY_FLEXURAL_STRENGTH, listed, sizeof listed));
    selection_tell_kinds(&study->set, &selection, &problems);
    CU_ASSERT_EQUAL_FATAL(problems.n_items, 1);
    CU_ASSERT_PTR_NOT_NULL(strstr(problems.items[0].text, "compressive strength is of unlike specimens (cube: 3, cylinder: 2)"));
    problem_list_release(&problems);
    const char *const perlite[] = { "perlite" };
    selection.aggregates = perlite;
    selection.n_aggregates = 1;
    CU_ASSERT_FALSE(selection_mixes_kinds(&study->set, &selection, PROPERTY_COMPRESSIVE_STRENGTH, listed, sizeof listed));
    selection = selection_all();
    for (size_t i = 0; i < 6; i++)
        kind[i] = (uint8_t)specimen_kind(SHAPE_BEAM, i % 2 ? LOADING_CENTRE_POINT : LOADING_THIRD_POINT);
    CU_ASSERT_FALSE(selection_mixes_kinds(&study->set, &selection, PROPERTY_COMPRESSIVE_STRENGTH, listed, sizeof listed));
    invented_value(study, 0, PROPERTY_FLEXURAL_STRENGTH, 3);
    for (size_t i = 1; i < 6; i++)
        invented_value(study, i, PROPERTY_FLEXURAL_STRENGTH, 2);
    CU_ASSERT(selection_mixes_kinds(&study->set, &selection, PROPERTY_FLEXURAL_STRENGTH, listed, sizeof listed));
    check_text(listed, "centre-point: 3, third-point: 3");
    free(study);
}

static void missing_batches_are_told(void)
{
    struct invented *study = small_study();
    struct problem_list problems = { 0 };
    selection_tell_batches(&study->set, &problems);
    CU_ASSERT_EQUAL(problems.n_items, 0);
    study->flags[1] = study->flags[4] = FLAG_NO_BATCH;
    selection_tell_batches(&study->set, &problems);
    CU_ASSERT_EQUAL_FATAL(problems.n_items, 1);
    CU_ASSERT_PTR_NOT_NULL(strstr(problems.items[0].text, "no batch is told of 2 of 6 specimens"));
    problem_list_release(&problems);
    for (size_t i = 0; i < 6; i++)
        study->flags[i] = FLAG_NO_BATCH;
    selection_tell_batches(&study->set, &problems);
    CU_ASSERT_EQUAL(problems.n_items, 0); /* a study without batches says so in its answers */
    free(study);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "rows of an aggregate, a mix, with a property as predictor", rows_of_an_aggregate },
        { "named aggregates", named_aggregates },
        { "ages are not pooled", ages_are_not_pooled },
        { "a missing age is an age of its own", missing_age_is_an_age },
        { "moisture states are not pooled", states_are_not_pooled },
        { "settle takes the main age", settle_takes_the_main_age },
        { "settle takes states by property", settle_takes_states_by_property },
        { "settle with ages and states untold", settle_with_things_untold },
        { "settle refuses unknown aggregates", settle_refuses_unknown_aggregates },
        { "unlike specimens are told", unlike_specimens_are_told },
        { "missing batches are told", missing_batches_are_told },
    };
    return check_run("sample", cases, sizeof cases / sizeof cases[0]);
}
