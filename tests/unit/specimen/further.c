/* Results beside the properties: oven-dry density, and the soaking results of ASTM C642. Case numbers as in density.c. */
#include "specimens.h"

#include "specimen/density.h"

static struct specimen weighed(double dry_kg, double saturated_kg, double boiled_kg, double submerged_kg)
{
    struct specimen specimen = blank_specimen();
    specimen.mass_oven_dry_kg = dry_kg;
    specimen.mass_saturated_kg = saturated_kg;
    specimen.mass_boiled_kg = boiled_kg;
    specimen.mass_submerged_kg = submerged_kg;
    return specimen;
}

/* D5: appendix example of ASTM C642. */
static void soaked_and_boiled(void)
{
    struct specimen d5 = weighed(1.000, 1.090, 1.095, 0.495);
    derive_clean(&d5);
    check_close("immersed", d5.value[PROPERTY_ABSORPTION], 9.0, 1e-12);
    check_close("boiled", d5.further[FURTHER_ABSORPTION_BOILED], 9.5, 1e-12);
    check_close("dry bulk", d5.further[FURTHER_BULK_DRY], 1666.67, 3e-6);
    check_close("immersed bulk", d5.further[FURTHER_BULK_IMMERSED], 1816.67, 3e-6);
    check_close("boiled bulk", d5.further[FURTHER_BULK_BOILED], 1825, 1e-12);
    check_close("apparent", d5.further[FURTHER_APPARENT], 1980.20, 3e-6);
    check_close("voids", d5.value[PROPERTY_VOIDS], 15.8333, 3e-6);
    check_close("oven-dry by ASTM C567", d5.further[FURTHER_OVEN_DRY_DENSITY], 997 / 0.6, 1e-12);
    struct specimen not_soaked = weighed(1.000, NAN, 1.095, 0.495);
    derive_clean(&not_soaked);
    CU_ASSERT(isnan(not_soaked.further[FURTHER_BULK_IMMERSED]) && isnan(not_soaked.value[PROPERTY_ABSORPTION]));
    check_close("apparent", not_soaked.further[FURTHER_APPARENT], 1980.20, 3e-6);
    struct specimen dry_only = weighed(1.000, NAN, NAN, NAN);
    derive_clean(&dry_only);
    for (size_t i = 0; i < FURTHER_COUNT; i++)
        CU_ASSERT(isnan(dry_only.further[i]));
}

/* Without boiling the mass in water is not D: only the absorption and the oven-dry density follow. */
static void not_boiled(void)
{
    struct specimen d8 = weighed(4.420, 4.610, NAN, 2.010);
    derive_clean(&d8);
    check_close("D8", d8.further[FURTHER_OVEN_DRY_DENSITY], 1694.90, 3e-6);
    for (size_t i = FURTHER_ABSORPTION_BOILED; i < FURTHER_COUNT; i++)
        CU_ASSERT(isnan(d8.further[i]));
}

/* Perlite concrete held down by a sinker of 1.5 kg: 0.81 - 1.5 = -0.69 kg. */
static void afloat(void)
{
    struct specimen specimen = weighed(1.2, 2.1, 2.31, 0.81);
    specimen.sinker_submerged_kg = 1.5;
    derive_clean(&specimen);
    check_close("dry bulk", specimen.further[FURTHER_BULK_DRY], 400, 1e-12);
    check_close("apparent", specimen.further[FURTHER_APPARENT], 1200 / 1.89, 1e-12);
    check_close("boiled", specimen.further[FURTHER_ABSORPTION_BOILED], 92.5, 1e-12);
    check_close("oven-dry", specimen.further[FURTHER_OVEN_DRY_DENSITY], 1.2 * 997 / 3, 1e-12);
}

static void oven_dry(void)
{
    struct specimen both = cube_specimen(100, 1.712, NAN);
    both.moisture = MOISTURE_AIR_DRY;
    both.mass_oven_dry_kg = 1.640;
    derive_clean(&both);
    check_close("as received", both.value[PROPERTY_DENSITY], 1712, 1e-12);
    check_close("dried", both.further[FURTHER_OVEN_DRY_DENSITY], 1640, 1e-12);
    struct specimen weighed_dry = cube_specimen(100, 1.640, NAN);
    weighed_dry.moisture = MOISTURE_OVEN_DRY;
    derive_clean(&weighed_dry);
    check_close("mass in that state", weighed_dry.further[FURTHER_OVEN_DRY_DENSITY], 1640, 1e-12);
    struct specimen ready = blank_specimen();
    ready.value[PROPERTY_DENSITY] = 1640;
    ready.moisture = MOISTURE_OVEN_DRY;
    derive_clean(&ready);
    check_close("ready", ready.further[FURTHER_OVEN_DRY_DENSITY], 1640, 0);
    ready.moisture = MOISTURE_AIR_DRY;
    derive_clean(&ready);
    CU_ASSERT(isnan(ready.further[FURTHER_OVEN_DRY_DENSITY]));
    struct specimen not_told = cube_specimen(100, 1.640, NAN);
    derive_clean(&not_told);
    CU_ASSERT(isnan(not_told.further[FURTHER_OVEN_DRY_DENSITY]));
}

static void asked_about(void)
{
    struct specimen grams = cube_specimen(100, 1.712, NAN);
    grams.moisture = MOISTURE_AIR_DRY;
    grams.mass_oven_dry_kg = 0.00164;
    check_doubt(&grams, "mass_oven_dry", "grams or kilograms?");
    /* Soaked perlite concrete may hold twice its dry mass of water. */
    struct specimen thirsty = cube_specimen(100, 1.2, NAN);
    thirsty.moisture = MOISTURE_SATURATED;
    thirsty.mass_oven_dry_kg = 0.401;
    derive_clean(&thirsty);
    /* What is impossible has no further results. */
    struct specimen exchanged = weighed(1.095, 1.090, 1.000, 0.495);
    struct problem_list problems = derive(&exchanged);
    CU_ASSERT(problems.n_errors == 2);
    CU_ASSERT(isnan(exchanged.further[FURTHER_ABSORPTION_BOILED]));
    problem_list_release(&problems);
}

static void shape_is_settled(void)
{
    struct specimen round = round_specimen(SHAPE_UNKNOWN, 100, 200);
    derive_clean(&round);
    CU_ASSERT_EQUAL(round.shape, SHAPE_CYLINDER);
}

static void rows(void)
{
    check_text(further_row(FURTHER_OVEN_DRY_DENSITY)->json_key, "oven_dry_density_kg_m3");
    check_text(further_row(FURTHER_APPARENT)->words, "apparent density");
    CU_ASSERT_EQUAL(further_row(FURTHER_ABSORPTION_BOILED)->like, PROPERTY_ABSORPTION);
}

int main(void)
{
    static const struct check_case cases[] = {
        {"soaked and boiled", soaked_and_boiled}, {"not boiled", not_boiled}, {"afloat", afloat}, {"oven-dry", oven_dry},
        {"asked about", asked_about}, {"shape is settled", shape_is_settled}, {"rows", rows},
    };
    return check_run("further", cases, sizeof cases / sizeof *cases);
}
