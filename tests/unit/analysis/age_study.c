/* Strength by mix and age; all invented. Curves through it: tests/unit/analysis/growth_study.c. */
#include "analysis/age_study.h"
#include "support/check.h"
#include "support/temporary.h"

#include <math.h>

/* M2 has two ages, M3 one; M1 also one result in another moisture state. */
static const char specimens[] =
    "specimen,mix,batch,moisture,age_days,compressive_strength_mpa\n"
    "a,M1,1,air-dry,5,20\nb,M1,1,air-dry,15,30\nc,M1,1,air-dry,35,35\nd,M1,1,air-dry,35,35\ne,M1,2,air-dry,35.4,35\n"
    "f,M1,2,saturated,5,90\n"
    "g,M2,1,air-dry,35,12\nh,M2,1,air-dry,5,8\ni,M2,2,air-dry,5,6\nj,M3,1,air-dry,35,4\nk,M2,3,air-dry,,50\n";

static void mixes_of_several_ages_are_followed(void)
{
    struct specimen_set set;
    struct age_study study;
    struct problem_list problems = { 0 };
    struct problem problem;
    const char *path = temporary_text("specimens.csv", specimens);
    struct specimen_set_settings settings = { 0 };
    CU_ASSERT_EQUAL_FATAL(specimen_set_read(&path, 1, &settings, &set, &problems), STATUS_OK);
    struct selection selection = { .age_days = 35, .moisture = MOISTURE_AIR_DRY };
    CU_ASSERT_EQUAL_FATAL(age_study_make(&set, &selection, PROPERTY_COMPRESSIVE_STRENGTH, &study, &problem), STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(study.n_items, 2);
    const struct age_series *one = &study.items[0], *two = &study.items[1];
    CU_ASSERT(one->mix == 0 && one->n_means == 3 && one->n_values == 4);
    check_close("last age, days", one->means[2].age_days, 35, 0);
    CU_ASSERT(one->means[2].n_specimens == 3 && one->means[2].n_batches == 2);
    CU_ASSERT(two->mix == 1 && two->n_means == 2);
    check_close("first age, days", two->means[0].age_days, 5, 0);
    check_close("mean of batch means, MPa", two->means[0].mean, 7, 1e-15);
    age_study_release(&study);
    specimen_set_release(&set);
    problem_list_release(&problems);
}

static void one_age_or_no_strength_is_no_study(void)
{
    struct specimen_set set;
    struct age_study study;
    struct problem_list problems = { 0 };
    struct problem problem;
    const char *path = temporary_text("specimens.csv", "specimen,age_days,density_kg_m3\na,28,1500\nb,28,1510\n");
    struct specimen_set_settings settings = { 0 };
    CU_ASSERT_EQUAL_FATAL(specimen_set_read(&path, 1, &settings, &set, &problems), STATUS_OK);
    struct selection selection = selection_all();
    CU_ASSERT_EQUAL(age_study_make(&set, &selection, PROPERTY_COMPRESSIVE_STRENGTH, &study, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(study.n_items, 0);
    CU_ASSERT_EQUAL(age_study_make(&set, &selection, PROPERTY_DENSITY, &study, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(study.n_items, 0);
    CU_ASSERT_EQUAL(age_study_make(&set, &selection, PROPERTY_COUNT, &study, &problem), STATUS_OK);
    age_study_release(&study);
    specimen_set_release(&set);
    problem_list_release(&problems);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "mixes of several ages are followed", mixes_of_several_ages_are_followed },
        { "one age or no strength is no study", one_age_or_no_strength_is_no_study },
    };
    if (!temporary_start())
        return 1;
    int failed = check_run("age study", cases, sizeof cases / sizeof *cases);
    temporary_end();
    return failed;
}
