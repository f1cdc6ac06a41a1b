#include "specimen/flexure.h"

/* A fracture exactly on a limit counts as within it, whatever the last bit says. */
#define LIMIT_TIE 1e-9

enum fracture_place flexure_fracture_place(double support_distance_mm, double span_mm)
{
    const double third = span_mm / 3;
    const double near_limit = third - 0.05 * span_mm;
    const double measured = support_distance_mm + LIMIT_TIE * span_mm;
    if (measured >= third)
        return FRACTURE_INSIDE;
    return measured >= near_limit ? FRACTURE_NEAR : FRACTURE_DISCARD;
}

double flexure_third_point_mpa(double break_load_n, double span_mm, double width_mm, double depth_mm)
{
    return break_load_n * span_mm / (width_mm * depth_mm * depth_mm);
}

double flexure_third_point_near_mpa(double break_load_n, double support_distance_mm, double width_mm, double depth_mm)
{
    return 3 * break_load_n * support_distance_mm / (width_mm * depth_mm * depth_mm);
}

double flexure_centre_point_mpa(double break_load_n, double span_mm, double width_mm, double depth_mm)
{
    return 3 * break_load_n * span_mm / (2 * width_mm * depth_mm * depth_mm);
}
