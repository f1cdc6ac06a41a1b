#include "specimen/absorption.h"

#define WATER_G_PER_MM3 0.001

struct absorption_results absorption_compute(const struct absorption_masses *masses)
{
    const double dry = masses->oven_dry_kg, boiled = masses->boiled_kg;
    const double displaced = boiled - masses->submerged_kg; /* kg of water, so litres at 1 g/cm3 */
    return (struct absorption_results){
        .immersed_pct = 100 * (masses->saturated_kg - dry) / dry,
        .boiled_pct = 100 * (boiled - dry) / dry,
        .dry_bulk_g_cm3 = dry / displaced,
        .immersed_bulk_g_cm3 = masses->saturated_kg / displaced,
        .boiled_bulk_g_cm3 = boiled / displaced,
        .apparent_g_cm3 = dry / (dry - masses->submerged_kg),
        .voids_pct = 100 * (boiled - dry) / displaced,
    };
}

double absorption_uptake_mm(double mass_gained_g, double exposed_area_mm2)
{
    return mass_gained_g / (exposed_area_mm2 * WATER_G_PER_MM3);
}
