#include "specimen/fresh.h"

double fresh_density_kg_m3(double mass_full_kg, double mass_empty_kg, double measure_volume_m3)
{
    return (mass_full_kg - mass_empty_kg) / measure_volume_m3;
}

double fresh_yield_m3(double batched_mass_kg, double density_kg_m3)
{
    return batched_mass_kg / density_kg_m3;
}

double fresh_relative_yield(double yield_m3, double designed_volume_m3)
{
    return yield_m3 / designed_volume_m3;
}

double fresh_cement_content_kg_m3(double cement_kg, double yield_m3)
{
    return cement_kg / yield_m3;
}

double fresh_air_pct(double air_free_density_kg_m3, double density_kg_m3)
{
    return 100 * (air_free_density_kg_m3 - density_kg_m3) / air_free_density_kg_m3;
}
