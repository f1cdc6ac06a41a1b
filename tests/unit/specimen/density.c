/* Density, fresh concrete, absorption, classes. Case numbers D: worked by hand from the formulas of the standards named. */
#include "support/check.h"

#include "specimen/absorption.h"
#include "specimen/classes.h"
#include "specimen/density.h"
#include "specimen/fresh.h"
#include "specimen/quantity.h"

static void by_dimensions(void)
{
    char shown[40];
    double density = density_from_volume_kg_m3(3.250, density_round_volume_m3(150, 300));
    check_close("D1", density, 613.041, 1e-6);
    property_show(PROPERTY_DENSITY, density, false, shown, sizeof shown);
    check_text(shown, "610");
    /* 103 x 197 mm cylinder and 101 x 98 x 97 mm block by hand. */
    check_close("round", density_round_volume_m3(103, 197), 0.0016414609557502552, 1e-14);
    check_close("block", density_block_volume_m3(101, 98, 97), 960106e-9, 1e-14);
    CU_ASSERT(isnan(density_block_volume_m3(101, NAN, 97)));
}

static void by_displacement(void)
{
    char shown[40];
    double volume = density_displaced_volume_m3(8.010, 4.360, WATER_DENSITY_KG_M3);
    check_close("D2 EN 12390-7 volume", volume, 0.00365731, 2e-6);
    double density = density_from_volume_kg_m3(8.010, volume);
    check_close("D2 EN 12390-7", density, 2190.13, 3e-6);
    property_show(PROPERTY_DENSITY, density, false, shown, sizeof shown);
    check_text(shown, "2190");
    check_close("D8 C567", density_c567_kg_m3(4.420, 4.610, 2.010), 1694.90, 3e-6);
}

/*
 * A 2.4 kg specimen of 3 L floats: it is held down by a sinker that reads 1.5 kg
 * alone in water. Together they read 1.5 + 2.4 - 3 x 0.998 = 0.906 kg.
 */
static void floating(void)
{
    double alone = density_submerged_alone_kg(0.906, 1.5);
    check_close("apparent mass of a floating specimen", alone, -0.594, 1e-12);
    double volume = density_displaced_volume_m3(2.4, alone, WATER_DENSITY_KG_M3);
    check_close("volume", volume, 0.003, 1e-12);
    check_close("density", density_from_volume_kg_m3(2.4, volume), 800, 1e-12);
    check_close("no sinker", density_submerged_alone_kg(0.906, NAN), 0.906, 0);
    CU_ASSERT(isnan(density_submerged_alone_kg(NAN, 1.5)));
}

/* D7: ASTM C567 calculated. Published perlite mixes, lb a cubic yard: (1.2 cement + perlite) / 27 in lb/ft3, printed 36 to 22. */
static void calculated_oven_dry(void)
{
    static const struct { double cement, water, wet, dry; } mixes[] = {
        {634.50, 61 * 8.345404, 50.3544, 36.2000}, {507.60, 59.5 * 8.345404, 45.1908, 30.5600},
        {423.00, 54 * 8.345404, 40.3575, 26.8000}, {317.25, 54 * 8.345404, 36.4408, 22.1000},
    };
    const double perlite = 27 * 8;
    check_close("D7 oven-dry", density_oven_dry_calculated_kg_m3(800, 430, 360, 1), 1662, 1e-14);
    check_close("D7 equilibrium", density_equilibrium_estimate_kg_m3(1662), 1712, 1e-14);
    check_close("volume counts", density_oven_dry_calculated_kg_m3(800, 430, 360, 0.8), 2077.5, 1e-14);
    for (size_t i = 0; i < 4; i++) {
        check_close("B1 dry", density_oven_dry_calculated_kg_m3(0, perlite, mixes[i].cement, 27), mixes[i].dry, 1e-6);
        check_close("B1 wet", fresh_density_kg_m3(mixes[i].cement + perlite + mixes[i].water, 0, 27), mixes[i].wet, 2e-6);
    }
}

/* ASTM C138. */
static void fresh(void)
{
    double density = fresh_density_kg_m3(16.90, 3.10, 0.00707);
    double yield = fresh_yield_m3(1010, density);
    check_close("D3 density", density, 1951.91, 3e-6);
    check_close("D4 yield", yield, 0.517442, 1e-6);
    check_close("D4 relative yield", fresh_relative_yield(yield, 0.5), 1.03488, 4e-6);
    check_close("D4 cement content", fresh_cement_content_kg_m3(180, yield), 347.865, 2e-6);
    check_close("D4 air", fresh_air_pct(2010, density), 2.89008, 2e-6);
}

/* D5: appendix example of ASTM C642 (from memory; consistent in itself): prints 9.0 9.5 1.67 1.82 1.83 1.98 15.8. */
static void absorption(void)
{
    const struct absorption_masses masses = {1.000, 1.090, 1.095, 0.495};
    const struct absorption_results results = absorption_compute(&masses);
    check_close("immersed", results.immersed_pct, 9.0, 1e-12);
    check_close("boiled", results.boiled_pct, 9.5, 1e-12);
    check_close("dry bulk", results.dry_bulk_g_cm3, 1.66667, 3e-6);
    check_close("immersed bulk", results.immersed_bulk_g_cm3, 1.81667, 3e-6);
    check_close("boiled bulk", results.boiled_bulk_g_cm3, 1.825, 1e-12);
    check_close("apparent", results.apparent_g_cm3, 1.98020, 2e-6);
    check_close("voids", results.voids_pct, 15.8333, 3e-6);
    check_close("voids by the densities", 100 * (1 - results.dry_bulk_g_cm3 / results.apparent_g_cm3), results.voids_pct,
                1e-12);
}

/* Perlite concrete afloat: dry 1.2 kg, boiled 2.31 kg in 3 L, so D = 2.31 - 3 = -0.69 kg; voids (2.31 - 1.2) / 3 = 37 %. */
static void absorption_floating(void)
{
    const struct absorption_masses masses = {1.2, 2.1, 2.31, -0.69};
    const struct absorption_results results = absorption_compute(&masses);
    check_close("immersed", results.immersed_pct, 75, 1e-12);
    check_close("boiled", results.boiled_pct, 92.5, 1e-12);
    check_close("immersed bulk", results.immersed_bulk_g_cm3, 0.7, 1e-12);
    check_close("boiled bulk", results.boiled_bulk_g_cm3, 0.77, 1e-12);
    check_close("dry bulk", results.dry_bulk_g_cm3, 0.4, 1e-12);
    check_close("apparent", results.apparent_g_cm3, 1.2 / 1.89, 1e-12);
    check_close("voids", results.voids_pct, 37, 1e-12);
    const struct absorption_masses few = {1.2, 2.1, NAN, NAN};
    CU_ASSERT(isnan(absorption_compute(&few).voids_pct) && isnan(absorption_compute(&few).boiled_pct));
    check_close("without boiling", absorption_compute(&few).immersed_pct, 75, 1e-12);
}

static void uptake(void)
{
    check_close("D9 C1585", absorption_uptake_mm(3.2, 7854), 0.407436, 1e-6);
}

static const char *density_class_name(double density)
{
    const struct density_class *class = density_class_find(density);
    return class ? class->name : "none";
}

/* EN 206 and EN 1992-1-1 Table 11.1. */
static void density_classes(void)
{
    check_text(density_class_name(799), "none"); /* D11 */
    check_text(density_class_name(799.99), "none");
    check_text(density_class_name(800), "D1.0");
    check_text(density_class_name(1000), "D1.0"); /* D11 */
    check_text(density_class_name(1000.4), "D1.2");
    check_text(density_class_name(1001), "D1.2"); /* D11 */
    check_text(density_class_name(1399), "D1.4");
    check_text(density_class_name(1600), "D1.6");
    check_text(density_class_name(1800), "D1.8");
    check_text(density_class_name(2000), "D2.0"); /* D11 */
    check_text(density_class_name(2001), "none"); /* D11 */
    check_text(density_class_name(NAN), "none");
    for (int i = 0; i < 6; i++) {
        const struct density_class *class = density_class_find(900 + 200 * i);
        CU_ASSERT_PTR_EQUAL(density_class_find(1000 + 200 * i), class);
        CU_ASSERT_PTR_NOT_EQUAL(density_class_find(1000.4 + 200 * i), class);
        check_close("above", class->above_kg_m3, 800 + 200 * i, 0);
        check_close("up to", class->up_to_kg_m3, 1000 + 200 * i, 0);
        check_close("plain", class->design_plain_kg_m3, 1050 + 200 * i, 0);
        check_close("reinforced", class->design_reinforced_kg_m3, 1150 + 200 * i, 0);
    }
}

static const char *strength_class_name(double strength, bool cube)
{
    const struct strength_class *class = strength_class_find(strength, cube);
    return class ? class->name : "none";
}

/* EN 206 list of classes. */
static void strength_classes(void)
{
    static const struct { const char *name; double cylinder, cube; } list[] = {
        {"none", 0, 0},      {"LC8/9", 8, 9},     {"LC12/13", 12, 13}, {"LC16/18", 16, 18}, {"LC20/22", 20, 22},
        {"LC25/28", 25, 28}, {"LC30/33", 30, 33}, {"LC35/38", 35, 38}, {"LC40/44", 40, 44}, {"LC45/50", 45, 50},
        {"LC50/55", 50, 55}, {"LC55/60", 55, 60}, {"LC60/66", 60, 66}, {"LC70/77", 70, 77}, {"LC80/88", 80, 88},
    };
    for (size_t i = 1; i < sizeof list / sizeof *list; i++) {
        check_text(strength_class_name(list[i].cylinder, false), list[i].name);
        check_text(strength_class_name(list[i].cylinder - 0.1, false), list[i - 1].name);
        check_text(strength_class_name(list[i].cube, true), list[i].name);
        check_text(strength_class_name(list[i].cube - 0.1, true), list[i - 1].name);
        check_close("shown", strength_class_find(list[i].cube, true)->cylinder_mpa, list[i].cylinder, 0);
        check_close("shown", strength_class_find(list[i].cube, true)->cube_mpa, list[i].cube, 0);
    }
    check_text(strength_class_name(120, false), "LC80/88");
    check_text(strength_class_name(NAN, false), "none");
}

static void factors_of_en1992(void)
{
    check_close("D12 eta1", lightweight_tension_factor(1600), 0.836364, 1e-6);
    check_close("D12 etaE", lightweight_modulus_factor(1600), 0.528926, 1e-6);
}

/* ACI 213R (17 MPa, 1120 to 1920), ACI 523.1R (800), ACI 523.3R (17.24 MPa). */
static void kinds(void)
{
    CU_ASSERT(concrete_is_structural_lightweight(17, 1120) && concrete_is_structural_lightweight(17, 1920));
    CU_ASSERT(!concrete_is_structural_lightweight(16.9, 1500) && !concrete_is_structural_lightweight(20, 1119));
    CU_ASSERT(!concrete_is_structural_lightweight(20, 1921) && !concrete_is_structural_lightweight(20, NAN));
    CU_ASSERT(concrete_is_insulating(800) && !concrete_is_insulating(801) && !concrete_is_insulating(NAN));
    CU_ASSERT(concrete_is_moderate(17.23, 801) && !concrete_is_moderate(17.24, 801) && !concrete_is_moderate(10, 800));
    CU_ASSERT(concrete_is_moderate(10, 1920) && !concrete_is_moderate(10, 1921));
}

static void conductivity(void)
{
    check_close("D10 400", thermal_conductivity_w_mk(400), 0.118708, 5e-6);
    check_close("D10 800", thermal_conductivity_w_mk(800), 0.195716, 3e-6);
    check_close("D10 1600", thermal_conductivity_w_mk(1600), 0.532012, 1e-6);
}

int main(void)
{
    static const struct check_case cases[] = {
        {"by dimensions", by_dimensions}, {"by displacement", by_displacement}, {"floating", floating},
        {"calculated oven-dry", calculated_oven_dry}, {"fresh", fresh}, {"absorption", absorption},
        {"absorption of a floating specimen", absorption_floating}, {"uptake", uptake},
        {"density classes", density_classes}, {"strength classes", strength_classes},
        {"factors of EN 1992", factors_of_en1992}, {"kinds", kinds}, {"conductivity", conductivity},
    };
    return check_run("density", cases, sizeof cases / sizeof *cases);
}
