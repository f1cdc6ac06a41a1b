#ifndef SPECIMEN_FRESH_H
#define SPECIMEN_FRESH_H

/*
 * Fresh concrete: density, yield, air. Source: ASTM C138;
 * docs/methods/fresh-density.md. Masses kg, volumes m3. NaN in gives NaN.
 */

/* (Mc - Mm) / Vm: full measure, empty measure, volume of the measure. */
double fresh_density_kg_m3(double mass_full_kg, double mass_empty_kg, double measure_volume_m3);

/* M / D: volume of concrete from the total mass of everything batched. */
double fresh_yield_m3(double batched_mass_kg, double density_kg_m3);

/* Y / Yd, yield over designed volume; under 1 the batch is short. */
double fresh_relative_yield(double yield_m3, double designed_volume_m3);

/* Cement in a cubic metre of the concrete made, kg/m3. */
double fresh_cement_content_kg_m3(double cement_kg, double yield_m3);

/*
 * 100 (T - D) / T, per cent by volume, T the density without air. Not to be
 * relied on when the aggregate drinks water: T then is not known.
 */
double fresh_air_pct(double air_free_density_kg_m3, double density_kg_m3);

#endif
