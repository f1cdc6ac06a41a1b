#include "specimen/derive.h"

#include "specimen/compression.h"
#include "specimen/flexure.h"
#include "specimen/splitting.h"

#include <math.h>
#include <stdio.h>

/* Wrong pairs of shape and loading all read alike. */
static void refuse_loading(struct derivation *run, const char *advice)
{
    problem_list_add(run->problems, SEVERITY_ERROR, STATUS_INPUT, AT_COLUMN(run->specimen, "loading"),
                     "'%s' does not go with a %s: %s", loading_word(run->loading), shape_word(run->shape), advice);
}

/* Says it where nobody validated a length factor. A density that is not known may be any. */
static void warn_of_correction(struct derivation *run, double factor, double strength_mpa)
{
    struct specimen *specimen = run->specimen;
    const double density = specimen->value[PROPERTY_DENSITY];
    char why[120] = "";
    if (isnan(density))
        snprintf(why, sizeof why, "below %.0f kg/m3, and the density is not known", COMPRESSION_FACTOR_LEAST_DENSITY_KG_M3);
    else if (density < COMPRESSION_FACTOR_LEAST_DENSITY_KG_M3)
        snprintf(why, sizeof why, "below %.0f kg/m3", COMPRESSION_FACTOR_LEAST_DENSITY_KG_M3);
    else if (strength_mpa < COMPRESSION_FACTOR_LEAST_MPA || strength_mpa > COMPRESSION_FACTOR_MOST_MPA)
        snprintf(why, sizeof why, "outside %.0f to %.0f MPa", COMPRESSION_FACTOR_LEAST_MPA, COMPRESSION_FACTOR_MOST_MPA);
    if (!why[0])
        return;
    specimen->flags |= FLAG_CORRECTION_UNPROVED;
    problem_list_add(run->problems, SEVERITY_NOTICE, STATUS_OK, AT_COLUMN(specimen, "length"),
                     "asks for a length correction of %.3f, which was never validated %s", factor, why);
}

/* Strength of a short cylinder or core reads high; brings it to that of a length of two diameters. */
static double correct_for_length(struct derivation *run, double strength_mpa)
{
    struct specimen *specimen = run->specimen;
    const double ratio = specimen->length_mm / specimen->diameter_mm;
    const double factor = compression_length_factor(ratio);
    if (isnan(ratio) || factor == 1)
        return strength_mpa;
    if (isnan(factor)) {
        problem_list_add(run->problems, SEVERITY_ERROR, STATUS_INPUT, AT_COLUMN(specimen, "length"),
                         "is %.2f of the diameter: below 1 no length correction exists; "
                         "leave break_load empty to use the other results", ratio);
        return NAN;
    }
    specimen->flags |= FLAG_LENGTH_CORRECTED;
    warn_of_correction(run, factor, strength_mpa * factor);
    return strength_mpa * factor;
}

static double round_compression_mpa(struct derivation *run)
{
    const struct specimen *specimen = run->specimen;
    if (!derivation_needs(run, specimen->diameter_mm, "diameter", "the compressive strength"))
        return NAN;
    if (run->shape == SHAPE_CORE && isnan(specimen->length_mm))
        problem_list_add(run->problems, SEVERITY_DOUBT, STATUS_OK, AT_COLUMN(specimen, "length"),
                         "is missing: the core's strength stands without a length correction");
    const double area_mm2 = compression_round_area_mm2(specimen->diameter_mm);
    return correct_for_length(run, compression_strength_mpa(specimen->break_load_n, area_mm2));
}

static double cube_compression_mpa(struct derivation *run)
{
    if (!derivation_needs(run, run->length_mm, "length", "the compressive strength of a cube"))
        return NAN;
    return compression_strength_mpa(run->specimen->break_load_n, run->length_mm * run->width_mm);
}

/* A beam under axial load stands on its end: width x height is loaded. */
static double beam_compression_mpa(struct derivation *run)
{
    const char *purpose = "the compressive strength of a beam stood on its end";
    bool whole = derivation_needs(run, run->length_mm, "length", purpose);
    whole = derivation_needs(run, run->width_mm, "width", purpose) && whole;
    whole = derivation_needs(run, run->height_mm, "height", purpose) && whole;
    return whole ? compression_strength_mpa(run->specimen->break_load_n, run->width_mm * run->height_mm) : NAN;
}

static double compression_mpa(struct derivation *run)
{
    switch (run->shape) {
    case SHAPE_CYLINDER:
    case SHAPE_CORE:
        return round_compression_mpa(run);
    case SHAPE_CUBE:
        return cube_compression_mpa(run);
    case SHAPE_BEAM:
        return beam_compression_mpa(run);
    default:
        refuse_loading(run, "break it by centre-point or third-point loading, or call it a cube or a beam");
        return NAN;
    }
}

/* NaN, flagged, when the beam broke too far out. */
static double third_point_mpa(struct derivation *run)
{
    struct specimen *specimen = run->specimen;
    const double load_n = specimen->break_load_n, distance_mm = specimen->fracture_from_support_mm;
    enum fracture_place place = FRACTURE_INSIDE;
    if (!isnan(distance_mm))
        place = flexure_fracture_place(distance_mm, specimen->span_mm);
    if (place == FRACTURE_INSIDE)
        return flexure_third_point_mpa(load_n, specimen->span_mm, run->width_mm, run->height_mm);
    if (place == FRACTURE_NEAR) {
        specimen->flags |= FLAG_FRACTURE_OUTSIDE;
        return flexure_third_point_near_mpa(load_n, distance_mm, run->width_mm, run->height_mm);
    }
    specimen->flags |= FLAG_FRACTURE_DISCARD;
    if (run->ready & (1u << PROPERTY_FLEXURAL_STRENGTH))
        problem_list_add(run->problems, SEVERITY_ERROR, STATUS_INPUT, AT_COLUMN(specimen, "flexural_strength"),
                         "is given, but the fracture lies so far outside the middle third that the test does not count: "
                         "leave this cell empty, or fracture_from_support");
    else
        problem_list_add(run->problems, SEVERITY_NOTICE, STATUS_OK, AT_COLUMN(specimen, "fracture_from_support"),
                         "lies more than 5 %% of the span outside the middle third: no flexural strength");
    return NAN;
}

static double flexure_mpa(struct derivation *run)
{
    const struct specimen *specimen = run->specimen;
    if (run->shape != SHAPE_BEAM && run->shape != SHAPE_SLAB) {
        refuse_loading(run, "bending is for beams and slabs");
        return NAN;
    }
    bool whole = derivation_needs(run, specimen->span_mm, "span", "the flexural strength");
    whole = derivation_needs(run, run->width_mm, "width", "the flexural strength") && whole;
    whole = derivation_needs(run, run->height_mm, "height", "the flexural strength") && whole;
    if (!whole)
        return NAN;
    if (run->loading == LOADING_THIRD_POINT)
        return third_point_mpa(run);
    return flexure_centre_point_mpa(specimen->break_load_n, specimen->span_mm, run->width_mm, run->height_mm);
}

static double splitting_mpa(struct derivation *run)
{
    const struct specimen *specimen = run->specimen;
    const bool round = run->shape == SHAPE_CYLINDER || run->shape == SHAPE_CORE;
    if (!round && run->shape != SHAPE_CUBE) {
        refuse_loading(run, "splitting is for cylinders, cores and cubes");
        return NAN;
    }
    const double depth_mm = round ? specimen->diameter_mm : run->height_mm;
    bool whole = derivation_needs(run, run->length_mm, "length", "the splitting strength");
    whole = derivation_needs(run, depth_mm, round ? "diameter" : "height", "the splitting strength") && whole;
    return whole ? splitting_strength_mpa(specimen->break_load_n, run->length_mm, depth_mm) : NAN;
}

static bool any_ready_strength(const struct derivation *run)
{
    const unsigned strengths = 1u << PROPERTY_COMPRESSIVE_STRENGTH | 1u << PROPERTY_FLEXURAL_STRENGTH |
                               1u << PROPERTY_SPLITTING_STRENGTH;
    return (run->ready & strengths) != 0;
}

void derive_strength(struct derivation *run)
{
    if (isnan(run->specimen->break_load_n))
        return;
    if (run->shape == SHAPE_UNKNOWN) {
        if (!any_ready_strength(run))
            problem_list_add(run->problems, SEVERITY_ERROR, STATUS_INPUT, AT_COLUMN(run->specimen, "shape"),
                             "is missing: break_load becomes a strength only for a cube, cylinder, beam, slab or core");
        return;
    }
    switch (run->loading) {
    case LOADING_AXIAL:
        derivation_settle(run, PROPERTY_COMPRESSIVE_STRENGTH, compression_mpa(run), "break_load");
        break;
    case LOADING_CENTRE_POINT:
    case LOADING_THIRD_POINT:
        derivation_settle(run, PROPERTY_FLEXURAL_STRENGTH, flexure_mpa(run), "break_load");
        break;
    case LOADING_SPLITTING:
        derivation_settle(run, PROPERTY_SPLITTING_STRENGTH, splitting_mpa(run), "break_load");
        break;
    default:
        break;
    }
}
