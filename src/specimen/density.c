#include "specimen/density.h"

#include <math.h>

#define MM3_PER_M3 1e9
#define BOUND_WATER_FACTOR 1.2    /* ASTM C567: cement and the water it binds, per mass of cement */
#define EQUILIBRIUM_WATER_KG_M3 50.0

double density_block_volume_m3(double length_mm, double width_mm, double height_mm)
{
    return length_mm * width_mm * height_mm / MM3_PER_M3;
}

double density_round_volume_m3(double diameter_mm, double length_mm)
{
    return M_PI * diameter_mm * diameter_mm / 4 * length_mm / MM3_PER_M3;
}

double density_from_volume_kg_m3(double mass_kg, double volume_m3)
{
    return mass_kg / volume_m3;
}

double density_submerged_alone_kg(double mass_submerged_kg, double sinker_submerged_kg)
{
    return isnan(sinker_submerged_kg) ? mass_submerged_kg : mass_submerged_kg - sinker_submerged_kg;
}

double density_displaced_volume_m3(double mass_in_air_kg, double mass_in_water_kg, double water_density_kg_m3)
{
    return (mass_in_air_kg - mass_in_water_kg) / water_density_kg_m3;
}

double density_c567_kg_m3(double mass_dried_kg, double mass_saturated_kg, double mass_in_water_kg)
{
    return density_from_volume_kg_m3(mass_dried_kg, density_displaced_volume_m3(mass_saturated_kg, mass_in_water_kg,
                                                                                WATER_DENSITY_C567_KG_M3));
}

double density_oven_dry_calculated_kg_m3(double dry_fine_kg, double dry_coarse_kg, double cement_kg, double volume_m3)
{
    return (dry_fine_kg + dry_coarse_kg + BOUND_WATER_FACTOR * cement_kg) / volume_m3;
}

double density_equilibrium_estimate_kg_m3(double oven_dry_density_kg_m3)
{
    return oven_dry_density_kg_m3 + EQUILIBRIUM_WATER_KG_M3;
}
