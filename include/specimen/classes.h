#ifndef SPECIMEN_CLASSES_H
#define SPECIMEN_CLASSES_H

#include <stdbool.h>
#include <stddef.h>

/*
 * Density and strength classes of lightweight concrete; docs/methods/classes.md.
 * Classes hold for characteristic strengths and oven-dry densities, not for one specimen.
 */
struct density_class {
    const char *name;                  /* "D1.6" */
    double above_kg_m3, up_to_kg_m3;   /* oven-dry: above < density <= up_to; D1.0 takes 800 too */
    double design_plain_kg_m3;
    double design_reinforced_kg_m3;
};

/* Class of an oven-dry density, or NULL outside 800 to 2000 kg/m3. Source: EN 206, EN 1992-1-1 Table 11.1. */
const struct density_class *density_class_find(double oven_dry_density_kg_m3);

struct strength_class {
    const char *name; /* "LC16/18" */
    double cylinder_mpa, cube_mpa;
};

/* Highest class that a characteristic strength reaches, or NULL under LC8/9. Source: EN 206. */
const struct strength_class *strength_class_find(double characteristic_mpa, bool cube);

/* 0.40 + 0.60 rho / 2200: tensile strength against normal weight, rho the upper limit of the class. EN 1992-1-1 section 11. */
double lightweight_tension_factor(double class_upper_density_kg_m3);

/* (rho / 2200)^2: modulus of elasticity against normal weight. EN 1992-1-1 section 11. */
double lightweight_modulus_factor(double oven_dry_density_kg_m3);

/* ACI 213R: 28-day strength 17 MPa or more and equilibrium density 1120 to 1920 kg/m3. */
bool concrete_is_structural_lightweight(double strength_28_days_mpa, double equilibrium_density_kg_m3);

/* ACI 523.1R: oven-dry density of 800 kg/m3 or less. */
bool concrete_is_insulating(double oven_dry_density_kg_m3);

/* ACI 523.3R: oven-dry density above 800 up to 1920 kg/m3, strength under 17.24 MPa (2500 psi). */
bool concrete_is_moderate(double strength_mpa, double oven_dry_density_kg_m3);

/*
 * Thermal conductivity 0.072 exp(0.00125 w), W/(m K), w oven-dry kg/m3: an
 * estimate for air-dry concrete that reads a quarter to a half too high for
 * perlite concrete; measure where it matters. Source: ACI 122R (Valore);
 * docs/methods/thermal-conductivity.md.
 */
double thermal_conductivity_w_mk(double oven_dry_density_kg_m3);

#endif
