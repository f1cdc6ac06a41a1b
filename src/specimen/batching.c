#include "specimen/batching.h"

#include <math.h>

#define L_PER_M3 1000.0
#define WATER_KG_M3 1000.0 /* ACI 211.2 takes water at 1000 kg/m3 (62.4 lb/ft3) for displaced volumes */

double batching_part_volume_l(double concrete_l, double parts_total, double yield)
{
    return concrete_l / (parts_total * yield);
}

double batching_mass_kg(double loose_volume_l, double bulk_density_kg_m3)
{
    return loose_volume_l / L_PER_M3 * bulk_density_kg_m3;
}

double batching_absolute_volume_m3(const struct batched *items, size_t n, double air_fraction)
{
    double solid_m3 = 0;
    if (!(air_fraction >= 0 && air_fraction < 1))
        return NAN;
    for (size_t i = 0; i < n; i++)
        solid_m3 += items[i].mass_kg / items[i].particle_density_kg_m3;
    return solid_m3 / (1 - air_fraction);
}

struct moist_aggregate batching_moisten_dry(double dry_kg, double absorption_pct, double moisture_pct)
{
    return (struct moist_aggregate){
        .dry_kg = dry_kg,
        .batch_kg = dry_kg * (1 + moisture_pct / 100),
        .free_water_kg = dry_kg * (moisture_pct - absorption_pct) / 100,
    };
}

struct moist_aggregate batching_moisten_saturated(double saturated_kg, double absorption_pct, double moisture_pct)
{
    return batching_moisten_dry(saturated_kg / (1 + absorption_pct / 100), absorption_pct, moisture_pct);
}

double batching_gravity_factor(double aggregate_kg, double pycnometer_water_kg, double pycnometer_both_kg)
{
    return aggregate_kg / (aggregate_kg + pycnometer_water_kg - pycnometer_both_kg);
}

double batching_displaced_volume_m3(double mass_kg, double gravity_factor)
{
    return mass_kg / (WATER_KG_M3 * gravity_factor);
}

double batching_fibre_kg(double dose_kg_m3, double concrete_l)
{
    return dose_kg_m3 * concrete_l / L_PER_M3;
}

double batching_fibre_volume_pct(double dose_kg_m3, double fibre_density_kg_m3)
{
    return 100 * dose_kg_m3 / fibre_density_kg_m3;
}
