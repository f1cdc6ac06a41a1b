#include "specimen/compression.h"

#include <math.h>
#include <stddef.h>

static const struct {
    double ratio, factor;
} length_factors[] = {{1.00, 0.87}, {1.25, 0.93}, {1.50, 0.96}, {1.75, 0.98}};

/* 7 in / 4 in in millimetres is 1.75 but for the last bit; it belongs to 1.75. */
#define RATIO_TIE 1e-9

double compression_round_area_mm2(double diameter_mm)
{
    return M_PI * diameter_mm * diameter_mm / 4;
}

double compression_strength_mpa(double break_load_n, double loaded_area_mm2)
{
    return break_load_n / loaded_area_mm2;
}

double compression_length_factor(double length_per_diameter)
{
    const size_t n = sizeof length_factors / sizeof *length_factors;
    if (isnan(length_per_diameter) || length_per_diameter < length_factors[0].ratio - RATIO_TIE)
        return NAN;
    for (size_t i = 1; i < n; i++)
        if (length_per_diameter <= length_factors[i].ratio + RATIO_TIE) {
            double slope = (length_factors[i].factor - length_factors[i - 1].factor) /
                           (length_factors[i].ratio - length_factors[i - 1].ratio);
            return length_factors[i].factor + slope * (length_per_diameter - length_factors[i].ratio);
        }
    return 1;
}
