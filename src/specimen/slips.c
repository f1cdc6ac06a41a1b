#include "specimen/slips.h"

#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define CAUSE 80

/* What concrete can be. A value outside is asked about, never altered. */
const struct property_range property_ranges[PROPERTY_COUNT] = {
    [PROPERTY_DENSITY] = {150, 3500},
    [PROPERTY_COMPRESSIVE_STRENGTH] = {0.01, 150},
    [PROPERTY_FLEXURAL_STRENGTH] = {0.01, 50},
    [PROPERTY_SPLITTING_STRENGTH] = {0.01, 25},
    [PROPERTY_ABSORPTION] = {0.5, 200},
    [PROPERTY_VOIDS] = {1, 95},
};

/* A measured quantity that a result rests on: the units it is mistaken for, likeliest first. */
struct quantity_kind {
    enum typed_unit typed;
    const struct unit *units;
    const char *const *likely;
};

static const char *const likely_masses[] = {"kg", "g", "lb", NULL};
static const char *const likely_forces[] = {"N", "kN", "lbf", NULL};
static const char *const likely_lengths[] = {"mm", "cm", "m", "in", NULL};
static const struct quantity_kind mass_kind = {TYPED_MASS, units_mass, likely_masses};
static const struct quantity_kind force_kind = {TYPED_FORCE, units_force, likely_forces};
/* Within one specimen nobody changes from millimetres to metres. */
static const char *const likely_single_lengths[] = {"mm", "cm", NULL};
static const struct quantity_kind one_length_kind = {TYPED_LENGTH, units_length, likely_single_lengths};
static const struct quantity_kind length_kind = {TYPED_LENGTH, units_length, likely_lengths};

/* In how many of the sizes a slip lies, and so to what power it counts. */
struct sizes_way {
    int power;
    const char *subject;
    const struct quantity_kind *kind;
};
static const struct sizes_way volume_ways[] = {{-3, "the sizes", &length_kind}, {-1, "one size", &one_length_kind}, {0, NULL, NULL}};
static const struct sizes_way area_ways[] = {{-2, "the sizes", &length_kind}, {-1, "one size", &one_length_kind}, {0, NULL, NULL}};

/* A property computed from a mass or load over sizes. */
struct formula {
    enum property property;
    double value;
    const struct specimen *specimen;
    const struct quantity_kind *upper;
    const char *upper_word;
    const struct sizes_way *ways;      /* NULL: no sizes in it */
};

/* "in" would read as the word that it stands behind. */
static const char *unit_word(const struct unit *unit)
{
    return strcmp(unit->symbol, "in") == 0 ? "inches" : unit->symbol;
}

static const struct unit *typed_unit(const struct formula *formula, const struct quantity_kind *kind)
{
    const struct unit *typed = formula->specimen->typed[kind->typed];
    return typed ? typed : kind->units;
}

static bool likely(const struct formula *formula, double factor)
{
    return property_plausible(formula->property, formula->value * factor);
}

/* "the mass in kg, not g" when another unit would make the value likely. */
static bool unit_slip(const struct formula *formula, const struct quantity_kind *kind, const char *subject, int power, double times,
                      char out[CAUSE])
{
    const struct unit *typed = typed_unit(formula, kind);
    for (const char *const *symbol = kind->likely; *symbol; symbol++) {
        const struct unit *other = unit_find(kind->units, *symbol);
        bool same = fabs(other->factor / typed->factor - 1) < 1e-9;
        if (same || !likely(formula, times * pow(other->factor / typed->factor, power)))
            continue;
        snprintf(out, CAUSE, "%s in %s, not %s", subject, unit_word(other), unit_word(typed));
        return true;
    }
    return false;
}

/* "one size ten times too large" */
static bool figure_slip(const struct formula *formula, const char *subject, int power, char out[CAUSE])
{
    for (int too_large = 0; too_large < 2; too_large++) {
        if (!likely(formula, pow(too_large ? 0.1 : 10, power)))
            continue;
        snprintf(out, CAUSE, "%s ten times too %s", subject, too_large ? "large" : "small");
        return true;
    }
    return false;
}

static bool upper_slip(const struct formula *formula, double times, char out[CAUSE])
{
    return unit_slip(formula, formula->upper, formula->upper_word, 1, times, out)
        || (times == 1 && figure_slip(formula, formula->upper_word, 1, out));
}

static bool sizes_slip(const struct formula *formula, char out[CAUSE])
{
    for (const struct sizes_way *way = formula->ways; way && way->subject; way++)
        if (unit_slip(formula, way->kind, way->subject, way->power, 1, out) || figure_slip(formula, way->subject, way->power, out))
            return true;
    return false;
}

/* Both units mistaken at once; only looked for when neither slip alone will do. */
static bool double_slip(const struct formula *formula, char upper[CAUSE], char sizes[CAUSE])
{
    const struct unit *typed = typed_unit(formula, &length_kind);
    for (const char *const *symbol = likely_lengths; formula->ways && *symbol; symbol++) {
        const struct unit *other = unit_find(units_length, *symbol);
        if (other->factor == typed->factor || !upper_slip(formula, pow(other->factor / typed->factor, formula->ways[0].power), upper))
            continue;
        snprintf(sizes, CAUSE, "the sizes in %s, not %s", unit_word(other), unit_word(typed));
        return true;
    }
    return false;
}

static struct formula formula_of(const struct specimen *specimen, enum property property, double value)
{
    struct formula formula = {property, value, specimen, &force_kind, "the load", area_ways};
    if (property == PROPERTY_DENSITY) {
        formula.upper = &mass_kind;
        formula.upper_word = "the mass";
        formula.ways = isnan(specimen->mass_submerged_kg) ? volume_ways : NULL;
    }
    return formula;
}

void slip_question(const struct specimen *specimen, enum property property, double value, char *out, size_t size)
{
    const struct formula formula = formula_of(specimen, property, value);
    char upper[CAUSE], sizes[CAUSE];
    bool by_sizes = sizes_slip(&formula, sizes);
    if (upper_slip(&formula, 1, upper))
        snprintf(out, size, "%s%s%s?", upper, by_sizes ? ", or " : "", by_sizes ? sizes : "");
    else if (by_sizes)
        snprintf(out, size, "%s?", sizes);
    else if (double_slip(&formula, upper, sizes))
        snprintf(out, size, "%s, and %s?", upper, sizes);
    else
        snprintf(out, size, "check %s, read in %s%s%s", formula.upper_word, unit_word(typed_unit(&formula, formula.upper)),
                 formula.ways ? ", and the sizes, read in " : "", formula.ways ? unit_word(typed_unit(&formula, &length_kind)) : "");
}

const struct unit *slip_shown_unit(const struct specimen *specimen, enum property property, bool computed)
{
    const struct property_row *row = property_row(property);
    const struct unit *typed = specimen->typed[property == PROPERTY_DENSITY ? TYPED_DENSITY : TYPED_STRESS];
    bool us = false;
    if (row->units != units_density && row->units != units_stress)
        return unit_find(row->units, row->si_unit);
    for (size_t i = TYPED_LENGTH; i <= TYPED_FORCE; i++)
        us = us || (specimen->typed[i] && specimen->typed[i]->us);
    if (!computed && typed)
        return typed;
    return unit_find(row->units, us ? row->us_unit : row->si_unit);
}
