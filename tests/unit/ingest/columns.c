#include "support/check.h"
#include "support/temporary.h"

#include "ingest/columns.h"

#include <limits.h>

static const struct unit lengths[] = { { "mm", 1, false }, { "cm", 10, false }, { "m", 1000, false }, { "in", 25.4, true }, { NULL, 0, false } };
static const struct unit forces[] = { { "N", 1, false }, { "kN", 1e3, false }, { "MN", 1e6, false }, { "lbf", 4.4482216152605, true }, { NULL, 0, false } };
static const struct unit masses[] = { { "kg", 1, false }, { "g", 1e-3, false }, { NULL, 0, false } };
static const struct unit densities[] = { { "kg/m3", 1, false }, { "g/cm3", 1e3, false }, { "lb/ft3", 16, true }, { NULL, 0, false } };
static const struct unit stresses[] = { { "MPa", 1, false }, { "N/mm2", 1, false }, { "kPa", 1e-3, false }, { "psi", 0.0069, true }, { NULL, 0, false } };
static const struct unit fractions[] = { { "1", 1, false }, { "%", 0.01, false }, { "pct", 0.01, false }, { NULL, 0, false } };
static const struct unit ages[] = { { "day", 1, false }, { "days", 1, false }, { "d", 1, false }, { NULL, 0, false } };

enum { SPECIMEN, AGGREGATE, FRACTION, MASS, MASS_DRY, LENGTH, WIDTH, LOAD, DENSITY, STRENGTH, FIBRE, AGE, PARTS, CAST_ON, NOTE, N_RULES };
static const struct column_rule rules[N_RULES] = {
    [SPECIMEN] = { "specimen", CELL_TEXT, NULL, false, false },
    [AGGREGATE] = { "aggregate", CELL_TEXT, NULL, false, false },
    [FRACTION] = { "aggregate_fraction", CELL_NUMBER, fractions, true, false },
    [MASS] = { "mass", CELL_NUMBER, masses, false, false },
    [MASS_DRY] = { "mass_oven_dry", CELL_NUMBER, masses, false, false },
    [LENGTH] = { "length", CELL_NUMBER, lengths, false, false },
    [WIDTH] = { "width", CELL_NUMBER, lengths, false, false },
    [LOAD] = { "break_load", CELL_NUMBER, forces, false, false },
    [DENSITY] = { "density", CELL_NUMBER, densities, false, false },
    [STRENGTH] = { "compressive_strength", CELL_NUMBER, stresses, false, false },
    [FIBRE] = { "fibre", CELL_NUMBER, densities, false, false },
    [AGE] = { "age", CELL_NUMBER, ages, true, false },
    [PARTS] = { "binder_parts", CELL_NUMBER, NULL, false, false },
    [CAST_ON] = { "cast_on", CELL_DATE, NULL, false, false },
    [NOTE] = { "note", CELL_TEXT, NULL, false, true },
};

/* One heading row bound; the problems are kept. */
struct binding_try {
    struct column_binding bindings[N_RULES];
    struct problem_list problems;
    enum status status;
};

/* heading: cells joined by '|'. maps: texts as on the command line, NULL-terminated. */
static struct binding_try bind(const char *heading, const char *const *map_texts)
{
    struct binding_try try = { 0 };
    char copy[400];
    struct cell cells[32];
    struct column_map maps[8];
    size_t n_cells = 0, n_maps = 0;
    snprintf(copy, sizeof copy, "%s", heading);
    for (char *start = copy, *bar; start; start = bar ? bar + 1 : NULL) {
        bar = strchr(start, '|');
        if (bar)
            *bar = '\0';
        cells[n_cells++] = (struct cell){ .text = start, .length = strlen(start), .line = 1 };
    }
    for (; map_texts && map_texts[n_maps]; n_maps++) {
        struct problem problem;
        CU_ASSERT_EQUAL(column_map_parse(map_texts[n_maps], &maps[n_maps], &problem), STATUS_OK);
    }
    struct row row = { .path = "in.csv", .line = 1, .n_cells = n_cells, .cells = cells };
    try.status = columns_bind(&row, rules, N_RULES, maps, n_maps, try.bindings, &try.problems);
    for (size_t i = 0; i < n_maps; i++)
        column_map_release(&maps[i]);
    return try;
}

static void check_bound(const char *heading, size_t rule, long index, const char *unit)
{
    struct binding_try try = bind(heading, NULL);
    CU_ASSERT_EQUAL(try.status, STATUS_OK);
    CU_ASSERT_EQUAL(try.bindings[rule].index, index);
    if (unit)
        check_text(try.bindings[rule].unit ? try.bindings[rule].unit->symbol : "(none)", unit);
    else
        CU_ASSERT_PTR_NULL(try.bindings[rule].unit);
    for (size_t i = 0; i < N_RULES; i++)
        CU_ASSERT(i == rule || try.bindings[i].index == -1);
    problem_list_release(&try.problems);
}

static void check_mapped(const char *heading, const char *map, size_t rule, long index, const char *unit)
{
    struct binding_try try = bind(heading, (const char *const[]){ map, NULL });
    CU_ASSERT_EQUAL(try.status, STATUS_OK);
    CU_ASSERT_EQUAL(try.bindings[rule].index, index);
    check_text(try.bindings[rule].unit ? try.bindings[rule].unit->symbol : "(none)", unit);
    problem_list_release(&try.problems);
}

static void check_refused(const char *heading, const char *map, const char *column, const char *word)
{
    struct binding_try try = bind(heading, (const char *const[]){ map, NULL });
    CU_ASSERT_EQUAL(try.status, STATUS_INPUT);
    SAYS(&try.problems, SEVERITY_ERROR, column, word);
    problem_list_release(&try.problems);
}

static void three_forms_of_a_unit(void)
{
    check_bound("x|mass_g", MASS, 1, "g");
    check_bound("mass [g]", MASS, 0, "g");
    check_bound("Mass (KG)", MASS, 0, "kg");
    check_bound("mass-kg", MASS, 0, "kg");
    check_bound("MASS G", MASS, 0, "g");
    check_bound("mass_oven_dry_g", MASS_DRY, 0, "g");
    check_bound("Mass oven dry [g]", MASS_DRY, 0, "g");
    check_bound("Break Load (kN)", LOAD, 0, "kN");
    check_bound("break_load_kN", LOAD, 0, "kN");
    check_bound("breakload_lbf", LOAD, 0, "lbf");
    check_bound("length_in", LENGTH, 0, "in");
    check_bound("compressive_strength_mpa", STRENGTH, 0, "MPa");
    check_bound("compressive strength (N/mm²)", STRENGTH, 0, "N/mm2");
    check_bound("Specimen", SPECIMEN, 0, NULL);
    check_bound("specimen (no.)", SPECIMEN, 0, NULL);
}

static void compound_units(void)
{
    check_bound("density_kg_m3", DENSITY, 0, "kg/m3");
    check_bound("density_lb_ft3", DENSITY, 0, "lb/ft3");
    check_bound("density_kg/m3", DENSITY, 0, "kg/m3");
    check_bound("density [kg/m³]", DENSITY, 0, "kg/m3");
    check_bound("density (kg / m^3)", DENSITY, 0, "kg/m3");
    check_bound("density_kg_per_m3", DENSITY, 0, "kg/m3");
    check_bound("Density kg m3", DENSITY, 0, "kg/m3");
    check_bound("fibre_kg_m3", FIBRE, 0, "kg/m3");
}

static void units_that_may_be_missing(void)
{
    check_bound("aggregate_fraction_pct", FRACTION, 0, "pct");
    check_bound("aggregate fraction [%]", FRACTION, 0, "%");
    check_bound("aggregate_fraction", FRACTION, 0, "1");
    check_bound("age_days", AGE, 0, "days");
    check_bound("age", AGE, 0, "day");
    check_bound("binder parts", PARTS, 0, NULL);
    check_bound("binder_parts [-]", PARTS, 0, NULL);
}

static void missing_and_unknown_units(void)
{
    check_refused("mass", NULL, "column 'mass'", "has no unit: write it as in mass_kg");
    check_refused("mass [stone]", NULL, "column 'mass [stone]'", "use one of kg, g");
    check_refused("mass ()", NULL, "column 'mass ()'", "has no unit");
    check_refused("binder_parts (kg)", NULL, "column 'binder_parts (kg)'", "plain number");
    check_refused("compressive_strength [mPa]", NULL, "mPa", "is no unit");
    struct binding_try try = bind("mass_g|mass_stone", NULL);
    CU_ASSERT_EQUAL(try.status, STATUS_OK);
    SAYS(&try.problems, SEVERITY_NOTICE, "column 'mass_stone'", "'stone' is no unit of mass");
    problem_list_release(&try.problems);
}

static void headings_that_clash(void)
{
    check_refused("specimen|mass_g|mass_g", NULL, "column 'mass_g'", "columns 2 and 3");
    check_refused("specimen|mass_g|Mass (kg)", NULL, "column 'Mass (kg)'", "columns 2 and 3");
    check_refused("colour|Colour", NULL, "column 'Colour'", "columns 1 and 2");
    check_refused("specimen||mass_g", NULL, "in.csv:1:", "column 2 is empty");
}

static void unknown_headings(void)
{
    struct binding_try try = bind("specimen|densty_kg_m3|colour", NULL);
    CU_ASSERT_EQUAL(try.status, STATUS_OK);
    SAYS(&try.problems, SEVERITY_NOTICE, "column 'colour'", "is not used");
    SAYS(&try.problems, SEVERITY_NOTICE, "column 'densty_kg_m3'", "did you mean 'density'");
    problem_list_release(&try.problems);
    try = bind("mas (g)", NULL);
    SAYS(&try.problems, SEVERITY_NOTICE, "column 'mas (g)'", "did you mean 'mass'");
    problem_list_release(&try.problems);
}

static void check_suggested(const char *headings, const char *heading, const char *column)
{
    char where[80], words[80];
    struct binding_try try = bind(headings, NULL);
    snprintf(where, sizeof where, "column '%s'", heading);
    snprintf(words, sizeof words, "is not used: did you mean '%s'", column);
    CU_ASSERT_EQUAL(try.status, STATUS_OK);
    SAYS(&try.problems, SEVERITY_NOTICE, where, words);
    problem_list_release(&try.problems);
}

/* Not by their letters, "weight" being far from "mass". */
static void everyday_words_are_understood(void)
{
    check_suggested("specimen|weight_g", "weight_g", "mass");
    check_suggested("specimen|Weight (lb)", "Weight (lb)", "mass");
    check_suggested("specimen|max load [kN]", "max load [kN]", "break_load");
    check_suggested("specimen|load", "load", "break_load");
    check_suggested("specimen|strength_MPa", "strength_MPa", "compressive_strength");
}

static void maps(void)
{
    check_mapped("id|Load at failure (kN)", "break_load=Load at failure (kN)", LOAD, 1, "kN");
    check_mapped("Load at failure (kN)", "break_load=Load at failure", LOAD, 0, "kN");
    check_mapped("id|fc28", "compressive_strength=fc28[MPa]", STRENGTH, 1, "MPa");
    check_mapped("id|fc28", "compressive_strength[MPa]=fc28", STRENGTH, 1, "MPa");
    check_mapped("fc28 [MPa]", "compressive_strength=fc28[MPa]", STRENGTH, 0, "MPa");
    check_mapped("cube_edge_mm", "length=cube_edge_mm", LENGTH, 0, "mm");
    check_mapped("max_load_kN_derived", "break_load=max_load_kN_derived", LOAD, 0, "kN");
    check_mapped("density_kg_m3_derived", "density = density_kg_m3_derived", DENSITY, 0, "kg/m3");
    check_mapped("Weight, dry (g)", "mass=Weight, dry (g)", MASS, 0, "g");
    check_mapped("Rohdichte", "density=rohdichte[kg/m3]", DENSITY, 0, "kg/m3");
    check_mapped("fc (28 days) MPa", "compressive_strength=fc (28 days) MPa", STRENGTH, 0, "MPa");
    check_mapped("depth in", "length=depth in", LENGTH, 0, "in");
    check_mapped("mass_g|compressive_strength_MPa|fc28_psi", "compressive_strength=fc28_psi", STRENGTH, 2, "psi");
}

static void one_heading_for_two(void)
{
    struct binding_try try = bind("edge_mm", (const char *const[]){ "length=edge_mm", "width=edge_mm", NULL });
    CU_ASSERT_EQUAL(try.status, STATUS_OK);
    CU_ASSERT_EQUAL(try.bindings[LENGTH].index, 0);
    CU_ASSERT_EQUAL(try.bindings[WIDTH].index, 0);
    problem_list_release(&try.problems);
}

static void maps_that_fail(void)
{
    check_refused("Load at failure (kN)", "break_load=Load at failur", "in.csv:1:", "did you mean 'Load at failure (kN)'");
    check_refused("mass_g", "mas=mass_g", "--column", "did you mean 'mass'");
    check_refused("mass_g", "colour=mass_g", "--column", "use one of specimen, aggregate");
    check_refused("fc28", "compressive_strength=fc28", "column 'fc28'", "has no unit");
    check_refused("fc28 (psi)", "compressive_strength=fc28[MPa]", "in.csv:1:", "no heading is 'fc28[MPa]'");
    check_refused("depth in mould", "length=depth in mould", "column 'depth in mould'", "has no unit");
    check_refused("fc", "compressive_strength[stone]=fc", "column 'fc'", "'stone' is no unit");
}

/* A map that only another file needs is no error where the column has its own name. */
static void map_for_another_file(void)
{
    struct binding_try try = bind("mass_g", (const char *const[]){ "mass=Weight (g)", NULL });
    CU_ASSERT_EQUAL(try.status, STATUS_OK);
    CU_ASSERT_EQUAL(try.bindings[MASS].index, 0);
    problem_list_release(&try.problems);
}

static void map_texts(void)
{
    const char *bad[] = { "break_load", "=x", "x=", " =x", "a[=x", "a[]=x" };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        struct column_map map;
        struct problem problem = { 0 };
        CU_ASSERT_EQUAL(column_map_parse(bad[i], &map, &problem), STATUS_USAGE);
        CU_ASSERT(strlen(problem.text) > 0);
        CU_ASSERT_PTR_NULL(map.name);
    }
    struct column_map map;
    CU_ASSERT_EQUAL(column_map_parse("a = b=c [kN]", &map, NULL), STATUS_OK);
    check_text(map.name, "a");
    check_text(map.heading, "b=c [kN]");
    CU_ASSERT_PTR_NULL(map.unit);
    column_map_release(&map);
}

static void unit_symbols(void)
{
    CU_ASSERT_PTR_EQUAL(unit_match(forces, "KN", 2), &forces[1]);
    CU_ASSERT_PTR_EQUAL(unit_match(stresses, "mpa", 3), &stresses[0]);
    CU_ASSERT_PTR_EQUAL(unit_match(stresses, "MPA", 3), &stresses[0]);
    CU_ASSERT_PTR_NULL(unit_match(stresses, "mPa", 3));
    CU_ASSERT_PTR_NULL(unit_match(forces, "mN", 2));
    CU_ASSERT_PTR_NULL(unit_match(stresses, "", 0));
    CU_ASSERT_PTR_NULL(unit_match(stresses, "bar", 3));
    CU_ASSERT_PTR_NULL(unit_match(stresses, "a symbol that is longer than any unit", 37));
}

/* ---- cells ---- */

/* A row of one cell, bound to one column. */
static bool number_in(char separator, const char *text, const struct unit *unit, char mark, double *value, struct problem_list *problems)
{
    struct cell cell = { .text = text, .length = strlen(text), .line = 7 };
    struct row row = { .path = "in.csv", .line = 7, .n_cells = 1, .cells = &cell };
    struct column_binding binding = { .index = 0, .unit = unit, .heading = "load (kN)" };
    struct dialect dialect = { separator, mark };
    return cell_number(&row, &binding, &dialect, value, problems);
}

static bool number_of(const char *text, const struct unit *unit, char mark, double *value, struct problem_list *problems)
{
    return number_in(',', text, unit, mark, value, problems);
}

static void numbers_of_cells(void)
{
    struct problem_list problems = { 0 };
    double value;
    CU_ASSERT_TRUE(number_of("12.5", &forces[1], '.', &value, &problems));
    check_close("kN", value, 12500, 0);
    CU_ASSERT_TRUE(number_of("12,5", NULL, ',', &value, &problems));
    check_close("plain", value, 12.5, 0);
    const char *missing[] = { "", "NA", "na", "n/a", "N/A", "-", "?" };
    for (size_t i = 0; i < sizeof missing / sizeof missing[0]; i++) {
        value = 1;
        CU_ASSERT_TRUE(number_of(missing[i], &forces[1], '.', &value, &problems));
        CU_ASSERT_TRUE(isnan(value));
    }
    CU_ASSERT_EQUAL(problems.n_items, 0);
    CU_ASSERT_FALSE(number_of("24O1", &forces[1], '.', &value, &problems));
    SAYS(&problems, SEVERITY_ERROR, "in.csv:7: column 'load (kN)': '24O1' is not a number: ");
    CU_ASSERT_FALSE(number_of("310kN", &forces[1], '.', &value, &problems));
    SAYS(&problems, SEVERITY_ERROR, "'310kN'", "this column is in kN");
    CU_ASSERT_FALSE(number_of("1e306", &forces[1], '.', &value, &problems));
    SAYS(&problems, SEVERITY_ERROR, "'1e306' is out of range");
    CU_ASSERT_FALSE(number_of("1,5", NULL, '.', &value, &problems));
    SAYS(&problems, SEVERITY_ERROR, "'1,5' has a decimal comma: write 1.5, or use ';'");
    CU_ASSERT_FALSE(number_in(';', "1,5", NULL, '.', &value, &problems));
    SAYS(&problems, SEVERITY_ERROR, "'1,5' has a decimal comma, but most columns");
    CU_ASSERT_TRUE(isnan(value));
    problem_list_release(&problems);
    struct row empty = { .path = "in.csv" };
    struct column_binding absent = { .index = -1 };
    struct dialect dialect = { ',', '.' };
    CU_ASSERT_TRUE(cell_number(&empty, &absent, &dialect, &value, &problems));
    CU_ASSERT_TRUE(isnan(value));
    check_text(cell_text(&empty, &absent), "");
}

static long date_of(const char *text, struct problem_list *problems)
{
    long days = 0;
    struct cell cell = { .text = text, .length = strlen(text), .line = 2 };
    struct row row = { .path = "in.csv", .line = 2, .n_cells = 1, .cells = &cell };
    struct column_binding binding = { .index = 0, .heading = "cast_on" };
    bool good = cell_date(&row, &binding, &days, problems);
    return good ? days : -999999;
}

static void dates_of_cells(void)
{
    struct problem_list problems = { 0 };
    CU_ASSERT_EQUAL(date_of("1970-01-01", &problems), 0);
    CU_ASSERT_EQUAL(date_of("2000-03-01", &problems), 11017);
    CU_ASSERT_EQUAL(date_of("2024-02-29", &problems), 19782);
    CU_ASSERT_EQUAL(date_of("1969-12-31", &problems), -1);
    CU_ASSERT_EQUAL(date_of("", &problems), LONG_MIN);
    CU_ASSERT_EQUAL(problems.n_items, 0);
    const char *bad[] = { "2024-02-30", "2023-02-29", "2024-13-01", "2024-00-10", "2024-01-00", "0001-01-01",
                          "30/02/2024", "2024-2-3", "2024-02-03T10:00", "20240203", "2024-0x-03" };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        CU_ASSERT_EQUAL(date_of(bad[i], &problems), -999999);
        SAYS(&problems, SEVERITY_ERROR, "in.csv:2: column 'cast_on'", bad[i]);
    }
    problem_list_release(&problems);
}

/* A quote left open swallows the next row with the right number of cells: libcsv alone would not mind. */
static void line_breaks(void)
{
    struct column_binding bindings[N_RULES];
    for (size_t i = 0; i < N_RULES; i++)
        bindings[i] = (struct column_binding){ .index = -1 };
    bindings[SPECIMEN] = (struct column_binding){ .index = 0, .heading = "specimen" };
    bindings[NOTE] = (struct column_binding){ .index = 1, .heading = "note" };
    struct cell cells[3] = { { .text = "A1,310\nA2", .length = 9, .line = 2, .quoted = true },
                              { .text = "two\nlines", .length = 9, .line = 3, .quoted = true },
                              { .text = "x", .length = 1, .line = 4 } };
    struct row row = { .path = "in.csv", .line = 2, .n_cells = 3, .cells = cells, .has_breaks = true };
    struct problem_list problems = { 0 };
    CU_ASSERT_FALSE(row_check_breaks(&row, rules, N_RULES, bindings, &problems));
    CU_ASSERT_EQUAL(problems.n_errors, 1);
    SAYS(&problems, SEVERITY_ERROR, "in.csv:2: column 'specimen'", "line break");
    problem_list_release(&problems);
    cells[0].text = "A1";
    cells[0].length = 2;
    CU_ASSERT_TRUE(row_check_breaks(&row, rules, N_RULES, bindings, &problems));
    cells[2] = (struct cell){ .text = "a\rb", .length = 3, .line = 4, .quoted = true };
    CU_ASSERT_FALSE(row_check_breaks(&row, rules, N_RULES, bindings, &problems));
    SAYS(&problems, SEVERITY_ERROR, "in.csv:4:", "column that is not used");
    problem_list_release(&problems);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "three forms of a unit", three_forms_of_a_unit },
        { "compound units", compound_units },
        { "units that may be missing", units_that_may_be_missing },
        { "missing and unknown units", missing_and_unknown_units },
        { "headings that clash", headings_that_clash },
        { "unknown headings", unknown_headings },
        { "everyday words are understood", everyday_words_are_understood },
        { "maps", maps },
        { "one heading for two", one_heading_for_two },
        { "maps that fail", maps_that_fail },
        { "a map for another file", map_for_another_file },
        { "map texts", map_texts },
        { "unit symbols", unit_symbols },
        { "numbers of cells", numbers_of_cells },
        { "dates of cells", dates_of_cells },
        { "line breaks", line_breaks },
    };
    return check_run("columns", cases, sizeof cases / sizeof cases[0]);
}
