#include "commands/help_topics.h"

#include "cli/lookup.h"
#include "commands/command.h"
#include "specimen/file_kinds.h"
#include "specimen/quantity.h"

#include <string.h>

const char help_topic_list[] = "files, columns, units, demands";

/* ---- columns ---- */

/* "mm, cm, m"; what may be left out is said. */
static void add_units(const struct unit *units, bool optional, struct text *out)
{
    for (const struct unit *unit = units; unit->symbol; unit++) {
        text_addf(out, "%s%s", unit == units ? "" : ", ", unit->symbol);
        if (unit == units && optional)
            text_add(out, " (may be left out)");
    }
}

static void describe_column(int which, size_t index, struct text *said)
{
    const struct file_kind kind = file_kind(which);
    const struct column_rule *rule = &kind.rules[index];
    const char *words = file_kind_words(which, index);
    if (file_kind_own(which, index))
        text_add(said, "written by the program, not read");
    else if (words)
        text_add(said, words);
    else if (rule->kind == CELL_DATE)
        text_add(said, "a date, as 2026-03-09");
    else if (rule->kind == CELL_TEXT)
        text_add(said, rule->free_text ? "free text, of several lines too" : "text");
    else if (rule->units)
        add_units(rule->units, rule->unit_optional, said);
    else
        text_add(said, "a plain number");
}

static void add_kind_title(const struct file_kind *kind, struct text *out)
{
    text_addf(out, "%s%s%s%s: %s\n", kind->name, kind->option[0] ? " (" : "", kind->option, kind->option[0] ? ")" : "", kind->holds);
}

static void explain_columns(struct text *out)
{
    help_paragraph("The columns that are read, each with the units that it may be in. The unit stands in the heading, as in mass_g, mass [g] "
                   "or mass (g); case, blanks, '_' and '-' do not count. A file that calls them otherwise is mapped: "
                   "--column break_load=\"Load at failure (kN)\". docs/files.md says what each means.", out);
    for (int which = 0; which < FILE_KINDS; which++) {
        struct file_kind kind = file_kind(which);
        text_add(out, "\n");
        add_kind_title(&kind, out);
        for (size_t i = 0; i < kind.n_rules; i++) {
            struct text said = {0};
            describe_column(which, i, &said);
            help_entry(kind.rules[i].name, said.bytes ? said.bytes : "", out);
            out->failed |= said.failed;
            text_release(&said);
        }
    }
}

/* ---- files ---- */

static void explain_files(struct text *out)
{
    help_paragraph("Tables are CSV files with a heading line; comma, semicolon or tab between the cells. Only specimens are needed; "
                   "'plumestone help columns' lists what each may hold, docs/files.md says what it means.", out);
    text_add(out, "\n");
    for (int which = 0; which < FILE_KINDS; which++) {
        struct file_kind kind = file_kind(which);
        text_add(out, "  ");
        add_kind_title(&kind, out);
    }
    text_add(out, "\n");
    help_paragraph("A study file (--study) holds the long options as 'name = value' lines and so remembers a whole analysis. A journal is a "
                   "file of specimens that 'plumestone record' writes.", out);
}

/* ---- units ---- */

static void explain_units(struct text *out)
{
    help_paragraph("Units, behind a number on the command line (12MPa or '12 MPa') or in the heading of a column (mass_g). Numbers are written "
                   "with a decimal point.", out);
    text_add(out, "\n");
    for (const struct unit_kind *kind = unit_kinds; kind->name; kind++) {
        struct text said = {0};
        add_units(kind->units, unit_optional(kind->units), &said);
        help_entry(kind->name, said.bytes ? said.bytes : "", out);
        out->failed |= said.failed;
        text_release(&said);
    }
    text_add(out, "\n");
    help_paragraph("lb is a force among the forces and a mass among the masses; the gallon is that of the USA. Answers come in the units of the "
                   "first measured column, or in those of --units; docs/methods/units.md has the factors.", out);
}

/* ---- demands ---- */

static void add_demand(const char *name, const struct unit *units, const char *needs, struct text *out)
{
    struct text said = {0};
    if (units)
        add_units(units, false, &said);
    text_add(&said, needs);
    help_entry(name, said.bytes ? said.bytes : "", out);
    out->failed |= said.failed;
    text_release(&said);
}

static void explain_demands(struct text *out)
{
    help_paragraph("--target NAME=VALUE asks for a minimum, --limit NAME=VALUE for a maximum; both may be repeated. What is held against them is the "
                   "assured value (--assurance), not the mean. NAME is one of these, VALUE a number and its unit.", out);
    text_add(out, "\n");
    for (enum property property = 0; property < PROPERTY_COUNT; property++)
        add_demand(property_row(property)->name, property_row(property)->units, "", out);
    add_demand("piece_mass", units_mass, "; needs the size of the piece: --piece=400x400x40mm", out);
    add_demand("cost", units_cost, "; money for so much concrete, a plain number being per m3; needs --mixes and --materials with prices", out);
}

/* ---- finding ---- */

static const struct topic { const char *name; void (*explain)(struct text *out); } topics[] = {
    {"files", explain_files}, {"columns", explain_columns}, {"units", explain_units}, {"demands", explain_demands},
    {"target", explain_demands}, {"targets", explain_demands}, {"limit", explain_demands}, {"limits", explain_demands},
    {"property", explain_demands}, {"properties", explain_demands}, {"column", explain_columns}, {"unit", explain_units}, {"file", explain_files},
};
enum { TOPICS = sizeof topics / sizeof topics[0] };

/* The commands whose option of that name is this very row, in words. */
static void add_takers(const struct option_row *row, struct text *out)
{
    struct text said = {0};
    text_add(&said, "taken by");
    for (size_t i = 0, n = 0; i < n_commands; i++)
        if (option_find(command_table[i].page.groups, row->name) == row)
            text_addf(&said, "%s %s", n++ ? "," : "", command_table[i].page.name);
    text_add(out, "  ");
    help_paragraph(said.bytes ? said.bytes : "", out);
    out->failed |= said.failed;
    text_release(&said);
}

static bool seen_before(const struct option_row *row, size_t command)
{
    for (size_t i = 0; i < command; i++)
        if (option_find(command_table[i].page.groups, row->name) == row)
            return true;
    return false;
}

/* Options of one name may differ between commands. */
static bool explain_option(const char *name, bool after_topic, struct text *out)
{
    bool any = false;
    for (size_t i = 0; i < n_commands; i++) {
        const struct option_row *row = option_find(command_table[i].page.groups, name);
        if (row == NULL || seen_before(row, i))
            continue;
        text_add(out, any || after_topic ? "\n" : "");
        help_option(row, out);
        add_takers(row, out);
        any = true;
    }
    return any;
}

bool help_topic(const char *name, struct text *out)
{
    bool any = false;
    name += strspn(name, "-");
    for (size_t i = 0; i < TOPICS && !any; i++)
        if (strcmp(topics[i].name, name) == 0) {
            topics[i].explain(out);
            any = true;
        }
    return explain_option(name, any, out) || any;
}

const char *help_topic_nearest(const char *name)
{
    const char *names[TOPICS];
    for (size_t i = 0; i < TOPICS; i++)
        names[i] = topics[i].name;
    return text_nearest(name, names, TOPICS);
}
