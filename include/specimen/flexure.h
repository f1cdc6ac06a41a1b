#ifndef SPECIMEN_FLEXURE_H
#define SPECIMEN_FLEXURE_H

/*
 * Flexural strength (modulus of rupture), MPa. Loads N, lengths mm; width b
 * and depth d are those at the fracture. docs/methods/flexure.md.
 * Absent (NaN) input gives NaN.
 */

/* Where a beam loaded at its third points broke. */
enum fracture_place {
    FRACTURE_INSIDE, /* in the middle third */
    FRACTURE_NEAR,   /* outside it by at most 5 % of the span */
    FRACTURE_DISCARD /* farther out: the result does not count */
};

/*
 * support_distance_mm: mean distance from the fracture line to the nearest
 * support, measured on the tension face. Source: ASTM C78.
 */
enum fracture_place flexure_fracture_place(double support_distance_mm, double span_mm);

/* P L / (b d^2). Source: ASTM C78, EN 12390-5 (two-point loading). */
double flexure_third_point_mpa(double break_load_n, double span_mm, double width_mm, double depth_mm);

/* 3 P a / (b d^2), for a fracture near the middle third. Source: ASTM C78. */
double flexure_third_point_near_mpa(double break_load_n, double support_distance_mm, double width_mm, double depth_mm);

/* 3 P L / (2 b d^2). Reads higher than third-point loading of the same beam. Source: ASTM C293, EN 12390-5. */
double flexure_centre_point_mpa(double break_load_n, double span_mm, double width_mm, double depth_mm);

#endif
