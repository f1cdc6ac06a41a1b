#include "specimen/specimen_fields.h"
#include "specimen/specimen_set_store.h"

#include "base/number_plain.h"
#include "base/utf8.h"
#include "ingest/journal.h"

#include <math.h>
#include <string.h>

const struct column_rule specimen_rules[] = {
    { "specimen", CELL_TEXT, NULL, false, false },
    { "mix", CELL_TEXT, NULL, false, false },
    { "batch", CELL_TEXT, NULL, false, false },
    { "aggregate", CELL_TEXT, NULL, false, false },
    { "aggregate_fraction", CELL_NUMBER, units_fraction, true, false },
    { "shape", CELL_TEXT, NULL, false, false },
    { "length", CELL_NUMBER, units_length, false, false },
    { "width", CELL_NUMBER, units_length, false, false },
    { "height", CELL_NUMBER, units_length, false, false },
    { "diameter", CELL_NUMBER, units_length, false, false },
    { "span", CELL_NUMBER, units_length, false, false },
    { "loading", CELL_TEXT, NULL, false, false },
    { "break_load", CELL_NUMBER, units_force, false, false },
    { "fracture_from_support", CELL_NUMBER, units_length, false, false },
    { "mass", CELL_NUMBER, units_mass, false, false },
    { "mass_submerged", CELL_NUMBER, units_mass, false, false },
    { "sinker_submerged", CELL_NUMBER, units_mass, false, false },
    { "mass_saturated", CELL_NUMBER, units_mass, false, false },
    { "mass_oven_dry", CELL_NUMBER, units_mass, false, false },
    { "mass_boiled", CELL_NUMBER, units_mass, false, false },
    { "moisture", CELL_TEXT, NULL, false, false },
    { "age", CELL_NUMBER, units_age, true, false },
    { "density", CELL_NUMBER, units_density, false, false },
    { "compressive_strength", CELL_NUMBER, units_stress, false, false },
    { "flexural_strength", CELL_NUMBER, units_stress, false, false },
    { "splitting_strength", CELL_NUMBER, units_stress, false, false },
    { "absorption", CELL_NUMBER, units_percent, false, false },
    { "voids", CELL_NUMBER, units_percent, false, false },
    { "cast_on", CELL_DATE, NULL, false, false },
    { "tested_on", CELL_DATE, NULL, false, false },
    { "result", CELL_TEXT, NULL, false, false },
    { "note", CELL_TEXT, NULL, false, true },
    /* Written by the program itself: known, so that they raise no question, and not read. */
    { "reason", CELL_TEXT, NULL, false, true },
    { "place", CELL_TEXT, NULL, false, true },
    { JOURNAL_CHECK_COLUMN, CELL_TEXT, NULL, false, false },
};
const size_t n_specimen_rules = sizeof specimen_rules / sizeof specimen_rules[0];

#define AT(member) offsetof(struct specimen, member)
#define VALUE(property) (AT(value) + (property) * sizeof(double))

const struct specimen_field specimen_fields[] = {
    { FIELD_TEXT, AT(id), false },
    { FIELD_TEXT, AT(mix), false },
    { FIELD_TEXT, AT(batch), false },
    { FIELD_TEXT, AT(aggregate), false },
    { FIELD_NUMBER, AT(aggregate_fraction), false },
    { FIELD_SHAPE, 0, false },
    { FIELD_NUMBER, AT(length_mm), true },
    { FIELD_NUMBER, AT(width_mm), true },
    { FIELD_NUMBER, AT(height_mm), true },
    { FIELD_NUMBER, AT(diameter_mm), true },
    { FIELD_NUMBER, AT(span_mm), true },
    { FIELD_LOADING, 0, false },
    { FIELD_NUMBER, AT(break_load_n), true },
    { FIELD_NUMBER, AT(fracture_from_support_mm), true },
    { FIELD_NUMBER, AT(mass_kg), true },
    { FIELD_NUMBER, AT(mass_submerged_kg), true },
    { FIELD_NUMBER, AT(sinker_submerged_kg), true },
    { FIELD_NUMBER, AT(mass_saturated_kg), true },
    { FIELD_NUMBER, AT(mass_oven_dry_kg), true },
    { FIELD_NUMBER, AT(mass_boiled_kg), true },
    { FIELD_MOISTURE, 0, false },
    { FIELD_NUMBER, AT(age_days), false },
    { FIELD_NUMBER, VALUE(PROPERTY_DENSITY), true },
    { FIELD_NUMBER, VALUE(PROPERTY_COMPRESSIVE_STRENGTH), true },
    { FIELD_NUMBER, VALUE(PROPERTY_FLEXURAL_STRENGTH), true },
    { FIELD_NUMBER, VALUE(PROPERTY_SPLITTING_STRENGTH), true },
    { FIELD_NUMBER, VALUE(PROPERTY_ABSORPTION), true },
    { FIELD_NUMBER, VALUE(PROPERTY_VOIDS), true },
    { FIELD_DATE, AT(cast_on), false },
    { FIELD_DATE, AT(tested_on), false },
    { FIELD_RESULT, 0, true },
    { FIELD_TEXT, AT(note), false },
    { FIELD_IGNORED, 0, false },
    { FIELD_IGNORED, 0, false },
    { FIELD_IGNORED, 0, false },
};
_Static_assert(sizeof specimen_fields / sizeof specimen_fields[0] == sizeof specimen_rules / sizeof specimen_rules[0], "each column needs its field");
_Static_assert(sizeof specimen_fields / sizeof specimen_fields[0] <= SPECIMEN_RULES_MOST, "more columns than SPECIMEN_RULES_MOST");

size_t specimen_rule_index(const char *name)
{
    size_t i = 0;
    while (i < n_specimen_rules && strcmp(specimen_rules[i].name, name) != 0)
        i++;
    return i;
}

static enum typed_unit typed_kind(const struct unit *units)
{
    static const struct unit *const kinds[TYPED_COUNT] = {
        [TYPED_LENGTH] = units_length, [TYPED_MASS] = units_mass, [TYPED_FORCE] = units_force,
        [TYPED_DENSITY] = units_density, [TYPED_STRESS] = units_stress,
    };
    unsigned kind = 0;
    while (kind < TYPED_COUNT && kinds[kind] != units)
        kind++;
    return (enum typed_unit)kind;
}

static struct active_rule active_rule_of(size_t rule, const struct column_binding *binding)
{
    return (struct active_rule){ binding, (size_t)binding->index, specimen_fields[rule].offset, specimen_fields[rule].kind,
                                 typed_kind(specimen_rules[rule].units), binding->unit ? binding->unit->factor : 1 };
}

size_t specimen_active_rules(const struct column_binding *bindings, struct active_rule *active)
{
    size_t n = 0;
    for (size_t i = 0; i < n_specimen_rules; i++)
        if (bindings[i].index >= 0 && specimen_fields[i].kind != FIELD_IGNORED)
            active[n++] = active_rule_of(i, &bindings[i]);
    return n;
}

bool specimen_rules_measure(const struct column_binding *bindings)
{
    for (size_t i = 0; i < n_specimen_rules; i++)
        if (bindings[i].index >= 0 && specimen_fields[i].measured)
            return true;
    return false;
}

bool specimen_rules_us(const struct column_binding *bindings)
{
    const struct column_binding *first = NULL;
    for (size_t i = 0; i < n_specimen_rules; i++) {
        bool has_systems = specimen_fields[i].measured && bindings[i].unit && specimen_rules[i].units != units_percent;
        if (has_systems && bindings[i].index >= 0 && (!first || bindings[i].index < first->index))
            first = &bindings[i];
    }
    return first && first->unit->us;
}

const char *specimen_field_words(enum field_kind kind)
{
    static const char *const words[FIELD_KINDS] = {
        [FIELD_SHAPE] = "cube, cylinder, beam, slab or core", [FIELD_LOADING] = "axial, centre-point, third-point or splitting",
        [FIELD_MOISTURE] = "as-cast, saturated, air-dry or oven-dry", [FIELD_RESULT] = "pass or fail",
    };
    return words[kind];
}

static bool unknown_word(const struct row *row, const struct column_binding *binding, const char *word, enum field_kind kind,
                         struct problem_list *problems)
{
    struct place place = { row->path, row->line, binding->heading };
    problem_list_add(problems, SEVERITY_ERROR, STATUS_INPUT, &place, "'%.*s' is not known here: use %s",
                     (int)utf8_cut(word, 60), word, specimen_field_words(kind));
    return false;
}

static bool is_missing(const char *word)
{
    if (word[0] && word[1] && !strchr("nN_- \t\n\r", word[0]))
        return false;
    return word[0] == '\0' || strcmp(word, "-") == 0 || strcmp(word, "?") == 0 || heading_same(word, "NA") || heading_same(word, "n/a");
}

static enum trial_result result_find(const char *word)
{
    if (heading_same(word, "pass") || heading_same(word, "passed"))
        return RESULT_PASS;
    return heading_same(word, "fail") || heading_same(word, "failed") ? RESULT_FAIL : RESULT_NONE;
}

static bool take_word(struct specimen *specimen, enum field_kind kind, const struct row *row,
                      const struct column_binding *binding, struct problem_list *problems)
{
    const char *word = cell_text(row, binding);
    bool known;
    if (kind == FIELD_SHAPE)
        known = (specimen->shape = shape_find(word)) != SHAPE_UNKNOWN;
    else if (kind == FIELD_LOADING)
        known = (specimen->loading = loading_find(word)) != LOADING_UNKNOWN;
    else if (kind == FIELD_MOISTURE)
        known = (specimen->moisture = moisture_find(word)) != MOISTURE_UNKNOWN;
    else
        known = (specimen->result = result_find(word)) != RESULT_NONE;
    return known || is_missing(word) || unknown_word(row, binding, word, kind, problems);
}

void specimen_note_unit(struct specimen *specimen, const struct unit *units, const struct unit *typed)
{
    const enum typed_unit kind = typed_kind(units);
    if (kind < TYPED_COUNT)
        specimen->typed[kind] = typed;
}

/* Fields are reached by offset; memcpy keeps that free of aliasing. */
static inline void put_field(struct specimen *specimen, const struct active_rule *rule, const void *value, size_t size)
{
    memcpy((char *)specimen + rule->offset, value, size);
}

static inline bool take_number(struct specimen *specimen, const struct active_rule *rule, const struct row *row,
                               const struct dialect *dialect, struct problem_list *problems)
{
    const struct cell *cell = &row->cells[rule->column];
    bool good = true;
    double number;
    if (number_plain(cell->text, cell->length, dialect->decimal_mark, &number))
        number *= rule->factor;
    else
        good = cell_number(row, rule->binding, dialect, &number, problems);
    put_field(specimen, rule, &number, sizeof number);
    if (!isnan(number) && rule->typed < TYPED_COUNT)
        specimen->typed[rule->typed] = rule->binding->unit;
    return good;
}

static bool take_date(struct specimen *specimen, const struct active_rule *rule, const struct row *row, struct problem_list *problems)
{
    long days;
    const bool good = cell_date(row, rule->binding, &days, problems);
    put_field(specimen, rule, &days, sizeof days);
    return good;
}

static inline bool take_cell(struct specimen *specimen, const struct active_rule *rule, const struct row *row,
                             const struct dialect *dialect, struct problem_list *problems)
{
    switch (rule->kind) {
    case FIELD_NUMBER:
        return take_number(specimen, rule, row, dialect, problems);
    case FIELD_TEXT:
        put_field(specimen, rule, &row->cells[rule->column].text, sizeof row->cells->text);
        return true;
    case FIELD_DATE:
        return take_date(specimen, rule, row, problems);
    case FIELD_IGNORED:
        return true;
    default:
        return take_word(specimen, (enum field_kind)rule->kind, row, rule->binding, problems);
    }
}

static inline bool take_cells(struct specimen *specimen, const struct row *row, const struct active_rule *active, size_t n_active,
                              const struct dialect *dialect, struct problem_list *problems)
{
    bool good = true;
    for (const struct active_rule *rule = active; rule < active + n_active; rule++)
        if (!row->cells[rule->column].as_above && !take_cell(specimen, rule, row, dialect, problems))
            good = false;
    return good;
}

bool specimen_take_field(struct specimen *specimen, size_t rule, const struct row *row, const struct column_binding *binding,
                         const struct dialect *dialect, struct problem_list *problems)
{
    const struct active_rule active = active_rule_of(rule, binding);
    return take_cells(specimen, row, &active, 1, dialect, problems);
}

bool specimen_take_row(struct specimen *specimen, const struct row *row, const struct column_binding *bindings,
                       const struct active_rule *active, size_t n_active, const struct dialect *dialect,
                       struct problem_list *problems)
{
    const bool unbroken = !row->has_breaks || row_check_breaks(row, specimen_rules, n_specimen_rules, bindings, problems);
    specimen->path = row->path;
    specimen->line = row->line;
    return take_cells(specimen, row, active, n_active, dialect, problems) && unbroken;
}
