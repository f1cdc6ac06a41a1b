#include "specimen/derive.h"

#include "specimen/absorption.h"
#include "specimen/density.h"

#include <math.h>

void derive_absorption(struct derivation *run)
{
    const struct specimen *specimen = run->specimen;
    const struct absorption_masses masses = {
        .oven_dry_kg = specimen->mass_oven_dry_kg,
        .saturated_kg = specimen->mass_saturated_kg,
        .boiled_kg = specimen->mass_boiled_kg,
        .submerged_kg = density_submerged_alone_kg(specimen->mass_submerged_kg, specimen->sinker_submerged_kg),
    };
    const struct absorption_results results = absorption_compute(&masses);
    derivation_settle(run, PROPERTY_ABSORPTION, results.immersed_pct, "mass_saturated");
    derivation_settle(run, PROPERTY_VOIDS, results.voids_pct, "mass_boiled");
}

double volume_by_sizes_m3(const struct derivation *run)
{
    const struct specimen *specimen = run->specimen;
    if (run->shape == SHAPE_CYLINDER || run->shape == SHAPE_CORE)
        return density_round_volume_m3(specimen->diameter_mm, run->length_mm);
    return density_block_volume_m3(run->length_mm, run->width_mm, run->height_mm);
}

/* The state in which the specimen went under water: soaked if it was soaked, boiled if it was boiled. */
double mass_put_under_water_kg(const struct specimen *specimen)
{
    if (!isnan(specimen->mass_boiled_kg))
        return specimen->mass_boiled_kg;
    return isnan(specimen->mass_saturated_kg) ? specimen->mass_kg : specimen->mass_saturated_kg;
}

static double volume_m3(struct derivation *run)
{
    const struct specimen *specimen = run->specimen;
    if (isnan(specimen->mass_submerged_kg))
        return volume_by_sizes_m3(run);
    const double air_kg = mass_put_under_water_kg(specimen);
    if (!derivation_needs(run, air_kg, "mass_saturated", "the volume by displacement"))
        return NAN;
    return density_displaced_volume_m3(
        air_kg, density_submerged_alone_kg(specimen->mass_submerged_kg, specimen->sinker_submerged_kg),
        WATER_DENSITY_KG_M3);
}

/* A mass whose state is known for certain. */
struct mass_choice {
    double mass_kg;
    const char *column;
    enum moisture moisture;
};

/*
 * `mass` is in the state that `moisture` names. Without it the oven-dry mass
 * is taken, else the saturated one, unless `moisture` says another state.
 */
static struct mass_choice choose_mass(const struct specimen *specimen)
{
    if (!isnan(specimen->mass_kg))
        return (struct mass_choice){specimen->mass_kg, "mass", specimen->moisture};
    const struct mass_choice others[] = {
        {specimen->mass_oven_dry_kg, "mass_oven_dry", MOISTURE_OVEN_DRY},
        {specimen->mass_saturated_kg, "mass_saturated", MOISTURE_SATURATED},
    };
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        if (!isnan(others[i].mass_kg) &&
            (specimen->moisture == MOISTURE_UNKNOWN || specimen->moisture == others[i].moisture))
            return others[i];
    return (struct mass_choice){NAN, "mass", specimen->moisture};
}

static bool any_size_given(const struct specimen *specimen)
{
    return !isnan(specimen->length_mm) || !isnan(specimen->width_mm) || !isnan(specimen->height_mm) ||
           !isnan(specimen->diameter_mm);
}

/* The first size that the volume still needs, with its article. */
static const char *missing_size(const struct derivation *run)
{
    const bool is_round = run->shape == SHAPE_CYLINDER || run->shape == SHAPE_CORE;
    if (run->shape == SHAPE_UNKNOWN)
        return "a size";
    if (is_round && isnan(run->specimen->diameter_mm))
        return "the diameter";
    if (isnan(run->length_mm))
        return "the length";
    return isnan(run->width_mm) ? "the width" : "the height";
}

/* A round specimen is told by diameter and length; whoever stands it upright writes its height. */
static bool needs_length_for_height(const struct derivation *run)
{
    return (run->shape == SHAPE_CYLINDER || run->shape == SHAPE_CORE) && isnan(run->length_mm) && !isnan(run->specimen->height_mm);
}

/* Says why there is no density where the user seems to want one. */
static void explain_no_density(struct derivation *run, const struct mass_choice *choice, double volume)
{
    const struct specimen *specimen = run->specimen;
    const bool weighed = !isnan(choice->mass_kg);
    const bool other_state = !isnan(specimen->mass_oven_dry_kg) || !isnan(specimen->mass_saturated_kg);
    if (run->ready & (1u << PROPERTY_DENSITY))
        return;
    if (weighed && isnan(volume) && any_size_given(specimen))
        problem_list_add(run->problems, SEVERITY_NOTICE, STATUS_OK, AT_COLUMN(specimen, choice->column),
                         "gives no density: %s of the %s is missing%s", missing_size(run),
                         run->shape == SHAPE_UNKNOWN ? "specimen, or its shape," : shape_word(run->shape),
                         needs_length_for_height(run) ? " (write its height in the column 'length')" : "");
    else if (!weighed && other_state && !isnan(volume))
        problem_list_add(run->problems, SEVERITY_NOTICE, STATUS_OK, AT_COLUMN(specimen, "moisture"),
                         "is '%s', but no mass in that state is given: no density",
                         moisture_word(specimen->moisture));
}

void derive_density(struct derivation *run)
{
    struct specimen *specimen = run->specimen;
    const size_t errors_before = run->problems->n_errors;
    const struct mass_choice choice = choose_mass(specimen);
    const double volume = volume_m3(run);
    if (isnan(choice.mass_kg) || isnan(volume)) {
        if (run->problems->n_errors == errors_before)
            explain_no_density(run, &choice, volume);
        return;
    }
    if (!(volume > 0)) /* find_impossible has said why */
        return;
    derivation_settle(run, PROPERTY_DENSITY, density_from_volume_kg_m3(choice.mass_kg, volume), choice.column);
    specimen->moisture = choice.moisture;
}
