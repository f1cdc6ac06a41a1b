#include "specimen/classes.h"

#include <math.h>

#define NORMAL_WEIGHT_KG_M3 2200.0 /* EN 1992-1-1 section 11 */

/* Design densities: EN 1992-1-1 Table 11.1. */
static const struct density_class density_classes[] = {
    {"D1.0", 800, 1000, 1050, 1150},  {"D1.2", 1000, 1200, 1250, 1350}, {"D1.4", 1200, 1400, 1450, 1550},
    {"D1.6", 1400, 1600, 1650, 1750}, {"D1.8", 1600, 1800, 1850, 1950}, {"D2.0", 1800, 2000, 2050, 2150},
};

static const struct strength_class strength_classes[] = {
    {"LC8/9", 8, 9},     {"LC12/13", 12, 13}, {"LC16/18", 16, 18}, {"LC20/22", 20, 22}, {"LC25/28", 25, 28},
    {"LC30/33", 30, 33}, {"LC35/38", 35, 38}, {"LC40/44", 40, 44}, {"LC45/50", 45, 50}, {"LC50/55", 50, 55},
    {"LC55/60", 55, 60}, {"LC60/66", 60, 66}, {"LC70/77", 70, 77}, {"LC80/88", 80, 88},
};

const struct density_class *density_class_find(double oven_dry_density_kg_m3)
{
    if (!(oven_dry_density_kg_m3 >= density_classes[0].above_kg_m3))
        return NULL;
    for (size_t i = 0; i < sizeof density_classes / sizeof *density_classes; i++)
        if (oven_dry_density_kg_m3 <= density_classes[i].up_to_kg_m3)
            return &density_classes[i];
    return NULL;
}

const struct strength_class *strength_class_find(double characteristic_mpa, bool cube)
{
    const struct strength_class *reached = NULL;
    for (size_t i = 0; i < sizeof strength_classes / sizeof *strength_classes; i++) {
        const struct strength_class *class = &strength_classes[i];
        if (characteristic_mpa >= (cube ? class->cube_mpa : class->cylinder_mpa))
            reached = class;
    }
    return reached;
}

double lightweight_tension_factor(double class_upper_density_kg_m3)
{
    return 0.40 + 0.60 * class_upper_density_kg_m3 / NORMAL_WEIGHT_KG_M3;
}

double lightweight_modulus_factor(double oven_dry_density_kg_m3)
{
    const double ratio = oven_dry_density_kg_m3 / NORMAL_WEIGHT_KG_M3;
    return ratio * ratio;
}

bool concrete_is_structural_lightweight(double strength_28_days_mpa, double equilibrium_density_kg_m3)
{
    return strength_28_days_mpa >= 17 && equilibrium_density_kg_m3 >= 1120 && equilibrium_density_kg_m3 <= 1920;
}

bool concrete_is_insulating(double oven_dry_density_kg_m3)
{
    return oven_dry_density_kg_m3 <= 800;
}

bool concrete_is_moderate(double strength_mpa, double oven_dry_density_kg_m3)
{
    return strength_mpa < 17.24 && oven_dry_density_kg_m3 > 800 && oven_dry_density_kg_m3 <= 1920;
}

double thermal_conductivity_w_mk(double oven_dry_density_kg_m3)
{
    return 0.072 * exp(0.00125 * oven_dry_density_kg_m3);
}
