/* Case numbers B: worked by hand. Perlite mixes: producers' association sheets, 94 lb cement and 8 lb perlite a cubic foot. */
#include "support/check.h"

#include "specimen/batching.h"

#define LB_PER_FT3 16.018463373960138

static void loose_volumes(void)
{
    /* B2: 20 L of 1 : 6 whose volume is that of its loose perlite, so the yield is 6/7; water 54 gal a cubic yard. */
    double part = batching_part_volume_l(20, 7, 6.0 / 7);
    check_close("part", part, 20.0 / 6, 1e-12);
    check_close("B2 cement", batching_mass_kg(part, 94 * LB_PER_FT3), 5.01912, 1e-6);
    check_close("B2 perlite", batching_mass_kg(6 * part, 8 * LB_PER_FT3), 2.56295, 2e-6);
    check_close("B2 water", batching_mass_kg(20, 267.361), 5.34722, 1e-6);
    CU_ASSERT(isnan(batching_part_volume_l(20, NAN, 0.8)));
}

/* 360/3150 + 700/2650 + 400/1250 + 190/1000 m3 of solids and water by hand, and 6 % of air in the whole. */
static void absolute_volumes(void)
{
    const struct batched items[] = {{360, 3150}, {700, 2650}, {400, 1250}, {190, 1000}};
    double solid = 360.0 / 3150 + 700.0 / 2650 + 400.0 / 1250 + 190.0 / 1000;
    check_close("by hand", solid, 0.8884366576819407, 1e-14);
    check_close("no air", batching_absolute_volume_m3(items, 4, 0), 0.8884366576819407, 1e-14);
    check_close("air", batching_absolute_volume_m3(items, 4, 0.06), 0.9451453805127029, 1e-14);
    CU_ASSERT(isnan(batching_absolute_volume_m3(items, 4, 1)) && isnan(batching_absolute_volume_m3(items, 4, -0.1)));
    CU_ASSERT(isnan(batching_absolute_volume_m3(items, 4, NAN)));
}

static void moisture(void)
{
    struct moist_aggregate sand = batching_moisten_saturated(500, 1.2, 4.5);
    check_close("B4 dry", sand.dry_kg, 494.071, 1e-6);
    check_close("B4 batch", sand.batch_kg, 516.304, 1e-6);
    check_close("B4 free water", sand.free_water_kg, 16.3043, 3e-6);
    struct moist_aggregate light = batching_moisten_dry(350, 18, 5);
    check_close("B5 batch", light.batch_kg, 367.5, 1e-12);
    check_close("B5 drinks", light.free_water_kg, -45.5, 1e-12);
    check_close("B5 dry", light.dry_kg, 350, 0);
}

static void gravity_factor(void)
{
    double factor = batching_gravity_factor(700, 3800, 4030);
    check_close("B6 ACI 211.2", factor, 1.48936, 2e-6);
    check_close("displaced", batching_displaced_volume_m3(700, factor), 0.470, 1e-12); /* 700 + 3800 - 4030 litres */
}

static void fibre(void)
{
    check_close("U4 volume", batching_fibre_volume_pct(1.5 * 0.5932764212577828, 910), 0.0977928, 1e-6);
    check_close("mass", batching_fibre_kg(0.9, 35), 0.0315, 1e-12);
}

int main(void)
{
    static const struct check_case cases[] = {
        {"loose volumes", loose_volumes}, {"absolute volumes", absolute_volumes}, {"moisture", moisture},
        {"gravity factor", gravity_factor}, {"fibre", fibre},
    };
    return check_run("batching", cases, sizeof cases / sizeof *cases);
}
