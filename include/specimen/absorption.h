#ifndef SPECIMEN_ABSORPTION_H
#define SPECIMEN_ABSORPTION_H

/*
 * Absorption, boiled absorption and voids of hardened concrete. Source:
 * ASTM C642; docs/methods/absorption.md. Masses kg, results per cent by mass
 * and g/cm3 (water 1 g/cm3). Whatever lacks a mass is NaN.
 */
struct absorption_masses {
    double oven_dry_kg;   /* A */
    double saturated_kg;  /* B, surface-dry after immersion */
    double boiled_kg;     /* C, surface-dry after immersion and boiling */
    double submerged_kg;  /* D, apparent mass in water after boiling, sinker taken off; may be negative */
};

struct absorption_results {
    double immersed_pct;        /* 100 (B - A) / A */
    double boiled_pct;          /* 100 (C - A) / A */
    double dry_bulk_g_cm3;      /* A / (C - D) */
    double immersed_bulk_g_cm3; /* B / (C - D) */
    double boiled_bulk_g_cm3;   /* C / (C - D) */
    double apparent_g_cm3;      /* A / (A - D) */
    double voids_pct;           /* 100 (C - A) / (C - D), by volume */
};

struct absorption_results absorption_compute(const struct absorption_masses *masses);

/*
 * Rate of absorption: I = m / (a d), mm of water taken up by the exposed face;
 * m mass gained in g, d 0.001 g/mm3. Source: ASTM C1585.
 */
double absorption_uptake_mm(double mass_gained_g, double exposed_area_mm2);

#endif
