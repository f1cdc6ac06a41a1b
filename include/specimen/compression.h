#ifndef SPECIMEN_COMPRESSION_H
#define SPECIMEN_COMPRESSION_H

/*
 * Compressive strength, f = F / A. Method, edition notes and limits:
 * docs/methods/compression.md. Absent (NaN) input gives NaN.
 */

/* pi D^2 / 4, mm2; D is the mean of two diameters at right angles at mid-height. */
double compression_round_area_mm2(double diameter_mm);

/* Largest load over loaded area, MPa (N/mm2). Source: ASTM C39, C109, C495; EN 12390-3. */
double compression_strength_mpa(double break_load_n, double loaded_area_mm2);

/*
 * Factor by which the measured strength of a cylinder or core of this
 * length/diameter is multiplied: 0.98, 0.96, 0.93, 0.87 at 1.75, 1.50, 1.25,
 * 1.00, straight lines between; 1 above 1.75; NaN below 1.00, where none exists.
 * Source: ASTM C39 and C42.
 */
double compression_length_factor(double length_per_diameter);

/* Below this the length factors were never validated (ASTM C39 note: 1600 to 1920 kg/m3 and normal weight). */
#define COMPRESSION_FACTOR_LEAST_DENSITY_KG_M3 1600.0

/* Nor outside these strengths (the same note: about 14 to 42 MPa, 2000 to 6000 psi; from memory). */
#define COMPRESSION_FACTOR_LEAST_MPA 14.0
#define COMPRESSION_FACTOR_MOST_MPA 42.0

#endif
