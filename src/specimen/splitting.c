#include "specimen/splitting.h"

#include <math.h>

double splitting_strength_mpa(double break_load_n, double line_length_mm, double depth_mm)
{
    return 2 * break_load_n / (M_PI * line_length_mm * depth_mm);
}
