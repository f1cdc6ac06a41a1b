/* What specimen_derive refuses and what it asks about. Specimens invented. */
#include "specimens.h"

/* Every measured column, with a value that cannot be. */
static void impossible_measures(void)
{
    static const struct { const char *column; size_t offset; double zero_too; } measures[] = {
        {"length", offsetof(struct specimen, length_mm), 1}, {"width", offsetof(struct specimen, width_mm), 1},
        {"height", offsetof(struct specimen, height_mm), 1}, {"diameter", offsetof(struct specimen, diameter_mm), 1},
        {"span", offsetof(struct specimen, span_mm), 1},
        {"fracture_from_support", offsetof(struct specimen, fracture_from_support_mm), 0},
        {"mass", offsetof(struct specimen, mass_kg), 1}, {"mass_submerged", offsetof(struct specimen, mass_submerged_kg), 1},
        {"mass_saturated", offsetof(struct specimen, mass_saturated_kg), 1},
        {"mass_oven_dry", offsetof(struct specimen, mass_oven_dry_kg), 1},
        {"mass_boiled", offsetof(struct specimen, mass_boiled_kg), 1},
        {"sinker_submerged", offsetof(struct specimen, sinker_submerged_kg), 1},
        {"age", offsetof(struct specimen, age_days), 0},
    };
    for (size_t i = 0; i < sizeof measures / sizeof *measures; i++)
        for (int zero = 0; zero < 2; zero++) {
            struct specimen specimen = blank_specimen();
            specimen.mass_kg = 1; /* so that mass_submerged has something to be lighter than */
            specimen.value[PROPERTY_DENSITY] = 998;
            const double value = zero ? 0 : -3.7;
            memcpy((char *)&specimen + measures[i].offset, &value, sizeof value);
            struct problem_list problems = {0};
            bool good = specimen_derive(&specimen, &problems);
            CU_ASSERT_EQUAL(good, zero && measures[i].zero_too == 0);
            CU_ASSERT(good || strcmp(problems.items[0].column, measures[i].column) == 0);
            CU_ASSERT(good || strstr(problems.items[0].text, zero ? "'0" : "'-3.7") != NULL);
            problem_list_release(&problems);
        }
    struct specimen load = cube_specimen(100, 1.3, 0);
    check_error(&load, "break_load", "'0 N' is not above zero: leave the cell empty");
    struct specimen afloat = cube_specimen(100, 1.3, NAN);
    afloat.mass_submerged_kg = -0.2;
    check_error(&afloat, "mass_submerged", "weighed with a sinker");
    struct specimen endless = cube_specimen(100, 1.3, NAN);
    endless.length_mm = INFINITY;
    struct problem_list problems = derive(&endless);
    CU_ASSERT(problems.n_errors >= 1);
    problem_list_release(&problems);
}

static void impossible_ready_values(void)
{
    for (int i = 0; i < PROPERTY_COUNT; i++) {
        struct specimen specimen = blank_specimen();
        specimen.value[i] = -1.5;
        check_error(&specimen, property_row((enum property)i)->name, "is not possible");
    }
    struct specimen nothing = blank_specimen();
    nothing.value[PROPERTY_COMPRESSIVE_STRENGTH] = 0;
    check_error(&nothing, "compressive_strength", "'0 MPa' is not possible");
    struct specimen voids = blank_specimen();
    voids.value[PROPERTY_VOIDS] = 101;
    check_error(&voids, "voids", "'101 %' is not possible");
    struct specimen dense = blank_specimen();
    dense.value[PROPERTY_ABSORPTION] = 0.5;
    dense.value[PROPERTY_VOIDS] = 1;
    derive_clean(&dense);
    struct specimen dry = blank_specimen();
    dry.value[PROPERTY_ABSORPTION] = 0; /* possible, and asked about */
    check_doubt(&dry, "absorption", "'0 %' is not likely");
}

static void fractions(void)
{
    struct specimen specimen = blank_specimen();
    specimen.aggregate_fraction = 0;
    derive_clean(&specimen);
    specimen.aggregate_fraction = 1;
    derive_clean(&specimen);
    specimen.aggregate_fraction = 35;
    check_error(&specimen, "aggregate_fraction", "for per cent write the heading as 'aggregate_fraction [%]'");
    specimen.aggregate_fraction = 1.001;
    check_error(&specimen, "aggregate_fraction", "'1.001' is above 1: for per cent");
    specimen.aggregate_fraction = 100;
    check_error(&specimen, "aggregate_fraction", "'100' is above 1: for per cent");
    specimen.aggregate_fraction = 101;
    check_error(&specimen, "aggregate_fraction", "'101' is not between 0 and 1");
    specimen.aggregate_fraction = -0.01;
    check_error(&specimen, "aggregate_fraction", "'-0.01' is not between 0 and 1");
}

static struct specimen dried_specimen(void)
{
    struct specimen specimen = blank_specimen();
    specimen.mass_oven_dry_kg = 1.31;
    return specimen;
}

static void masses_in_order(void)
{
    struct specimen soaked = dried_specimen();
    soaked.mass_saturated_kg = 1.30;
    check_error(&soaked, "mass_saturated", "'1.3 kg' is less than mass_oven_dry, '1.31 kg': were the two exchanged?");
    struct specimen boiled = dried_specimen();
    boiled.mass_boiled_kg = 1.309;
    check_error(&boiled, "mass_boiled", "is less than mass_oven_dry");
    struct specimen received = dried_specimen();
    received.mass_kg = 1.30; /* 0.76 % below; 0.5 % is the scatter of drying */
    check_error(&received, "mass", "is less than mass_oven_dry");
    received.mass_kg = 1.30344;
    check_error(&received, "mass", "is less than mass_oven_dry");
    received.mass_kg = 1.30346;
    derive_clean(&received);
    struct specimen sealed = dried_specimen(); /* takes up nothing, which is unlikely but can be */
    sealed.mass_saturated_kg = 1.31;
    check_doubt(&sealed, "mass_saturated", "makes the absorption 0 %");
    struct specimen sunk = cube_specimen(100, 1.3, NAN);
    sunk.mass_submerged_kg = 1.3;
    check_error(&sunk, "mass_submerged", "is not less than mass");
    struct specimen held = blank_specimen();
    held.mass_boiled_kg = 1.3;
    held.mass_submerged_kg = 1.9;
    held.sinker_submerged_kg = 0.5;
    check_error(&held, "mass_submerged", "'1.4 kg' under water is not less than mass_boiled, '1.3 kg'");
    struct specimen alone = cube_specimen(100, NAN, NAN);
    alone.mass_submerged_kg = 0.4;
    check_error(&alone, "mass_saturated", "is missing: the volume by displacement needs it");
}

static void missing_sizes(void)
{
    struct specimen round = round_specimen(SHAPE_CYLINDER, NAN, 300);
    round.break_load_n = 20000;
    check_error(&round, "diameter", "is missing: the compressive strength needs it");
    struct specimen cube = cube_specimen(NAN, NAN, 20000);
    check_error(&cube, "length", "is missing");
    struct specimen beam = beam_specimen();
    beam.span_mm = NAN;
    check_error(&beam, "span", "is missing: the flexural strength needs it");
    beam = beam_specimen();
    beam.loading = LOADING_AXIAL;
    beam.length_mm = NAN;
    check_error(&beam, "length", "a beam stood on its end needs it");
    beam.width_mm = beam.height_mm = NAN;
    struct problem_list problems = derive(&beam);
    CU_ASSERT_EQUAL(problems.n_errors, 3); /* all at once */
    problem_list_release(&problems);
    struct specimen split = round_specimen(SHAPE_CYLINDER, 150, NAN);
    split.loading = LOADING_SPLITTING;
    split.break_load_n = 20000;
    check_error(&split, "length", "the splitting strength needs it");
}

static void wrong_pairs(void)
{
    struct specimen cube = cube_specimen(100, NAN, 20000);
    cube.loading = LOADING_THIRD_POINT;
    check_error(&cube, "loading", "'third-point' does not go with a cube: bending is for beams and slabs");
    struct specimen slab = beam_specimen();
    slab.shape = SHAPE_SLAB;
    slab.loading = LOADING_AXIAL;
    check_error(&slab, "loading", "'axial' does not go with a slab");
    struct specimen beam = beam_specimen();
    beam.loading = LOADING_SPLITTING;
    check_error(&beam, "loading", "splitting is for cylinders, cores and cubes");
    beam = beam_specimen();
    beam.span_mm = 501;
    check_error(&beam, "span", "'501 mm' is longer than the specimen, '500 mm'");
    beam = beam_specimen();
    beam.fracture_from_support_mm = 226;
    check_error(&beam, "fracture_from_support", "measure from the nearer support");
    beam = beam_specimen();
    beam.fracture_from_support_mm = 127;
    beam.value[PROPERTY_FLEXURAL_STRENGTH] = 4.1;
    check_error(&beam, "flexural_strength", "the test does not count");
}

static void all_at_once(void)
{
    struct specimen specimen = cube_specimen(-100, -1.3, 20000);
    specimen.aggregate_fraction = 35;
    specimen.cast_on = 20;
    specimen.tested_on = 10;
    struct problem_list problems = derive(&specimen);
    CU_ASSERT_EQUAL(problems.n_errors, 4);
    CU_ASSERT_EQUAL(problems.n_doubts, 0); /* nothing is read into nonsense */
    problem_list_release(&problems);
}

/* As read out of columns of these units. */
static struct specimen typed_cube(double side, const char *length_unit, double mass, const char *mass_unit)
{
    const struct unit *length = unit_find(units_length, length_unit), *weight = unit_find(units_mass, mass_unit);
    struct specimen specimen = cube_specimen(side * length->factor, mass * weight->factor, NAN);
    specimen.typed[TYPED_LENGTH] = length;
    specimen.typed[TYPED_MASS] = weight;
    return specimen;
}

static void doubtful_density(void)
{
    /* Either slip explains it: nobody can tell from 2 kg/m3 which was made. */
    struct specimen kilograms = typed_cube(100, "mm", 2, "g");
    check_doubt(&kilograms, "mass", "makes the density 2 kg/m3: the mass in kg, not g, or the sizes ten times too large?");
    CU_ASSERT_EQUAL(kilograms.flags, FLAG_DOUBTFUL_VALUE);
    struct specimen pounds = typed_cube(100, "mm", 4.6, "kg");
    check_doubt(&pounds, "mass", "makes the density 4600 kg/m3: the mass in lb, not kg, or one size in cm, not mm?");
    struct specimen centimetres = typed_cube(10, "mm", 2.1, "kg");
    check_doubt(&centimetres, "mass", "the mass in g, not kg, or the sizes in cm, not mm?");
    struct specimen inches = typed_cube(6, "mm", 5.5, "kg");
    check_doubt(&inches, "mass", "the sizes in inches, not mm?");
    struct specimen one = typed_cube(100, "mm", 1690, "g"); /* one side 10 for 100: a length, not grams for kilograms */
    one.height_mm = 10;
    struct problem_list slip = derive(&one);
    check_text(slip.items[0].text, "makes the density 16900 kg/m3: the mass ten times too large, or one size in cm, not mm?");
    problem_list_release(&slip);
    struct specimen customary = typed_cube(4, "in", 0.004, "lb"); /* 0.108 lb/ft3 */
    check_doubt(&customary, "mass", "makes the density 0.108 lb/ft3: ");
    struct specimen told_nothing = cube_specimen(100, 1e-7, NAN);
    struct problem_list problems = derive(&told_nothing);
    check_text(problems.items[1].text, "makes the density 1e-04 kg/m3: check the mass, read in kg, and the sizes, read in mm");
    problem_list_release(&problems);
    struct specimen both = typed_cube(10, "mm", 2100, "kg"); /* grams as kilograms, centimetres as millimetres */
    problems = derive(&both);
    CU_ASSERT(problems.n_doubts == 2);
    check_text(problems.items[1].text, "makes the density 2.1e+09 kg/m3: the mass in g, not kg, and the sizes in cm, not mm?");
    problem_list_release(&problems);
    struct specimen edge = cube_specimen(100, 0.15, NAN);
    derive_clean(&edge);
    edge = cube_specimen(100, 3.5, NAN);
    derive_clean(&edge);
    struct specimen ready = blank_specimen();
    ready.value[PROPERTY_DENSITY] = 94;
    check_doubt(&ready, "density", "'94 kg/m3' is not likely: lb/ft3 or kg/m3?");
    struct specimen light = blank_specimen(); /* in the unit of its own column */
    light.typed[TYPED_DENSITY] = unit_find(units_density, "lb/ft3");
    light.value[PROPERTY_DENSITY] = 5 * light.typed[TYPED_DENSITY]->factor;
    check_doubt(&light, "density", "'5 lb/ft3' is not likely");
    ready.value[PROPERTY_DENSITY] = 1.31;
    check_doubt(&ready, "density", "g/cm3 or kg/m3?");
}

static void doubtful_strength(void)
{
    struct specimen newtons = cube_specimen(102, NAN, 31.2);
    newtons.typed[TYPED_FORCE] = unit_find(units_force, "N");
    check_doubt(&newtons, "break_load", "makes the compressive strength 0.0029988 MPa: the load in kN, not N, or the sizes ten times too large?");
    struct specimen kilonewtons = cube_specimen(102, NAN, 31200000);
    kilonewtons.typed[TYPED_FORCE] = unit_find(units_force, "kN");
    check_doubt(&kilonewtons, "break_load", "makes the compressive strength 2998.8 MPa: the load in N, not kN, or the sizes in cm, not mm?");
    struct specimen ready = blank_specimen();
    ready.value[PROPERTY_COMPRESSIVE_STRENGTH] = 3000;
    check_doubt(&ready, "compressive_strength", "'3000 MPa' is not likely: psi, kPa or MPa?");
    ready.value[PROPERTY_COMPRESSIVE_STRENGTH] = 0.002;
    check_doubt(&ready, "compressive_strength", "kPa or MPa?");
    struct specimen flexure = blank_specimen();
    flexure.value[PROPERTY_FLEXURAL_STRENGTH] = 51;
    check_doubt(&flexure, "flexural_strength", "is not likely");
    struct specimen split = blank_specimen();
    split.value[PROPERTY_SPLITTING_STRENGTH] = 26;
    check_doubt(&split, "splitting_strength", "is not likely");
}

static void doubtful_measures(void)
{
    struct specimen metres = round_specimen(SHAPE_CYLINDER, 0.1, NAN);
    CU_ASSERT_EQUAL(metres.flags, 0);
    check_doubt(&metres, "diameter", "'0.1 mm' is very small: millimetres, centimetres, metres or inches?");
    CU_ASSERT_EQUAL(metres.flags, FLAG_DOUBTFUL_VALUE);
    struct specimen old = blank_specimen();
    old.age_days = 2000;
    check_doubt(&old, "age", "'2000 days' is very large");
    old.age_days = 1826;
    derive_clean(&old);
    struct specimen long_one = blank_specimen();
    long_one.span_mm = 15000;
    check_doubt(&long_one, "span", "'15000 mm' is very large");
    struct specimen sinker = blank_specimen();
    sinker.sinker_submerged_kg = 0.5;
    check_doubt(&sinker, "sinker_submerged", "was not used");
}

/* Both ends of every plausible range: the end itself passes, a thousandth beyond is asked about. */
static void plausible_ranges(void)
{
    static const struct { double least, most; } properties[PROPERTY_COUNT] = {
        [PROPERTY_DENSITY] = {150, 3500},            [PROPERTY_COMPRESSIVE_STRENGTH] = {0.01, 150},
        [PROPERTY_FLEXURAL_STRENGTH] = {0.01, 50},   [PROPERTY_SPLITTING_STRENGTH] = {0.01, 25},
        [PROPERTY_ABSORPTION] = {0.5, 200},          [PROPERTY_VOIDS] = {1, 95},
    };
    static const struct { size_t offset; double least, most; } measures[] = {
        {offsetof(struct specimen, length_mm), 5, 3000},  {offsetof(struct specimen, width_mm), 5, 3000},
        {offsetof(struct specimen, height_mm), 5, 3000},  {offsetof(struct specimen, diameter_mm), 5, 1000},
        {offsetof(struct specimen, span_mm), 20, 5000},   {offsetof(struct specimen, mass_kg), 0.0005, 2000},
        {offsetof(struct specimen, mass_saturated_kg), 0.0005, 2000},
        {offsetof(struct specimen, mass_oven_dry_kg), 0.0005, 2000},
        {offsetof(struct specimen, mass_boiled_kg), 0.0005, 2000},
    };
    for (int i = 0; i < PROPERTY_COUNT; i++)
        for (int side = 0; side < 4; side++) {
            const double values[] = {properties[i].least, properties[i].most, properties[i].least * 0.999,
                                     properties[i].most * 1.001};
            struct specimen specimen = blank_specimen();
            specimen.value[i] = values[side];
            if (side < 2)
                derive_clean(&specimen);
            else
                check_doubt(&specimen, property_row((enum property)i)->name, "is not likely");
        }
    for (size_t i = 0; i < sizeof measures / sizeof *measures; i++)
        for (int side = 0; side < 4; side++) {
            const double values[] = {measures[i].least, measures[i].most, measures[i].least * 0.999,
                                     measures[i].most * 1.001};
            struct specimen specimen = blank_specimen();
            memcpy((char *)&specimen + measures[i].offset, &values[side], sizeof values[side]);
            struct problem_list problems = derive(&specimen);
            CU_ASSERT_EQUAL(problems.n_errors, 0);
            CU_ASSERT_EQUAL(problems.n_doubts, side >= 2);
            CU_ASSERT(side < 2 || strstr(problems.items[0].text, side == 2 ? "very small" : "very large") != NULL);
            problem_list_release(&problems);
        }
}

static void doubtful_absorption(void)
{
    struct specimen fraction = blank_specimen();
    fraction.value[PROPERTY_ABSORPTION] = 0.14;
    check_doubt(&fraction, "absorption", "'0.14 %' is not likely: is it a fraction, where 1 is 100 %?");
    struct specimen perlite = blank_specimen();
    perlite.value[PROPERTY_ABSORPTION] = 140; /* right for perlite concrete */
    derive_clean(&perlite);
    struct specimen sponge = blank_specimen();
    sponge.mass_oven_dry_kg = 0.4;
    sponge.mass_saturated_kg = 1.3;
    check_doubt(&sponge, "mass_saturated", "makes the absorption 225 %");
    struct specimen exchanged = blank_specimen();
    exchanged.mass_boiled_kg = 1.29;
    exchanged.mass_saturated_kg = 1.3;
    check_doubt(&exchanged, "mass_boiled", "is less than mass_saturated");
    struct specimen state = cube_specimen(100, 1.4, NAN);
    state.moisture = MOISTURE_OVEN_DRY;
    state.mass_oven_dry_kg = 1.31;
    check_doubt(&state, "moisture", "in which state was mass weighed?");
    struct specimen near = cube_specimen(100, 1.3165, NAN); /* 0.495 % of the mean */
    near.moisture = MOISTURE_OVEN_DRY;
    near.mass_oven_dry_kg = 1.31;
    derive_clean(&near);
    struct specimen equal = blank_specimen();
    equal.mass_boiled_kg = equal.mass_saturated_kg = 1.3;
    derive_clean(&equal);
}

static void doubtful_shapes(void)
{
    struct specimen cube = cube_specimen(100, NAN, NAN);
    cube.height_mm = 112;
    check_doubt(&cube, "shape", "the sides differ by 12 %");
    cube.height_mm = 110;
    derive_clean(&cube);
    struct specimen wide = cube_specimen(100, NAN, NAN);
    wide.width_mm = 111;
    check_doubt(&wide, "shape", "the sides differ by 11 %");
    struct specimen tall = cube_specimen(112, NAN, NAN);
    tall.width_mm = tall.height_mm = 100;
    check_doubt(&tall, "shape", "the sides differ by 12 %");
    /* 1.3 kg less 0.5 kg is 0.8 L, where the sides say 1 L. */
    struct specimen volumes = cube_specimen(100, 1.3, NAN);
    volumes.mass_submerged_kg = 0.5;
    check_doubt(&volumes, "mass_submerged", "gives a volume 22 % away from that by the sizes");
    CU_ASSERT_EQUAL(volumes.flags, FLAG_DOUBTFUL_VALUE);
    struct specimen near = cube_specimen(100, 1.3, NAN);
    near.mass_submerged_kg = 0.35;
    derive_clean(&near);
    /* Volumes 1 L and (1.3 - x) / 0.998 L: 9.9 % and 10.1 % of their mean apart. */
    struct specimen within = cube_specimen(100, 1.3, NAN);
    within.mass_submerged_kg = 1.3 - 0.998 * (2 - 0.099) / (2 + 0.099);
    derive_clean(&within);
    struct specimen beyond = cube_specimen(100, 1.3, NAN);
    beyond.mass_submerged_kg = 1.3 - 0.998 * (2 - 0.101) / (2 + 0.101);
    check_doubt(&beyond, "mass_submerged", "10 % away");
}

/* Finite input whose result is not. */
static void out_of_range(void)
{
    struct specimen specimen = cube_specimen(1e-160, NAN, 1e7);
    struct problem_list problems = derive(&specimen);
    CU_ASSERT(problems.n_errors == 1 && strstr(problems.items[problems.n_items - 1].text, "out of range"));
    problem_list_release(&problems);
}

int main(void)
{
    static const struct check_case cases[] = {
        {"impossible measures", impossible_measures}, {"impossible ready values", impossible_ready_values},
        {"fractions", fractions}, {"masses in order", masses_in_order}, {"missing sizes", missing_sizes},
        {"wrong pairs", wrong_pairs}, {"all at once", all_at_once}, {"doubtful density", doubtful_density},
        {"doubtful strength", doubtful_strength}, {"doubtful measures", doubtful_measures},
        {"plausible ranges", plausible_ranges}, {"doubtful absorption", doubtful_absorption}, {"doubtful shapes", doubtful_shapes},
        {"out of range", out_of_range},
    };
    return check_run("doubts", cases, sizeof cases / sizeof *cases);
}
