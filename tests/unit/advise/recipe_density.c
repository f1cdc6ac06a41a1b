/* Oven-dry densities by what went into the mixer. Published perlite mixes: tests/unit/specimen/density.c; the others are invented. */
#include "batch_study.h"

#include "advise/recipe_density.h"
#include "base/memory.h"
#include "support/invented.h"

static struct mix mixes[6];
static struct material materials[3];
static struct mix_list mix_list = { mixes, 6, (char *)"mixes.csv" };
static struct material_list material_list = { materials, 3, (char *)"materials.csv" };

static void make_recipes(void)
{
    mixes[0] = plain_mix("1:4", 1, 4, 0.802316, 0.8);
    mixes[1] = plain_mix("1:8", 1, 8, 1.42049, 8.0 / 9);
    mixes[2] = plain_mix("no yield", 1, 4, 0.8, NAN);
    mixes[3] = plain_mix("no water", 1, 4, NAN, 0.8);
    mixes[4] = plain_mix("clay", 1, 4, 0.8, 0.8);
    mixes[4].aggregate = (char *)"clay";
    mixes[5] = plain_mix("C567", 0.36, 0.43, 0.5, 1 / 1.59); /* 0.36 + 0.43 + 0.8 parts fill a cubic metre */
    mixes[5].sand_parts = 0.8;
    mixes[5].aggregate = mixes[5].binder = (char *)"sand";
    materials[0] = plain_material("cement", 94 * LB_PER_FT3);
    materials[1] = plain_material("perlite", 8 * LB_PER_FT3);
    materials[2] = plain_material("sand", 1000);
}

static struct invented *make_study(void)
{
    static const char *const names[] = { "1:4", "1:8", "no yield", "no water", "clay", "C567", "not there" };
    struct invented *study = invented_new();
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        (void)invented_add(study, &(struct invented_row){ names[i], "perlite", "1", 0.4, 28, MOISTURE_AIR_DRY });
    make_recipes();
    return study;
}

/* (1.2 cement + perlite) / 27 a cubic yard: printed 36 and 22 lb/ft3. */
static void from_recipes(void)
{
    struct invented *study = make_study();
    struct calculated_density found[7];
    struct problem_list problems = { 0 };
    CU_ASSERT_EQUAL(recipe_densities_find(&mix_list, &material_list, NULL, &study->set, found, &problems), STATUS_OK);
    check_close("1:4", found[0].kg_m3 / LB_PER_FT3, 36.2, 1e-12);
    check_close("1:8", found[1].kg_m3 / LB_PER_FT3, 22.1, 1e-12);
    check_close("ASTM C567: 800, 430 and 1.2 x 360 kg in 1 m3", found[5].kg_m3, 1662, 1e-12);
    CU_ASSERT_EQUAL(found[0].from, CALCULATED_FROM_RECIPE);
    for (size_t i = 2; i < 5; i++)
        CU_ASSERT(isnan(found[i].kg_m3) && found[i].from == CALCULATED_NOT);
    CU_ASSERT(isnan(found[6].kg_m3)); /* the mixes file does not hold it, which was asked about when it was read */
    CU_ASSERT_EQUAL_FATAL(problems.n_notices, 3);
    CU_ASSERT_EQUAL(problems.n_errors + problems.n_doubts, 0);
    CU_ASSERT_PTR_NOT_NULL(strstr(problems.items[0].text, "its yield was not measured"));
    CU_ASSERT_PTR_NOT_NULL(strstr(problems.items[1].text, "mix 'no water' has no water"));
    CU_ASSERT_PTR_NOT_NULL(strstr(problems.items[2].text, "the materials hold no 'clay'"));
    problem_list_release(&problems);
    free(study);
}

/* The same number as the batch sheet of the mix. */
static void as_the_batch_sheet(void)
{
    struct invented *study = make_study();
    struct calculated_density found[7];
    struct problem_list problems = { 0 };
    struct batch_request request = plain_request(&mix_list, &material_list);
    request.mix = "1:4";
    request.trial_l = 23;
    struct batch_sheet sheet = make_sheet(&request);
    CU_ASSERT_EQUAL(recipe_densities_find(&mix_list, &material_list, NULL, &study->set, found, &problems), STATUS_OK);
    check_close("oven-dry", found[0].kg_m3, sheet.oven_dry_kg_m3, 1e-14);
    problem_list_release(&problems);
    free(study);
}

/* Batches that were weighed win over the recipe: mean of 590 and 610. */
static void from_batches(void)
{
    struct invented *study = make_study();
    struct calculated_density found[7];
    struct problem_list problems = { 0 };
    struct fresh_batch batches[] = {
        { .set_mix = 0, .oven_dry_kg_m3 = 590 }, { .set_mix = 0, .oven_dry_kg_m3 = NAN }, { .set_mix = 0, .oven_dry_kg_m3 = 610 },
        { .set_mix = 1, .oven_dry_kg_m3 = NAN }, { .set_mix = FRESH_NOT_FOUND, .oven_dry_kg_m3 = 9000 }, { .set_mix = 6, .oven_dry_kg_m3 = 700 },
    };
    const struct fresh_list fresh = { .items = batches, .n_items = sizeof batches / sizeof batches[0] };
    const struct mix_list no_mixes = { 0 };
    const struct material_list no_materials = { 0 };
    CU_ASSERT_EQUAL(recipe_densities_find(&mix_list, &material_list, &fresh, &study->set, found, &problems), STATUS_OK);
    check_close("mean of the batches", found[0].kg_m3, 600, 1e-14);
    CU_ASSERT(found[0].from == CALCULATED_FROM_BATCHES && found[1].from == CALCULATED_FROM_RECIPE);
    problem_list_release(&problems);
    CU_ASSERT_EQUAL(recipe_densities_find(&no_mixes, &no_materials, &fresh, &study->set, found, &problems), STATUS_OK);
    check_close("without recipes", found[6].kg_m3, 700, 1e-14);
    CU_ASSERT(isnan(found[1].kg_m3) && problems.n_items == 0);
    problem_list_release(&problems);
    free(study);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "from recipes", from_recipes }, { "as the batch sheet", as_the_batch_sheet }, { "from batches", from_batches },
    };
    return check_run("recipe_density", cases, sizeof cases / sizeof *cases);
}
