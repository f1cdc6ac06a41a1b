#include "specimen/recording_row.h"

#include "specimen/recording.h"
#include "specimen/specimen_fields.h"

#include <limits.h>
#include <math.h>
#include <string.h>

/* The unit that a journal keeps a kind of quantity in. */
static const struct {
    const struct unit *units;
    const char *si, *us;
} journal_units[] = {
    { units_length, "mm", "in" }, { units_force, "kN", "lbf" }, { units_mass, "g", "lb" },
    { units_density, "kg/m3", "lb/ft3" }, { units_stress, "MPa", "psi" }, { units_percent, "pct", "pct" },
    { units_age, "days", "days" }, { units_fraction, "1", "1" },
};

static const struct unit *journal_unit(const struct column_rule *rule, bool us)
{
    for (size_t i = 0; i < sizeof journal_units / sizeof journal_units[0]; i++)
        if (journal_units[i].units == rule->units)
            return unit_find(rule->units, us ? journal_units[i].us : journal_units[i].si);
    return NULL;
}

/* "mass_g", "density_kg_m3"; a fraction is a plain number. */
static void add_heading(struct text *heading, const struct column_rule *rule, bool us)
{
    const struct unit *unit = journal_unit(rule, us);
    text_add(heading, rule->name);
    if (!unit || rule->units == units_fraction)
        return;
    text_add(heading, "_");
    for (const char *at = unit->symbol; *at; at++)
        text_add_bytes(heading, *at == '/' ? "_" : at, 1);
}

enum status recording_heading(bool us, struct text *heading)
{
    bool first = true;
    for (size_t i = 0; i < n_specimen_rules; i++) {
        if (specimen_fields[i].kind == FIELD_IGNORED)
            continue;
        text_add(heading, first ? "" : ",");
        add_heading(heading, &specimen_rules[i], us);
        first = false;
    }
    return heading->failed ? STATUS_MEMORY : STATUS_OK;
}

/* A text that would be read as something else stands in quotes: commas, quotes, and '#' that opens a comment. */
static void add_text(struct text *row, const char *cell)
{
    if (cell[0] != '#' && strpbrk(cell, "\",;\t") == NULL) {
        text_add(row, cell);
        return;
    }
    text_add(row, "\"");
    for (; *cell; cell++)
        text_add_bytes(row, *cell == '"' ? "\"\"" : cell, *cell == '"' ? 2 : 1);
    text_add(row, "\"");
}

/* 15 digits give back every number that was typed with so many, in whatever unit. */
static void add_number(struct text *row, double value, const struct unit *unit)
{
    if (!isnan(value))
        text_addf(row, "%.15g", unit ? value / unit->factor : value);
}

/* The Gregorian date. Source: Hinnant, "chrono-compatible low-level date algorithms". */
static void add_date(struct text *row, long days)
{
    if (days == LONG_MIN)
        return;
    long shifted = days + 719468, era = (shifted >= 0 ? shifted : shifted - 146096) / 146097;
    long day_of_era = shifted - era * 146097;
    long year_of_era = (day_of_era - day_of_era / 1460 + day_of_era / 36524 - day_of_era / 146096) / 365;
    long day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    long month_from_march = (5 * day_of_year + 2) / 153;
    long day = day_of_year - (153 * month_from_march + 2) / 5 + 1;
    long month = month_from_march < 10 ? month_from_march + 3 : month_from_march - 9;
    text_addf(row, "%04ld-%02ld-%02ld", year_of_era + era * 400 + (month <= 2), month, day);
}

static void add_word(struct text *row, enum field_kind kind, const struct specimen *specimen)
{
    static const char *const results[] = { [RESULT_NONE] = "", [RESULT_PASS] = "pass", [RESULT_FAIL] = "fail" };
    if (kind == FIELD_SHAPE)
        text_add(row, shape_word(specimen->shape));
    else if (kind == FIELD_LOADING)
        text_add(row, loading_word(specimen->loading));
    else if (kind == FIELD_MOISTURE)
        text_add(row, moisture_word(specimen->moisture));
    else
        text_add(row, results[specimen->result]);
}

static void add_cell(struct text *row, size_t rule, const struct specimen *specimen, bool us)
{
    const char *field = (const char *)specimen + specimen_fields[rule].offset;
    const char *text;
    double number;
    long days;
    switch (specimen_fields[rule].kind) {
    case FIELD_TEXT:
        memcpy(&text, field, sizeof text);
        add_text(row, text);
        break;
    case FIELD_NUMBER:
        memcpy(&number, field, sizeof number);
        add_number(row, number, journal_unit(&specimen_rules[rule], us));
        break;
    case FIELD_DATE:
        memcpy(&days, field, sizeof days);
        add_date(row, days);
        break;
    default:
        add_word(row, specimen_fields[rule].kind, specimen);
    }
}

void recording_row_add(struct text *row, const struct specimen *specimen, bool us)
{
    for (size_t i = 0, n = 0; i < n_specimen_rules; i++) {
        if (specimen_fields[i].kind == FIELD_IGNORED)
            continue;
        text_add(row, n++ ? "," : "");
        add_cell(row, i, specimen, us);
    }
}
