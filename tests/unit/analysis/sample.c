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
    CU_ASSERT_EQUAL(sample.mix_of[sample.batch_mix[sample.batch[2]]], specimen_set_mix(&study->set, 3));
    check_close("x", sample_x(&sample, 2), 0.4, 0);
    check_close("y", sample.y[3], 22, 0);
    sample_release(&sample);
    CU_ASSERT_PTR_NULL(sample.y);
    CU_ASSERT_EQUAL(take(study, &selection, SAMPLE_ALL, 0, PROPERTY_DENSITY, SAMPLE_PREDICTOR_NONE, &sample, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(sample.n, 2);
    sample_release(&sample);
    CU_ASSERT_EQUAL(take(study, &selection, SAMPLE_ALL, SAMPLE_ALL, PROPERTY_COMPRESSIVE_STRENGTH, PROPERTY_DENSITY, &sample, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(sample.n, 5); /* one has no density */
    check_close("density as predictor", sample_x(&sample, 1), 900, 0);
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
    check_text(problem.text, "no compressive strength of 'clay' (90 days): 6 results are of another age, state or shape");
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
    check_text(problem.text, "no density of 'clay' (saturated): 5 results are of another age, state or shape");
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

/* Four cubes of each of two mixes, and cylinders: two of the first mix, three of a mix of their own. */
struct broken { struct invented *study; uint16_t kind[13]; struct specimen_kind kinds[3]; };

static void break_them(struct broken *broken)
{
    *broken = (struct broken){ .study = invented_new(), .kinds = {
        { SHAPE_CUBE, LOADING_AXIAL, 100 }, { SHAPE_CYLINDER, LOADING_AXIAL, 150 }, { SHAPE_CUBE, LOADING_AXIAL, 150 } } };
    for (size_t i = 0; i < 13; i++) {
        add(broken->study, i < 6 ? "C2" : i < 10 ? "C4" : "C6", "clay", i < 6 ? 0.2 : i < 10 ? 0.4 : 0.6, "1", 28, MOISTURE_AIR_DRY,
            20 - (double)i / 10, 1600);
        broken->kind[i] = i == 4 || i == 5 || i >= 10;
    }
    broken->study->set.kind = broken->kind;
    broken->study->set.kinds = broken->kinds;
    broken->study->set.n_kinds = 3;
}

static void kinds_are_not_pooled(void)
{
    struct broken broken;
    struct selection selection = selection_all();
    struct sample sample;
    struct problem problem;
    break_them(&broken);
    CU_ASSERT_EQUAL(take(broken.study, &selection, 0, SAMPLE_ALL, PROPERTY_COMPRESSIVE_STRENGTH, PROPERTY_COUNT, &sample, &problem), STATUS_INPUT);
    check_text(problem.text, "compressive strength of 'clay' is given of several kinds of specimen (cube 100 mm: 8, cylinder 150 mm: 5): "
                             "choose one with --shape");
    CU_ASSERT_EQUAL(take(broken.study, &selection, 0, SAMPLE_ALL, PROPERTY_DENSITY, PROPERTY_COUNT, &sample, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(sample.n, 13); /* a density is the same in any shape */
    sample_release(&sample);
    selection.kinds[selection.n_kinds++] = (struct specimen_kind){ SHAPE_CYLINDER, LOADING_UNKNOWN, NAN };
    CU_ASSERT_EQUAL(take(broken.study, &selection, 0, SAMPLE_ALL, PROPERTY_COMPRESSIVE_STRENGTH, PROPERTY_COUNT, &sample, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(sample.n, 5);
    CU_ASSERT_EQUAL(sample.n_other_kind, 8);
    sample_release(&sample);
    CU_ASSERT_EQUAL(take(broken.study, &selection, 0, 1, PROPERTY_COMPRESSIVE_STRENGTH, PROPERTY_COUNT, &sample, &problem), STATUS_TOO_FEW);
    check_text(problem.text, "no compressive strength of mix 'C4' (cylinder): 4 results are of another age, state or shape");
    free(broken.study);
}

static void settle_takes_the_main_kind(void)
{
    struct broken broken;
    struct selection selection = selection_all();
    struct problem_list problems = { 0 };
    char words[120];
    break_them(&broken);
    CU_ASSERT_EQUAL(selection_settle(&broken.study->set, &selection, &problems), STATUS_OK);
    CU_ASSERT_EQUAL(selection.property_kind[PROPERTY_COMPRESSIVE_STRENGTH], 1);
    CU_ASSERT_EQUAL_FATAL(problems.n_items, 2);
    check_text(problems.items[0].text, "compressive strength is given of several kinds of specimen (cube 100 mm: 8, cylinder 150 mm: 5), which do "
                                       "not compare: those of 'cube 100 mm' are used, the others are left out; choose another with --shape");
    check_text(problems.items[1].text, "left out of compressive strength, having none of 28 days, air-dry, cube 100 mm: mix 'C6' (cylinder 150 mm: 3)");
    selection_words(&broken.study->set, &selection, PROPERTY_COMPRESSIVE_STRENGTH, false, words, sizeof words);
    check_text(words, "28 days, air-dry, cube 100 mm");
    selection_words(&broken.study->set, &selection, PROPERTY_DENSITY, false, words, sizeof words);
    check_text(words, "28 days, air-dry");
    problem_list_release(&problems);
    /* Told, and one kind only is meant: nothing to say but what is lost. */
    selection = selection_all();
    selection.kinds[selection.n_kinds++] = (struct specimen_kind){ SHAPE_CYLINDER, LOADING_UNKNOWN, NAN };
    CU_ASSERT_EQUAL(selection_settle(&broken.study->set, &selection, &problems), STATUS_OK);
    CU_ASSERT_EQUAL(selection.property_kind[PROPERTY_COMPRESSIVE_STRENGTH], 2);
    CU_ASSERT_EQUAL_FATAL(problems.n_items, 1);
    check_text(problems.items[0].text, "left out of compressive strength, having none of 28 days, air-dry, cylinder 150 mm: mix 'C4' (cube 100 mm: 4)");
    problem_list_release(&problems);
    /* Cubes of two sizes are two kinds. */
    broken.kind[0] = broken.kind[1] = 2;
    selection = selection_all();
    selection.kinds[selection.n_kinds++] = (struct specimen_kind){ SHAPE_CUBE, LOADING_UNKNOWN, NAN };
    CU_ASSERT_EQUAL(selection_settle(&broken.study->set, &selection, &problems), STATUS_OK);
    CU_ASSERT_EQUAL(selection.property_kind[PROPERTY_COMPRESSIVE_STRENGTH], 1);
    CU_ASSERT(problems.n_items > 0 && strstr(problems.items[0].text, "(cube 100 mm: 6, cylinder 150 mm: 5, cube 150 mm: 2)") != NULL);
    problem_list_release(&problems);
    free(broken.study);
}

static void settle_names_what_is_left_out(void)
{
    struct invented *study = small_study();
    struct selection selection = selection_all();
    struct problem_list problems = { 0 };
    add(study, "C6", "clay", 0.6, "1", 7, MOISTURE_OVEN_DRY, 9, 1200);
    add(study, "P4", "perlite", 0.4, "1", 90, MOISTURE_OVEN_DRY, 9, 1200);
    add(study, "C7", "clay", 0.7, "1", 28, MOISTURE_AS_CAST, NAN, 1200);
    CU_ASSERT_EQUAL(selection_settle(&study->set, &selection, &problems), STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(problems.n_items, 4);
    check_text(problems.items[2].text, "left out for want of results at 28 days: mixes 'C6' (7 days: 1), 'P4' (90 days: 1)");
    check_text(problems.items[3].text, "left out of density, having none of 28 days, oven-dry: mix 'C7' (as-cast: 1)");
    problem_list_release(&problems);
    /* Mixes of an aggregate that is not asked for are no loss. */
    static const char *const names[] = { "perlite" };
    selection = selection_all();
    selection.aggregates = names;
    selection.n_aggregates = 1;
    CU_ASSERT_EQUAL(selection_settle(&study->set, &selection, &problems), STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(problems.n_items, 3);
    check_text(problems.items[2].text, "left out for want of results at 28 days: mix 'P4' (90 days: 1)");
    problem_list_release(&problems);
    free(study);
}

static void settle_refuses_what_nobody_is(void)
{
    struct broken broken;
    struct selection selection = selection_all();
    struct problem_list problems = { 0 };
    break_them(&broken);
    selection.age_days = 7;
    selection.moisture = MOISTURE_OVEN_DRY;
    selection.kinds[selection.n_kinds++] = (struct specimen_kind){ SHAPE_CORE, LOADING_UNKNOWN, NAN };
    CU_ASSERT_EQUAL(selection_settle(&broken.study->set, &selection, &problems), STATUS_USAGE);
    CU_ASSERT_EQUAL_FATAL(problems.n_items, 3);
    check_text(problems.items[0].text, "--age: no specimen is of 7 days; there are 28 days: 13");
    check_text(problems.items[1].text, "--moisture: no specimen is oven-dry; there are air-dry: 13");
    check_text(problems.items[2].text, "--shape: no specimen is a 'core'; there are cube 100 mm: 8, cylinder 150 mm: 5");
    problem_list_release(&problems);
    free(broken.study);
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
        { "kinds of specimen are not pooled", kinds_are_not_pooled },
        { "settle takes the main kind of specimen", settle_takes_the_main_kind },
        { "settle names the mixes that are left out", settle_names_what_is_left_out },
        { "settle refuses an age, state or kind that is nowhere", settle_refuses_what_nobody_is },
    };
    return check_run("sample", cases, sizeof cases / sizeof cases[0]);
}
