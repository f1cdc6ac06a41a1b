#include "specimen/derive.h"

#include "specimen/absorption.h"
#include "specimen/density.h"

#include <math.h>

#define G_CM3 1000.0 /* kg/m3 */
#define LEAST_DRY_SHARE 0.25 /* of any other density: soaked perlite concrete holds twice its dry mass of water */

static const struct further_row further_table[] = {
    [FURTHER_OVEN_DRY_DENSITY] = {"oven-dry density", "oven_dry_density_kg_m3", PROPERTY_DENSITY},
    [FURTHER_ABSORPTION_BOILED] = {"absorption, boiled", "absorption_boiled_pct", PROPERTY_ABSORPTION},
    [FURTHER_BULK_DRY] = {"bulk density, dry", "bulk_density_dry_kg_m3", PROPERTY_DENSITY},
    [FURTHER_BULK_IMMERSED] = {"bulk density, immersed", "bulk_density_immersed_kg_m3", PROPERTY_DENSITY},
    [FURTHER_BULK_BOILED] = {"bulk density, boiled", "bulk_density_boiled_kg_m3", PROPERTY_DENSITY},
    [FURTHER_APPARENT] = {"apparent density", "apparent_density_kg_m3", PROPERTY_DENSITY},
};
_Static_assert(sizeof further_table / sizeof *further_table == FURTHER_COUNT, "a further result has no row");

const struct further_row *further_row(enum further further)
{
    return &further_table[further];
}

static double submerged_alone_kg(const struct specimen *specimen)
{
    return density_submerged_alone_kg(specimen->mass_submerged_kg, specimen->sinker_submerged_kg);
}

/* The mass without water: as told, or `mass` when it was weighed in that state. */
static double oven_dry_mass_kg(const struct specimen *specimen)
{
    if (isnan(specimen->mass_oven_dry_kg) && specimen->moisture == MOISTURE_OVEN_DRY)
        return specimen->mass_kg;
    return specimen->mass_oven_dry_kg;
}

static double oven_dry_density_kg_m3(const struct derivation *run)
{
    const struct specimen *specimen = run->specimen;
    const double dry_kg = oven_dry_mass_kg(specimen);
    if (isnan(dry_kg)) /* a ready density */
        return specimen->moisture == MOISTURE_OVEN_DRY ? specimen->value[PROPERTY_DENSITY] : NAN;
    if (isnan(specimen->mass_submerged_kg))
        return density_from_volume_kg_m3(dry_kg, volume_by_sizes_m3(run));
    return density_c567_kg_m3(dry_kg, mass_put_under_water_kg(specimen), submerged_alone_kg(specimen));
}

/* What impossible masses would give is nothing: find_impossible has told them. */
static void keep(struct derivation *run, enum further further, double value)
{
    if (!isfinite(value) || value < 0)
        return;
    run->specimen->further[further] = value;
    run->specimen->further_known |= 1u << further;
}

static void keep_absorption(struct derivation *run)
{
    const struct specimen *specimen = run->specimen;
    const struct absorption_masses masses = {
        .oven_dry_kg = specimen->mass_oven_dry_kg,
        .saturated_kg = specimen->mass_saturated_kg,
        .boiled_kg = specimen->mass_boiled_kg,
        .submerged_kg = submerged_alone_kg(specimen),
    };
    const struct absorption_results results = absorption_compute(&masses);
    const bool after_boiling = !isnan(specimen->mass_boiled_kg);
    keep(run, FURTHER_ABSORPTION_BOILED, results.boiled_pct);
    keep(run, FURTHER_BULK_DRY, results.dry_bulk_g_cm3 * G_CM3);
    keep(run, FURTHER_BULK_IMMERSED, results.immersed_bulk_g_cm3 * G_CM3);
    keep(run, FURTHER_BULK_BOILED, results.boiled_bulk_g_cm3 * G_CM3);
    keep(run, FURTHER_APPARENT, after_boiling ? results.apparent_g_cm3 * G_CM3 : NAN);
}

void derive_further(struct derivation *run)
{
    struct specimen *specimen = run->specimen;
    for (size_t i = 0; i < FURTHER_COUNT; i++)
        specimen->further[i] = NAN;
    specimen->further_known = 0;
    keep(run, FURTHER_OVEN_DRY_DENSITY, oven_dry_density_kg_m3(run));
    if (!isnan(specimen->mass_oven_dry_kg) || !isnan(specimen->mass_boiled_kg)) /* each of the others needs one of them */
        keep_absorption(run);
}

/* A dried mass is often the only one typed in its unit. */
void find_doubtful_further(struct derivation *run)
{
    const struct specimen *specimen = run->specimen;
    const double density = specimen->further[FURTHER_OVEN_DRY_DENSITY], other = specimen->value[PROPERTY_DENSITY];
    char shown[SHOWN_SIZE];
    if (isnan(density) || specimen->moisture == MOISTURE_OVEN_DRY
        || density >= LEAST_DRY_SHARE * other || isnan(other))
        return;
    problem_list_add(run->problems, SEVERITY_DOUBT, STATUS_OK, AT_COLUMN(specimen, "mass_oven_dry"),
                     "makes the oven-dry density %s, less than a quarter of the density: grams or kilograms?",
                     show_with_unit(density, "kg/m3", shown));
}
