#ifndef SPECIMEN_BATCHING_H
#define SPECIMEN_BATCHING_H

#include <stddef.h>

/* From parts by volume to masses in the mixer; docs/methods/batching.md. NaN in gives NaN. */

/* Loose volume of one part, litre: concrete / (sum of parts x yield); yield = concrete volume / loose volumes. */
double batching_part_volume_l(double concrete_l, double parts_total, double yield);

/* Mass of a loose volume. Source: ASTM C29 bulk density. */
double batching_mass_kg(double loose_volume_l, double bulk_density_kg_m3);

/* Something batched: its mass and the density of its particles (never the bulk density). */
struct batched {
    double mass_kg, particle_density_kg_m3;
};

/* (sum m / rho) / (1 - air): volume of the concrete, m3; air_fraction of the whole, 0 to below 1. NaN outside. */
double batching_absolute_volume_m3(const struct batched *items, size_t n, double air_fraction);

/*
 * Moist aggregate in the mixer. All moistures are per cent of the oven-dry mass.
 * free_water_kg is water it brings (take it off the mixing water) or, when
 * negative, will drink (add it).
 */
struct moist_aggregate {
    double dry_kg, batch_kg, free_water_kg;
};

/* From a recipe that counts dry aggregate. */
struct moist_aggregate batching_moisten_dry(double dry_kg, double absorption_pct, double moisture_pct);

/* From a recipe that counts saturated surface-dry aggregate. */
struct moist_aggregate batching_moisten_saturated(double saturated_kg, double absorption_pct, double moisture_pct);

/*
 * Specific gravity factor C / (C + A - B): A pycnometer full of water, B with
 * aggregate and water, C aggregate at the stated moisture. Source: ACI 211.2.
 */
double batching_gravity_factor(double aggregate_kg, double pycnometer_water_kg, double pycnometer_both_kg);

/* Volume an aggregate takes up in the concrete, m3: W / (1000 S). */
double batching_displaced_volume_m3(double mass_kg, double gravity_factor);

/* Fibre mass in a volume of concrete, and the share of that volume it takes up. */
double batching_fibre_kg(double dose_kg_m3, double concrete_l);
double batching_fibre_volume_pct(double dose_kg_m3, double fibre_density_kg_m3);

#endif
