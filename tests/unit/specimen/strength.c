/* Compression, flexure and splitting. Case numbers C, F, T: worked by hand from the formulas of the standards named. */
#include "support/check.h"

#include "specimen/compression.h"
#include "specimen/flexure.h"
#include "specimen/quantity.h"
#include "specimen/splitting.h"

#define INCH 25.4
#define LBF 4.4482216152605
#define PSI 6894.757293168361e-6

static double cylinder_mpa(double load_n, double diameter_mm)
{
    return compression_strength_mpa(load_n, compression_round_area_mm2(diameter_mm));
}

static void check_shown(double mpa, bool us, const char *want)
{
    char shown[40];
    property_show(PROPERTY_COMPRESSIVE_STRENGTH, mpa, us, shown, sizeof shown);
    check_text(shown, want);
}

static void compression(void)
{
    check_close("C1 C39", cylinder_mpa(397600, 150), 22.4996, 2e-6);
    check_shown(cylinder_mpa(397600, 150), false, "22.5");
    check_close("C2 C39", cylinder_mpa(113000 * LBF, 6 * INCH) / PSI, 3996.56, 2e-6);
    check_shown(cylinder_mpa(113000 * LBF, 6 * INCH), true, "4000");
    check_close("C3 C39 psi", cylinder_mpa(50000 * LBF, 4 * INCH) / PSI, 3978.87, 2e-6);
    check_close("C3 C39 MPa", cylinder_mpa(50000 * LBF, 4 * INCH), 27.4334, 2e-6);
    check_shown(cylinder_mpa(50000 * LBF, 4 * INCH), true, "3980");
    check_close("C4 C495 psi", cylinder_mpa(1200 * LBF, 3 * INCH) / PSI, 169.765, 3e-6);
    check_close("C4 C495 MPa", cylinder_mpa(1200 * LBF, 3 * INCH), 1.17049, 4e-6);
    check_shown(cylinder_mpa(1200 * LBF, 3 * INCH), true, "170");
    check_shown(cylinder_mpa(1200 * LBF, 3 * INCH), false, "1.2");
    check_close("C5 cube", compression_strength_mpa(31200, 50.2 * 49.8), 12.4802, 4e-6);
    check_shown(compression_strength_mpa(31200, 50.2 * 49.8), false, "12.5");
    check_close("C6 C109", compression_strength_mpa(18650 * LBF, 4 * INCH * INCH) / PSI, 4662.5, 1e-12);
    check_shown(compression_strength_mpa(18650 * LBF, 4 * INCH * INCH), true, "4660");
    CU_ASSERT(isnan(cylinder_mpa(NAN, 150)) && isnan(cylinder_mpa(100, NAN)));
}

/* Points: ASTM C39/C42 (1.50 and 1.25 as printed, 1.75 and 1.00 from memory); between them straight lines by hand. */
static void length_factors(void)
{
    check_close("C7 1.75", compression_length_factor(1.75), 0.98, 1e-15);
    check_close("C7 1.50", compression_length_factor(1.50), 0.96, 1e-15);
    check_close("C7 1.25", compression_length_factor(1.25), 0.93, 1e-15);
    check_close("C7 1.00", compression_length_factor(1.00), 0.87, 1e-15);
    check_close("C8 1.60", compression_length_factor(1.60), 0.968, 1e-12);
    check_close("C8 1.33", compression_length_factor(1.33), 0.9396, 1e-12);
    check_close("C8 1.10", compression_length_factor(1.10), 0.894, 1e-12);
    CU_ASSERT(compression_length_factor(1.80) == 1);
    CU_ASSERT(compression_length_factor(2.00) == 1);
    CU_ASSERT(compression_length_factor(2.30) == 1);
    CU_ASSERT(compression_length_factor(1.7501) == 1);
    CU_ASSERT(isnan(compression_length_factor(0.95)));
    CU_ASSERT(isnan(compression_length_factor(0.9999)));
    CU_ASSERT(isnan(compression_length_factor(NAN)));
    check_close("7 in on 4 in", compression_length_factor(7 * INCH / (4 * INCH)), 0.98, 1e-9);
    check_close("3 in on 3 in", compression_length_factor(3 * INCH / 76.2), 0.87, 1e-9);
    check_close("a hair above 1.75", compression_length_factor(nextafter(1.75, 2)), 0.98, 1e-9);
    check_close("a hair under 1.00", compression_length_factor(nextafter(1.0, 0)), 0.87, 1e-9);
}

/* F1 to F3: ASTM C78, beam 150 x 150 mm on 450 mm, 36 kN. F5: ASTM C293, 20 kN. */
static void flexure(void)
{
    char shown[40];
    check_close("F1", flexure_third_point_mpa(36000, 450, 150, 150), 4.8, 1e-14);
    check_close("F2", flexure_third_point_near_mpa(36000, 140, 150, 150), 4.48, 1e-14);
    property_show(PROPERTY_FLEXURAL_STRENGTH, 4.48, false, shown, sizeof shown);
    check_text(shown, "4.50");
    check_close("F5", flexure_centre_point_mpa(20000, 450, 150, 150), 4.0, 1e-14);
    /* Unequal sides tell width from depth: 24310 x 455 / (102 x 149^2), by hand. */
    check_close("third point, b not d", flexure_third_point_mpa(24310, 455, 102, 149), 4.884539735447352, 1e-13);
    check_close("near, b not d", flexure_third_point_near_mpa(24310, 139, 102, 149), 4.476600153146254, 1e-13);
    check_close("centre point, b not d", flexure_centre_point_mpa(24310, 455, 102, 149), 7.326809603171029, 1e-13);
    CU_ASSERT(isnan(flexure_third_point_mpa(36000, NAN, 150, 150)));
}

/* Middle third of 450 mm starts at 150 mm; the limit of C78 is 150 - 22.5 = 127.5 mm (F3). */
static void fracture_places(void)
{
    CU_ASSERT_EQUAL(flexure_fracture_place(225, 450), FRACTURE_INSIDE);
    CU_ASSERT_EQUAL(flexure_fracture_place(150, 450), FRACTURE_INSIDE);
    CU_ASSERT_EQUAL(flexure_fracture_place(149.9, 450), FRACTURE_NEAR);
    CU_ASSERT_EQUAL(flexure_fracture_place(140, 450), FRACTURE_NEAR);
    CU_ASSERT_EQUAL(flexure_fracture_place(127.5, 450), FRACTURE_NEAR);
    CU_ASSERT_EQUAL(flexure_fracture_place(127.4, 450), FRACTURE_DISCARD);
    CU_ASSERT_EQUAL(flexure_fracture_place(127, 450), FRACTURE_DISCARD);
    CU_ASSERT_EQUAL(flexure_fracture_place(0, 450), FRACTURE_DISCARD);
    CU_ASSERT_EQUAL(flexure_fracture_place(6 * INCH, 18 * INCH), FRACTURE_INSIDE);
    CU_ASSERT_EQUAL(flexure_fracture_place(5.1 * INCH, 18 * INCH), FRACTURE_NEAR);
    CU_ASSERT_EQUAL(flexure_fracture_place(5.09 * INCH, 18 * INCH), FRACTURE_DISCARD);
}

/* ASTM C496, cylinder 150 x 300 mm. */
static void splitting(void)
{
    char shown[40];
    check_close("T1", splitting_strength_mpa(190000, 300, 150), 2.68795, 2e-6);
    property_show(PROPERTY_SPLITTING_STRENGTH, splitting_strength_mpa(190000, 300, 150), false, shown, sizeof shown);
    check_text(shown, "2.70");
    check_close("0.637 P/(d l)", splitting_strength_mpa(1, 1, 1), 0.636619772367581, 1e-14);
    CU_ASSERT(isnan(splitting_strength_mpa(190000, NAN, 150)));
}

int main(void)
{
    static const struct check_case cases[] = {
        {"compression", compression}, {"length factors", length_factors}, {"flexure", flexure},
        {"fracture places", fracture_places}, {"splitting", splitting},
    };
    return check_run("strength", cases, sizeof cases / sizeof *cases);
}
