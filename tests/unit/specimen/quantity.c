#include "support/check.h"

#include "specimen/quantity.h"

static double one(const struct unit *units, const char *symbol)
{
    const struct unit *unit = unit_find(units, symbol);
    CU_ASSERT_PTR_NOT_NULL(unit);
    return unit ? unit->factor : NAN;
}

static double parsed(const char *text, const struct unit *units)
{
    struct problem problem = {0};
    double value = NAN;
    enum status status = quantity_parse(text, units, "target", &value, &problem);
    if (status != STATUS_OK)
        fprintf(stderr, "'%s': %s\n", text, problem.text);
    return value;
}

/* Must be refused as a usage error that says `word`; the value stays. */
static void check_refused(const char *text, const struct unit *units, const char *word)
{
    struct problem problem = {0};
    double value = -777;
    CU_ASSERT_EQUAL(quantity_parse(text, units, "target", &value, &problem), STATUS_USAGE);
    if (!strstr(problem.text, word))
        fprintf(stderr, "'%s': got \"%s\", want \"%s\"\n", text, problem.text, word);
    CU_ASSERT_PTR_NOT_NULL(strstr(problem.text, word));
    CU_ASSERT_PTR_NOT_NULL(strstr(problem.text, "target: "));
    CU_ASSERT(value == -777);
}

/* Exact by definition, NIST SP 811 App. B; U3 to U6 worked by hand from these. */
static void exact_factors(void)
{
    check_close("U1 lbf in N", one(units_force, "lbf"), 4.4482216152605, 0);
    check_close("lb as a force", one(units_force, "lb"), 4.4482216152605, 0);
    check_close("U2 MPa in psi", 1 / one(units_stress, "psi"), 145.0377377302092, 1e-15);
    check_close("psi in MPa", one(units_stress, "psi"), 6894.757293168361e-6, 1e-15);
    check_close("U3 94 lb/ft3", 94 * one(units_density, "lb/ft3"), 1505.7355571522528, 1e-15);
    check_close("U4 1.5 lb/yd3", 1.5 * one(units_dose, "lb/yd3"), 0.889915, 1e-6);
    double gal_per_yd3_in_l_per_m3 = one(units_volume, "gal") / one(units_volume, "yd3") * 1000;
    check_close("gal/yd3", gal_per_yd3_in_l_per_m3, 4.951131687, 1e-9);
    check_close("U5 54 gal/yd3", 54 * gal_per_yd3_in_l_per_m3, 267.361, 1e-6); /* perlite sheets print 0.27 m3/m3 */
    check_close("U6 425 lb/yd3", 425 * one(units_dose, "lb/yd3"), 252.142, 2e-6); /* published 252 */
    check_close("oz", one(units_mass, "oz"), 28.349523125e-3, 1e-15);
    check_close("ft", one(units_length, "ft"), 304.8, 1e-15);
    check_close("yd3 in ft3", one(units_volume, "yd3") / one(units_volume, "ft3"), 27, 1e-15);
}

/* 37 of each unit, worked by GNU units 2.22 (`units -t -o %.17g 37lbf N`), a program that shares nothing with this one. */
struct independent {
    const struct unit *units;
    const char *symbol;
    double of_37;
};

static const struct independent by_other_program[] = {
    {units_length, "mm", 37}, {units_length, "cm", 370}, {units_length, "m", 37000},
    {units_length, "in", 939.80000000000007}, {units_length, "inch", 939.80000000000007},
    {units_length, "inches", 939.80000000000007}, {units_length, "ft", 11277.599999999999},
    {units_length, "feet", 11277.599999999999},
    {units_force, "N", 37}, {units_force, "kN", 37000}, {units_force, "MN", 37000000},
    {units_force, "lbf", 164.5841997646385}, {units_force, "lb", 164.5841997646385},
    {units_force, "lbs", 164.5841997646385}, {units_force, "kgf", 362.84604999999999}, {units_force, "kip", 164584.1997646385}, {units_force, "kips", 164584.1997646385},
    {units_mass, "kg", 37}, {units_mass, "g", 0.036999999999999998}, {units_mass, "t", 37000},
    {units_mass, "lb", 16.782917690000001}, {units_mass, "lbs", 16.782917690000001},
    {units_mass, "oz", 1.0489323556250001},
    {units_density, "kg/m3", 37}, {units_density, "g/cm3", 36999.999999999993},
    {units_density, "kg/L", 36999.999999999993}, {units_density, "lb/ft3", 592.68314483652512},
    {units_density, "pcf", 592.68314483652512},
    {units_stress, "MPa", 37}, {units_stress, "N/mm2", 37}, {units_stress, "kPa", 0.036999999999999998},
    {units_stress, "kgf/cm2", 3.6284605000000001}, {units_stress, "psi", 0.2551060198472293}, {units_stress, "ksi", 255.10601984722931},
    {units_percent, "%", 37}, {units_percent, "pct", 37}, {units_percent, "percent", 37}, {units_percent, "1", 3700},
    {units_fraction, "1", 37}, {units_fraction, "%", 0.37}, {units_fraction, "pct", 0.37},
    {units_fraction, "percent", 0.37},
    {units_age, "day", 37}, {units_age, "d", 37}, {units_age, "days", 37}, {units_age, "week", 259},
    {units_age, "weeks", 259}, {units_age, "h", 1.5416666666666667}, {units_age, "hour", 1.5416666666666667},
    {units_age, "hours", 1.5416666666666667},
    {units_volume, "L", 37}, {units_volume, "m3", 36999.999999999993}, {units_volume, "mL", 0.036999999999999998},
    {units_volume, "cm3", 0.036999999999999998}, {units_volume, "ft3", 1047.7233239039999},
    {units_volume, "yd3", 28288.529745407996}, {units_volume, "in3", 0.60632136799999992},
    {units_volume, "gal", 140.06023600799998},
    {units_dose, "kg/m3", 37}, {units_dose, "lb/yd3", 21.951227586537971},
    {units_cost, "per m3", 37}, {units_cost, "per yd3", 48.394172914632513}, {units_cost, "per ft3", 1306.6426686950776},
    {units_cost, "/m3", 37}, {units_cost, "/yd3", 48.394172914632513}, {units_cost, "/ft3", 1306.6426686950776},
};
static const size_t n_by_other_program = sizeof by_other_program / sizeof *by_other_program;

static void independent_factors(void)
{
    for (size_t i = 0; i < n_by_other_program; i++) {
        const struct independent *row = &by_other_program[i];
        check_close(row->symbol, 37 * one(row->units, row->symbol), row->of_37, 1e-14);
    }
}

/* A unit added to a table without an independent figure fails here; so does a base unit that is not first. */
static void every_unit_checked(void)
{
    const struct unit *const tables[] = {units_length, units_force,    units_mass, units_density, units_stress,
                                         units_percent, units_fraction, units_age,  units_volume,  units_dose, units_cost};
    size_t n_units = 0;
    for (size_t i = 0; i < sizeof tables / sizeof *tables; i++) {
        CU_ASSERT(tables[i][0].factor == 1);
        for (const struct unit *unit = tables[i]; unit->symbol; unit++) {
            n_units++;
            CU_ASSERT_PTR_EQUAL(unit_find(tables[i], unit->symbol), unit);
        }
    }
    CU_ASSERT_EQUAL(n_units, n_by_other_program);
}

static bool is_customary(const char *symbol)
{
    static const char *const symbols[] = {"in", "inch", "inches", "ft", "feet", "lbf", "lb", "lbs", "kip", "kips", "oz",
                                          "lb/ft3", "pcf", "psi", "ksi", "ft3", "yd3", "in3", "gal", "lb/yd3"};
    for (size_t i = 0; i < sizeof symbols / sizeof *symbols; i++)
        if (strcmp(symbols[i], symbol) == 0)
            return true;
    return false;
}

/* A file in US customary units is answered in them, so each unit knows its system. */
static void systems_of_units(void)
{
    for (const struct unit_kind *kind = unit_kinds; kind->name; kind++)
        for (const struct unit *unit = kind->units; unit->symbol; unit++)
            if (unit->us != is_customary(unit->symbol))
                CU_FAIL(unit->symbol);
}

static void spellings(void)
{
    CU_ASSERT_PTR_EQUAL(unit_find(units_stress, "mpa"), &units_stress[0]);
    CU_ASSERT_PTR_EQUAL(unit_find(units_stress, "MPA"), &units_stress[0]);
    CU_ASSERT_PTR_EQUAL(unit_find(units_stress, "PSI"), unit_find(units_stress, "psi"));
    CU_ASSERT_PTR_EQUAL(unit_find(units_density, "kg/m³"), &units_density[0]);
    CU_ASSERT_PTR_EQUAL(unit_find(units_density, "kg_m3"), &units_density[0]);
    CU_ASSERT_PTR_EQUAL(unit_find(units_density, "kg/m^3"), &units_density[0]);
    CU_ASSERT_PTR_EQUAL(unit_find(units_density, "kg / m3"), &units_density[0]);
    CU_ASSERT_PTR_EQUAL(unit_find(units_stress, "N/mm²"), &units_stress[1]);
    CU_ASSERT_PTR_EQUAL(unit_find(units_force, "kn"), unit_find(units_force, "kN"));
    CU_ASSERT_PTR_EQUAL(unit_find(units_length, "MM"), &units_length[0]);
    CU_ASSERT_PTR_EQUAL(unit_find(units_volume, "l"), &units_volume[0]);
    CU_ASSERT_PTR_EQUAL(unit_find(units_force, "Kn"), unit_find(units_force, "kN"));
    CU_ASSERT_PTR_EQUAL(unit_find(units_force, "mn"), unit_find(units_force, "MN"));
    CU_ASSERT_PTR_NULL(unit_find(units_density, "kg/m\xc2\xb9")); /* superscript one */
    CU_ASSERT_PTR_NULL(unit_find(units_force, "mN")); /* a thousandth is not a million */
    CU_ASSERT_PTR_NULL(unit_find(units_stress, "mPa"));
    CU_ASSERT_PTR_NULL(unit_find(units_length, "Mm"));
    CU_ASSERT_PTR_NULL(unit_find(units_length, "kg"));
    CU_ASSERT_PTR_NULL(unit_find(units_length, ""));
    CU_ASSERT_PTR_NULL(unit_find(units_length, "mmm"));
    CU_ASSERT_PTR_NULL(unit_find(units_mass, "k"));
    CU_ASSERT_PTR_NULL(unit_find(units_density, "kg/m2"));
}

static void quantities(void)
{
    check_close("MPa", parsed("10.3MPa", units_stress), 10.3, 0);
    check_close("blank", parsed("  10.3 MPa ", units_stress), 10.3, 0);
    check_close("psi", parsed("1450.377377302092psi", units_stress), 10, 1e-15);
    check_close("exponent", parsed("1.5e3kg/m3", units_density), 1500, 0);
    check_close("capital exponent", parsed("1.5E+3 kg/m3", units_density), 1500, 0);
    check_close("lb/ft3", parsed("94 lb/ft3", units_density), 1505.7355571522528, 1e-15);
    check_close("percent", parsed("15%", units_percent), 15, 0);
    check_close("bare days", parsed("28", units_age), 28, 0);
    check_close("weeks", parsed("3 weeks", units_age), 21, 0);
    check_close("bare fraction", parsed("0.35", units_fraction), 0.35, 0);
    check_close("fraction in per cent", parsed("35 %", units_fraction), 0.35, 1e-15);
    check_close("zero", parsed("0 kg", units_mass), 0, 0);
}

static void refused_quantities(void)
{
    check_refused("10", units_stress, "'10' has no unit: add one of MPa, N/mm2");
    check_refused("15", units_percent, "has no unit");
    check_refused("10 kg", units_stress, "'kg' is not a unit here");
    check_refused("MPa", units_stress, "is not a number");
    check_refused("", units_stress, "is not a number");
    check_refused("-3MPa", units_stress, "negative");
    check_refused("1,5MPa", units_stress, "'1,5MPa'");
    check_refused("1.2.3MPa", units_stress, "'1.2.3MPa'");
    check_refused("nan MPa", units_stress, "is not a number");
    check_refused("0x1A mm", units_length, "'x1A mm' is not a unit");
    check_refused("1e308 m", units_length, "out of range");
    check_refused("10 mPa", units_stress, "'mPa' is not a unit");
    check_refused("10 MPa each", units_stress, "is not a unit");
}

static void check_piece(const char *text, double a, double b, double c)
{
    struct problem problem = {0};
    struct piece piece = PIECE_NONE;
    CU_ASSERT_EQUAL(quantity_parse_piece(text, &piece, &problem), STATUS_OK);
    check_close(text, piece.length_mm[0], a, 1e-15);
    check_close(text, piece.length_mm[1], b, 1e-15);
    check_close(text, piece.length_mm[2], c, 1e-15);
    check_close(text, piece.volume_l, a * b * c / 1e6, 1e-14);
}

static void check_piece_by_volume(const char *text, double volume_l)
{
    struct problem problem = {0};
    struct piece piece = PIECE_NONE;
    CU_ASSERT_EQUAL(quantity_parse_piece(text, &piece, &problem), STATUS_OK);
    CU_ASSERT(isnan(piece.length_mm[0]) && isnan(piece.length_mm[1]) && isnan(piece.length_mm[2]));
    check_close(text, piece.volume_l, volume_l, 1e-15);
}

static void check_piece_refused(const char *text, const char *word)
{
    struct problem problem = {0};
    struct piece piece;
    CU_ASSERT_EQUAL(quantity_parse_piece(text, &piece, &problem), STATUS_USAGE);
    if (!strstr(problem.text, word))
        fprintf(stderr, "'%s': got \"%s\", want \"%s\"\n", text, problem.text, word);
    CU_ASSERT_PTR_NOT_NULL(strstr(problem.text, word));
}

static void pieces(void)
{
    check_piece("410x395x40mm", 410, 395, 40);
    check_piece("41 x 39.5 X 4 cm", 410, 395, 40);
    check_piece("41cm x 395mm x 0.04m", 410, 395, 40);
    check_piece("410×395×40mm", 410, 395, 40);
    check_piece("16*15*1.5in", 406.4, 381, 38.1);
    check_piece("410x395x0.5mm", 410, 395, 0.5);
    check_piece_by_volume("6.4L", 6.4);
    check_piece_by_volume(" 0.25 ft3", 7.079211648);
    check_piece_refused("0L", "nor a volume");
    check_piece_refused("6.4kg", "nor a volume");
    check_piece_refused("410\xc3\xa9" "395x40mm", "is not three lengths");
    check_piece_refused("400x400", "is not three lengths");
    check_piece_refused("400x400x40x5mm", "is not three lengths");
    check_piece_refused("400x400x40", "has no unit");
    check_piece_refused("400x0x40mm", "more than zero");
    check_piece_refused("400xx40mm", "is not a number");
    check_piece_refused("400x400x40kg", "'kg' is not a unit");
    check_piece_refused("", "is not three lengths");
    check_piece_refused("1e303x99x41in", "is out of range"); /* no length is, but their product */
    check_piece_refused("1e-200x1e-200x1mm", "is out of range");
    check_piece_refused("1111111111111111111111111111111111111111111111111111111x2x3mm", "is not three lengths");
}

static void check_shown(enum property property, double value, bool us, const char *want)
{
    char shown[40];
    property_show(property, value, us, shown, sizeof shown);
    check_text(shown, want);
}

/* Steps: C39 0.1 MPa / 10 psi and 10 kg/m3 / 1 lb/ft3, C78 and C496 0.05 MPa / 5 psi, C642 example 0.1 %. */
static void printed_rounding(void)
{
    check_shown(PROPERTY_COMPRESSIVE_STRENGTH, 22.4996, false, "22.5");   /* C1 */
    check_shown(PROPERTY_COMPRESSIVE_STRENGTH, 27.4334, true, "3980");    /* C3 */
    check_shown(PROPERTY_COMPRESSIVE_STRENGTH, 4662.5 * 6894.757293168361e-6, true, "4660"); /* C6 */
    check_shown(PROPERTY_FLEXURAL_STRENGTH, 4.48, false, "4.50");         /* F2 */
    check_shown(PROPERTY_SPLITTING_STRENGTH, 2.68795, false, "2.70");     /* T1 */
    check_shown(PROPERTY_SPLITTING_STRENGTH, 2.68795, true, "390");       /* 389.85 psi */
    check_shown(PROPERTY_DENSITY, 613.041, false, "610");                 /* D1 */
    check_shown(PROPERTY_DENSITY, 613.041, true, "38");                   /* 38.271 lb/ft3 */
    check_shown(PROPERTY_ABSORPTION, 9.04999, false, "9.0");
    check_shown(PROPERTY_VOIDS, 15.8333, true, "15.8");                   /* D5 */
    check_shown(PROPERTY_DENSITY, NAN, false, "-");
    check_shown(PROPERTY_COMPRESSIVE_STRENGTH, 0.15, false, "0.2");       /* R5, E29 */
    check_text(property_unit(PROPERTY_DENSITY, true), "lb/ft3");
    check_text(property_unit(PROPERTY_FLEXURAL_STRENGTH, false), "MPa");
}

static void printed_steps(void)
{
    static const struct { double si, us; } want[PROPERTY_COUNT] = {
        [PROPERTY_DENSITY] = {10, 1},                 [PROPERTY_COMPRESSIVE_STRENGTH] = {0.1, 10},
        [PROPERTY_FLEXURAL_STRENGTH] = {0.05, 5},     [PROPERTY_SPLITTING_STRENGTH] = {0.05, 5},
        [PROPERTY_ABSORPTION] = {0.1, 0.1},           [PROPERTY_VOIDS] = {0.1, 0.1},
    };
    for (unsigned i = 0; i < PROPERTY_COUNT; i++) {
        check_close("SI step", property_row((enum property)i)->si_step, want[i].si, 0);
        check_close("US step", property_row((enum property)i)->us_step, want[i].us, 0);
    }
}

static void property_names(void)
{
    for (unsigned i = 0; i < PROPERTY_COUNT; i++) {
        const struct property_row *row = property_row((enum property)i);
        CU_ASSERT_EQUAL(property_find(row->name), i);
        CU_ASSERT_PTR_NOT_NULL(unit_find(row->units, row->si_unit));
        CU_ASSERT_PTR_NOT_NULL(unit_find(row->units, row->us_unit));
        CU_ASSERT(unit_find(row->units, row->si_unit)->factor == 1);
    }
    CU_ASSERT_EQUAL(property_find("Compressive Strength"), PROPERTY_COMPRESSIVE_STRENGTH);
    CU_ASSERT_EQUAL(property_find("strength"), PROPERTY_COUNT);
    CU_ASSERT_EQUAL(property_find(""), PROPERTY_COUNT);
    check_text(property_row(PROPERTY_COMPRESSIVE_STRENGTH)->json_key, "compressive_strength_mpa");
}

int main(void)
{
    static const struct check_case cases[] = {
        {"exact factors", exact_factors},
        {"factors of an independent program", independent_factors},
        {"every unit checked", every_unit_checked},
        {"systems of units", systems_of_units},
        {"spellings", spellings},
        {"quantities", quantities},
        {"refused quantities", refused_quantities},
        {"pieces", pieces},
        {"printed rounding", printed_rounding},
        {"printed steps", printed_steps},
        {"property names", property_names},
    };
    return check_run("quantity", cases, sizeof cases / sizeof *cases);
}
