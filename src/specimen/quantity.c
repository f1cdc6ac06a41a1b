#include "specimen/quantity.h"

#include "base/number.h"
#include "base/text.h"
#include "ingest/columns.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define UNITS_MOST 16

/* Exact by definition: NIST SP 811 App. B. Derived factors are written as their exact quotients. */
#define MM_PER_INCH 25.4
#define KG_PER_POUND 0.45359237
#define STANDARD_GRAVITY 9.80665
#define N_PER_POUND_FORCE 4.4482216152605
#define M3_PER_CUBIC_FOOT 0.028316846592
#define L_PER_US_GALLON 3.785411784
#define MPA_PER_PSI (N_PER_POUND_FORCE / (MM_PER_INCH * MM_PER_INCH))

const struct unit units_length[] = {
    {"mm", 1, false},
    {"cm", 10, false},
    {"m", 1000, false},
    {"in", MM_PER_INCH, true},
    {"inch", MM_PER_INCH, true},
    {"inches", MM_PER_INCH, true},
    {"ft", 12 * MM_PER_INCH, true},
    {"feet", 12 * MM_PER_INCH, true},
    {NULL, 0, false},
};

const struct unit units_force[] = {
    {"N", 1, false},
    {"kN", 1e3, false},
    {"MN", 1e6, false},
    {"lbf", N_PER_POUND_FORCE, true},
    {"lb", N_PER_POUND_FORCE, true},
    {"lbs", N_PER_POUND_FORCE, true},
    {"kip", 1e3 * N_PER_POUND_FORCE, true},
    {"kips", 1e3 * N_PER_POUND_FORCE, true},
    {"kgf", STANDARD_GRAVITY, false},
    {NULL, 0, false},
};

const struct unit units_mass[] = {
    {"kg", 1, false},
    {"g", 1e-3, false},
    {"t", 1e3, false},
    {"lb", KG_PER_POUND, true},
    {"lbs", KG_PER_POUND, true},
    {"oz", KG_PER_POUND / 16, true},
    {NULL, 0, false},
};

const struct unit units_density[] = {
    {"kg/m3", 1, false},
    {"g/cm3", 1e3, false},
    {"kg/L", 1e3, false},
    {"lb/ft3", KG_PER_POUND / M3_PER_CUBIC_FOOT, true},
    {"pcf", KG_PER_POUND / M3_PER_CUBIC_FOOT, true},
    {NULL, 0, false},
};

const struct unit units_stress[] = {
    {"MPa", 1, false},
    {"N/mm2", 1, false},
    {"kPa", 1e-3, false},
    {"kgf/cm2", 0.0980665, false},
    {"psi", MPA_PER_PSI, true},
    {"ksi", 1e3 * MPA_PER_PSI, true},
    {NULL, 0, false},
};

const struct unit units_percent[] = {
    {"%", 1, false},
    {"pct", 1, false},
    {"percent", 1, false},
    {"1", 100, false},
    {NULL, 0, false},
};

const struct unit units_fraction[] = {
    {"1", 1, false},
    {"%", 0.01, false},
    {"pct", 0.01, false},
    {"percent", 0.01, false},
    {NULL, 0, false},
};

const struct unit units_age[] = {
    {"day", 1, false},
    {"d", 1, false},
    {"days", 1, false},
    {"week", 7, false},
    {"weeks", 7, false},
    {"h", 1.0 / 24, false},
    {"hour", 1.0 / 24, false},
    {"hours", 1.0 / 24, false},
    {NULL, 0, false},
};

/* gal is the US gallon; the Imperial one has no row, so that nobody's gallon is guessed. */
const struct unit units_volume[] = {
    {"L", 1, false},
    {"m3", 1e3, false},
    {"mL", 1e-3, false},
    {"cm3", 1e-3, false},
    {"ft3", M3_PER_CUBIC_FOOT * 1e3, true},
    {"yd3", 27 * M3_PER_CUBIC_FOOT * 1e3, true},
    {"in3", 0.016387064, true},
    {"gal", L_PER_US_GALLON, true},
    {NULL, 0, false},
};

const struct unit units_dose[] = {
    {"kg/m3", 1, false},
    {"lb/yd3", KG_PER_POUND / (27 * M3_PER_CUBIC_FOOT), true},
    {NULL, 0, false},
};

const struct unit units_cost[] = {
    {"per m3", 1, false},
    {"per yd3", 1 / (27 * M3_PER_CUBIC_FOOT), true},
    {"per ft3", 1 / M3_PER_CUBIC_FOOT, true},
    {"/m3", 1, false},
    {"/yd3", 1 / (27 * M3_PER_CUBIC_FOOT), true},
    {"/ft3", 1 / M3_PER_CUBIC_FOOT, true},
    {NULL, 0, false},
};

const struct unit_kind unit_kinds[] = {
    {"length", units_length}, {"force", units_force}, {"mass", units_mass}, {"density", units_density}, {"stress", units_stress},
    {"percent", units_percent}, {"fraction", units_fraction}, {"age", units_age}, {"volume", units_volume}, {"dose", units_dose}, {NULL, NULL},
};

/* Steps: ASTM C39 (density, compression), C78/C293/C496 (5 psi), EN 12390-5/-6 and -7, C642; docs/methods/rounding.md. */
static const struct property_row property_table[] = {
    {"density", "density", "density_kg_m3", units_density, "kg/m3", "lb/ft3", 10, 1},
    {"compressive_strength", "compressive strength", "compressive_strength_mpa", units_stress, "MPa", "psi", 0.1, 10},
    {"flexural_strength", "flexural strength", "flexural_strength_mpa", units_stress, "MPa", "psi", 0.05, 5},
    {"splitting_strength", "splitting strength", "splitting_strength_mpa", units_stress, "MPa", "psi", 0.05, 5},
    {"absorption", "absorption", "absorption_pct", units_percent, "%", "%", 0.1, 0.1},
    {"voids", "voids", "voids_pct", units_percent, "%", "%", 0.1, 0.1},
};
_Static_assert(sizeof property_table / sizeof *property_table == PROPERTY_COUNT, "a property has no row");

/* ctype would ask the locale; units are ASCII but for '²', '³' and 'µ'. */
static bool is_digit(char c) { return c >= '0' && c <= '9'; }
static bool is_upper(char c) { return c >= 'A' && c <= 'Z'; }
static bool is_lower(char c) { return c >= 'a' && c <= 'z'; }
static char lower_of(char c) { return is_upper(c) ? (char)(c - 'A' + 'a') : c; }

/* Next letter of a unit as typed: blanks passed over, '³' as '3', '_' as '/'. */
static char next_letter(const char **typed)
{
    const char *at = *typed;
    while (*at == ' ' || *at == '^')
        at++;
    char letter = *at;
    if (letter == '\xc2' && (at[1] == '\xb2' || at[1] == '\xb3')) {
        letter = at[1] == '\xb2' ? '2' : '3';
        at++;
    }
    *typed = letter == '\0' ? at : at + 1;
    return letter == '_' ? '/' : letter;
}

static bool symbols_agree(const char *symbol, const char *typed, bool any_case)
{
    for (;;) {
        char wanted = next_letter(&symbol), letter = next_letter(&typed);
        if (any_case ? lower_of(letter) != lower_of(wanted) : letter != wanted)
            return false;
        if (wanted == '\0')
            return true;
    }
}

/* "mPa" or "Mm": the size of the prefix hangs on its case, so a mixed spelling is not guessed at. */
static bool prefix_doubtful(const char *symbol, const char *typed)
{
    const char first = next_letter(&typed), second = next_letter(&typed);
    if (lower_of(first) != 'm' || first == *symbol)
        return false;
    return is_upper(first) ? is_lower(second) : is_upper(second);
}

const struct unit *unit_find(const struct unit *units, const char *symbol)
{
    for (const struct unit *unit = units; unit->symbol; unit++)
        if (symbols_agree(unit->symbol, symbol, false))
            return unit;
    for (const struct unit *unit = units; unit->symbol; unit++)
        if (symbols_agree(unit->symbol, symbol, true) && !prefix_doubtful(unit->symbol, symbol))
            return unit;
    return NULL;
}

size_t quantity_number_length(const char *text)
{
    size_t i = 0;
    if (text[i] == '+' || text[i] == '-')
        i++;
    while (is_digit(text[i]) || text[i] == '.' || text[i] == ',')
        i++;
    if (text[i] == 'e' || text[i] == 'E') {
        size_t digits = i + 1;
        if (text[digits] == '+' || text[digits] == '-')
            digits++;
        if (is_digit(text[digits]))
            for (i = digits; is_digit(text[i]);)
                i++;
    }
    return i;
}

/* "mm, cm, m": the units of a table as an error names them. */
static void list_units(const struct unit *units, char *out, size_t size)
{
    size_t length = 0;
    out[0] = '\0';
    for (const struct unit *unit = units; unit->symbol && length < size; unit++) {
        int added = snprintf(out + length, size - length, "%s%s", unit == units ? "" : ", ", unit->symbol);
        if (added < 0)
            return;
        length += (size_t)added;
    }
}

static const char *nearest_unit(const struct unit *units, const char *symbol)
{
    const char *symbols[UNITS_MOST];
    size_t n = 0;
    for (; n < UNITS_MOST && units[n].symbol; n++)
        symbols[n] = units[n].symbol;
    return text_nearest(symbol, symbols, n);
}

/* Anything that comes in two sizes needs its unit. */
bool unit_optional(const struct unit *units)
{
    return units == units_age || units == units_fraction || units == units_cost;
}

/* The unit that follows the number; NULL with a sentence in problem when there is none. */
static const struct unit *typed_unit(const char *text, const char *symbol, const struct unit *units, const char *what, struct problem *problem)
{
    char choices[160];
    const struct unit *unit = *symbol ? unit_find(units, symbol) : unit_optional(units) ? units : NULL;
    if (unit)
        return unit;
    list_units(units, choices, sizeof choices);
    const char *near = *symbol ? nearest_unit(units, symbol) : NULL;
    if (*symbol == '\0')
        problem_set(problem, STATUS_USAGE, NULL, "%s: '%s' has no unit: add one of %s", what, text, choices);
    else if (near)
        problem_set(problem, STATUS_USAGE, NULL, "%s: '%s' is not a unit here: did you mean '%s'?", what, symbol, near);
    else
        problem_set(problem, STATUS_USAGE, NULL, "%s: '%s' is not a unit here: use one of %s", what, symbol, choices);
    return NULL;
}

enum status quantity_parse(const char *text, const struct unit *units, const char *what,
                           double *value, struct problem *problem)
{
    while (*text == ' ')
        text++;
    size_t length = quantity_number_length(text);
    const char *symbol = text + length;
    while (*symbol == ' ')
        symbol++;
    double typed = 0;
    char complaint[200] = "";
    const char *no_number = unit_optional(units) ? "is not a number: write it as 12.5" : "is not a number: write it as 12.5 and the unit";
    const char *wrong = length == 0 ? no_number : number_parse(text, length, '.', &typed);
    if (wrong && length > 0)
        number_complain(wrong, text, complaint, sizeof complaint);
    if (wrong)
        return problem_set(problem, STATUS_USAGE, NULL, "%s: '%s' %s", what, text, length > 0 ? complaint : wrong);
    if (typed < 0)
        return problem_set(problem, STATUS_USAGE, NULL, "%s: '%s' is negative: give zero or more", what, text);
    const struct unit *unit = typed_unit(text, symbol, units, what, problem);
    if (!unit)
        return STATUS_USAGE;
    if (!isfinite(typed * unit->factor))
        return problem_set(problem, STATUS_USAGE, NULL, "%s: '%s' is out of range", what, text);
    *value = typed * unit->factor;
    return STATUS_OK;
}

const struct property_row *property_row(enum property property)
{
    return &property_table[property];
}

bool property_is_strength(enum property property)
{
    return property == PROPERTY_COMPRESSIVE_STRENGTH || property == PROPERTY_FLEXURAL_STRENGTH
        || property == PROPERTY_SPLITTING_STRENGTH;
}

enum property property_find(const char *name)
{
    for (size_t i = 0; i < PROPERTY_COUNT; i++)
        if (heading_same(property_table[i].name, name))
            return (enum property)i;
    return PROPERTY_COUNT;
}

const char *property_unit(enum property property, bool us)
{
    return us ? property_table[property].us_unit : property_table[property].si_unit;
}

void property_show(enum property property, double value, bool us, char *out, size_t size)
{
    const struct property_row *row = &property_table[property];
    const struct unit *unit = unit_find(row->units, property_unit(property, us));
    number_show(unit ? value / unit->factor : NAN, us ? row->us_step : row->si_step, "-", out, size);
}
