#ifndef SPECIMEN_DENSITY_H
#define SPECIMEN_DENSITY_H

/*
 * Density of hardened concrete, kg/m3. Masses kg, lengths mm, volumes m3.
 * docs/methods/density.md. Absent (NaN) input gives NaN.
 */

#define WATER_DENSITY_KG_M3 998.0      /* at 20 C; EN 12390-7 */
#define WATER_DENSITY_C567_KG_M3 997.0 /* at 23 C; ASTM C567 */

double density_block_volume_m3(double length_mm, double width_mm, double height_mm);

/* pi D^2 L / 4. */
double density_round_volume_m3(double diameter_mm, double length_mm);

/* Mass over volume. Source: ASTM C39 (by dimensions), EN 12390-7. */
double density_from_volume_kg_m3(double mass_kg, double volume_m3);

/*
 * Apparent mass in water of the specimen alone: as read, less the apparent
 * mass of the sinker that held it down (0 or NaN: none was used). Negative for
 * a specimen that floats; the formulas below hold all the same.
 */
double density_submerged_alone_kg(double mass_submerged_kg, double sinker_submerged_kg);

/* (m_air - m_water) / rho_water; m_air in the state in which it was put under water. Source: EN 12390-7. */
double density_displaced_volume_m3(double mass_in_air_kg, double mass_in_water_kg, double water_density_kg_m3);

/*
 * 997 A / (B - C): A mass as dried (oven or equilibrium), B saturated
 * surface-dry, C apparent mass in water. Source: ASTM C567.
 */
double density_c567_kg_m3(double mass_dried_kg, double mass_saturated_kg, double mass_in_water_kg);

/*
 * Oven-dry density from the batch, (Wdf + Wdc + 1.2 Wct) / V: dry fine and
 * coarse aggregate and cement in it; 1.2 allows for chemically bound water.
 * Source: ASTM C567 (calculated); supported by published perlite mixes.
 */
double density_oven_dry_calculated_kg_m3(double dry_fine_kg, double dry_coarse_kg, double cement_kg, double volume_m3);

/* Oven-dry density and 50 kg/m3; reached near 90 d. Source: ASTM C567. */
double density_equilibrium_estimate_kg_m3(double oven_dry_density_kg_m3);

#endif
