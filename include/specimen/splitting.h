#ifndef SPECIMEN_SPLITTING_H
#define SPECIMEN_SPLITTING_H

/*
 * Splitting tensile strength 2 P / (pi l d), MPa: length of the loaded line l,
 * diameter (or side, for a cube) d between the lines. NaN in gives NaN.
 * Source: ASTM C496, EN 12390-6; docs/methods/splitting.md.
 */
double splitting_strength_mpa(double break_load_n, double line_length_mm, double depth_mm);

#endif
