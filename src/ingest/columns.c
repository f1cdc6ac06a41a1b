#include "ingest/columns.h"

#include "base/memory.h"
#include "base/text.h"
#include "base/utf8.h"
#include "ingest/everyday_words.h"
#include "ingest/headings.h"
#include "ingest/lines.h"

#include <stdio.h>
#include <string.h>

/* One binding of one heading row. */
struct binder {
    const struct row *heading;
    const struct column_rule *rules;
    size_t n_rules;
    const struct column_map *maps;
    size_t n_maps;
    struct column_binding *bindings;
    struct problem_list *problems;
    bool used[COLUMNS_MOST];   /* heading serves some rule */
    bool failed;
};

static void add_error(struct binder *binder, const char *column, const char *text)
{
    struct place place = { binder->heading->path, binder->heading->line, column };
    problem_list_add(binder->problems, SEVERITY_ERROR, STATUS_INPUT, &place, "%s", text);
    binder->failed = true;
}

static const char *heading_text(const struct binder *binder, size_t i)
{
    return binder->heading->cells[i].text;
}

/* "kg, g, oz" */
static void list_units(const struct unit *units, char *out, size_t size)
{
    size_t used = 0;
    out[0] = '\0';
    for (const struct unit *unit = units; unit->symbol && used < size; unit++)
        used += (size_t)snprintf(out + used, size - used, "%s%s", used ? ", " : "", unit->symbol);
}

static void unit_error(struct binder *binder, const struct column_rule *rule, const char *column, struct span unit)
{
    char units[200], text[400];
    list_units(rule->units, units, sizeof units);
    if (unit.length > 0)
        snprintf(text, sizeof text, "'%.*s' is no unit of %s: use one of %s", (int)(unit.length < 60 ? unit.length : 60), unit.at,
                 rule->name, units);
    else
        snprintf(text, sizeof text, "has no unit: write it as in %s_%s or %s (%s); units are %s", rule->name, rule->units[0].symbol,
                 rule->name, rule->units[0].symbol, units);
    add_error(binder, column, text);
}

static bool no_unit_meant(struct span unit)
{
    /* NOLINTNEXTLINE(clang-analyzer-core.NullDereference): what has a length stands somewhere */
    return unit.length == 0 || (unit.length == 1 && (unit.at[0] == '1' || unit.at[0] == '-'));
}

/* Settles the unit of a bound rule from its text; unit.at NULL is "none given". */
static void bind_unit(struct binder *binder, size_t rule_index, const char *column, struct span unit)
{
    const struct column_rule *rule = &binder->rules[rule_index];
    struct column_binding *binding = &binder->bindings[rule_index];
    if (rule->kind != CELL_NUMBER)
        return;
    if (!rule->units) {
        char text[200];
        snprintf(text, sizeof text, "'%.*s' is a unit, but %s is a plain number", (int)(unit.length < 60 ? unit.length : 60),
                 unit.at ? unit.at : "", rule->name);
        if (!no_unit_meant(unit))
            add_error(binder, column, text);
        return;
    }
    binding->unit = unit.length > 0 ? unit_match(rule->units, unit.at, unit.length) : rule->unit_optional ? &rule->units[0] : NULL;
    if (!binding->unit)
        unit_error(binder, rule, column, unit);
}

static void bind_column(struct binder *binder, size_t rule_index, size_t column)
{
    struct column_binding *binding = &binder->bindings[rule_index];
    const char *text = heading_text(binder, column);
    size_t length = utf8_cut(text, sizeof binding->heading - 1);
    binding->index = (long)column;
    memcpy(binding->heading, text, length);
    binding->heading[length] = '\0';
    binder->used[column] = true;
}

/* ---- headings by themselves ---- */

static void check_headings(struct binder *binder)
{
    char text[200];
    for (size_t i = 0; i < binder->heading->n_cells; i++) {
        if (binder->heading->cells[i].length == 0) {
            snprintf(text, sizeof text, "the heading of column %zu is empty: name it, or remove the column", i + 1);
            add_error(binder, NULL, text);
            continue;
        }
        for (size_t j = 0; j < i; j++) {
            if (binder->heading->cells[j].length == 0 || !heading_same(heading_text(binder, i), heading_text(binder, j)))
                continue;
            snprintf(text, sizeof text, "the heading stands twice, in columns %zu and %zu: rename one", j + 1, i + 1);
            add_error(binder, heading_text(binder, i), text);
            break;
        }
    }
}

/* ---- maps ---- */

/* The heading a map means: whole, without its own bracket, or without the file's. -1 when there is none. */
static long map_column(const struct binder *binder, const struct column_map *map, bool *bracket_is_unit)
{
    struct span name, unit, bare, file_unit;
    heading_split(map->heading, &name, &unit);
    *bracket_is_unit = false;
    for (size_t i = 0; i < binder->heading->n_cells; i++)
        if (heading_same(heading_text(binder, i), map->heading))
            return (long)i;
    for (size_t i = 0; i < binder->heading->n_cells; i++) {
        heading_split(heading_text(binder, i), &bare, &file_unit);
        *bracket_is_unit = unit.at != NULL;
        if (span_same(unit.at ? name : span_of(map->heading), bare) && (!unit.at || !file_unit.at || span_same(unit, file_unit)))
            return (long)i;
    }
    return -1;
}

/* Unit of a mapped column: told in the map, else bracketed, else some word of the heading. */
static void bind_map_unit(struct binder *binder, size_t rule_index, const struct column_map *map, bool bracket_is_unit)
{
    const struct column_rule *rule = &binder->rules[rule_index];
    struct column_binding *binding = &binder->bindings[rule_index];
    const char *column = heading_text(binder, (size_t)binding->index);
    struct span name, map_unit, file_unit;
    heading_split(map->heading, &name, &map_unit);
    heading_split(column, &name, &file_unit);
    struct span unit = map->unit ? span_of(map->unit) : bracket_is_unit ? map_unit : file_unit;
    if (rule->kind == CELL_NUMBER && !rule->units)
        unit = map->unit ? unit : (struct span){ NULL, 0 }; /* a bracket in a foreign heading need not be a unit */
    if (rule->units && (!unit.at || (!map->unit && !bracket_is_unit && !unit_match(rule->units, unit.at, unit.length)))) {
        binding->unit = heading_inner_unit(column, rule->units);
        if (binding->unit)
            return;
    }
    bind_unit(binder, rule_index, column, unit);
}

static long rule_named(const struct binder *binder, const char *name)
{
    for (size_t i = 0; i < binder->n_rules; i++)
        if (heading_same(binder->rules[i].name, name))
            return (long)i;
    return -1;
}

static const char *nearest_rule(const struct binder *binder, struct span wanted)
{
    const char *names[COLUMNS_MOST];
    char word[80];
    size_t n = binder->n_rules < COLUMNS_MOST ? binder->n_rules : COLUMNS_MOST;
    for (size_t i = 0; i < n; i++)
        names[i] = binder->rules[i].name;
    snprintf(word, sizeof word, "%.*s", (int)(wanted.length < 79 ? wanted.length : 79), wanted.at);
    return text_nearest(word, names, n);
}

static void unknown_rule(struct binder *binder, const struct column_map *map)
{
    struct text text = { 0 };
    const char *near = everyday_column(map->name, binder->rules, binder->n_rules);
    if (!near)
        near = nearest_rule(binder, span_of(map->name));
    text_addf(&text, "--column '%.60s=...' names no column that can be read here", map->name);
    if (near)
        text_addf(&text, ": did you mean '%s'?", near);
    else {
        text_add(&text, ": use one of");
        for (size_t i = 0; i < binder->n_rules; i++)
            text_addf(&text, "%s %s", i ? "," : "", binder->rules[i].name);
    }
    add_error(binder, NULL, text.failed ? "--column names no column that can be read here" : text.bytes);
    text_release(&text);
}

static void bind_maps(struct binder *binder)
{
    for (size_t m = 0; m < binder->n_maps; m++) {
        const struct column_map *map = &binder->maps[m];
        long rule = rule_named(binder, map->name);
        bool bracket_is_unit;
        long column = map_column(binder, map, &bracket_is_unit);
        if (rule < 0)
            unknown_rule(binder, map);
        if (rule < 0 || column < 0)
            continue;
        if (binder->bindings[rule].index >= 0 && binder->bindings[rule].index != column) {
            char text[240];
            snprintf(text, sizeof text, "--column gives %s twice, from here and from '%.60s'", map->name, binder->bindings[rule].heading);
            add_error(binder, heading_text(binder, (size_t)column), text);
            continue;
        }
        bind_column(binder, (size_t)rule, (size_t)column);
        bind_map_unit(binder, (size_t)rule, map, bracket_is_unit);
    }
}

/* A map without its heading is an error, unless the file has the column under its own name (several files, one map). */
static void check_maps(struct binder *binder)
{
    for (size_t m = 0; m < binder->n_maps; m++) {
        const struct column_map *map = &binder->maps[m];
        long rule = rule_named(binder, map->name);
        char text[400];
        if (rule < 0 || binder->bindings[rule].index >= 0)
            continue;
        const char *near = heading_nearest(binder->heading, map->heading);
        if (near)
            snprintf(text, sizeof text, "no heading is '%.100s', which --column wants for %s: did you mean '%.100s'?", map->heading, map->name, near);
        else
            snprintf(text, sizeof text, "no heading is '%.100s', which --column wants for %s", map->heading, map->name);
        add_error(binder, NULL, text);
    }
}

/* ---- headings that say it themselves ---- */

/* The rule of this very name; of two with one name, the one that knows the unit. */
static long exact_rule(const struct binder *binder, struct span name, struct span unit)
{
    long best = -1;
    for (size_t i = 0; i < binder->n_rules; i++) {
        const struct unit *units = binder->rules[i].units;
        if (!span_same(span_of(binder->rules[i].name), name))
            continue;
        if (!unit.at || !units || unit_match(units, unit.at, unit.length))
            return (long)i;
        if (best < 0)
            best = (long)i;
    }
    return best;
}

/* The longest rule name that the heading starts with, a unit of it behind. */
static long suffix_rule(const struct binder *binder, const char *heading)
{
    long best = -1;
    for (size_t i = 0; i < binder->n_rules; i++) {
        const struct column_rule *rule = &binder->rules[i];
        struct span rest = rule->units ? heading_rest(heading, rule->name) : (struct span){ NULL, 0 };
        if (rest.length > 0 && unit_match(rule->units, rest.at, rest.length)
            && (best < 0 || strlen(rule->name) > strlen(binder->rules[best].name)))
            best = (long)i;
    }
    return best;
}

/* The rule of a heading, -1 when there is none; *unit is what the heading says about its unit. */
static long rule_of_heading(const struct binder *binder, const char *heading, struct span *unit)
{
    struct span name;
    heading_split(heading, &name, unit);
    long rule = exact_rule(binder, name, *unit);
    if (rule >= 0 || unit->at)
        return rule;
    rule = suffix_rule(binder, heading);
    if (rule >= 0)
        *unit = heading_rest(heading, binder->rules[rule].name);
    return rule;
}

/* "densty_kg_m3": near "density", and what follows is a unit of it. */
static const char *nearest_before_unit(const struct binder *binder, struct span name)
{
    for (size_t end = name.length; end-- > 1;) {
        const char *near = strchr("_- ", name.at[end]) ? nearest_rule(binder, (struct span){ name.at, end }) : NULL;
        long rule = near ? rule_named(binder, near) : -1;
        if (rule >= 0 && unit_match(binder->rules[rule].units, name.at + end + 1, name.length - end - 1))
            return near;
    }
    return NULL;
}

static void unused_heading(struct binder *binder, const char *heading)
{
    struct place place = { binder->heading->path, binder->heading->line, heading };
    struct span name, unit;
    heading_split(heading, &name, &unit);
    for (size_t i = 0; i < binder->n_rules; i++) {
        const struct column_rule *rule = &binder->rules[i];
        struct span rest = rule->units && !unit.at ? heading_rest(heading, rule->name) : (struct span){ NULL, 0 };
        if (rest.length == 0 || rest.length > 8)
            continue;
        char units[200];
        list_units(rule->units, units, sizeof units);
        problem_list_add(binder->problems, SEVERITY_NOTICE, STATUS_OK, &place,
                         "is not used: '%.*s' is no unit of %s (%s)", (int)rest.length, rest.at, rule->name, units);
        return;
    }
    const char *near = everyday_column(heading, binder->rules, binder->n_rules);
    if (!near)
        near = nearest_rule(binder, name);
    if (!near)
        near = nearest_before_unit(binder, name);
    problem_list_add(binder->problems, SEVERITY_NOTICE, STATUS_OK, &place, near ? "is not used: did you mean '%s'?" : "is not used%s", near ? near : "");
}

static void bind_heading(struct binder *binder, size_t column)
{
    const char *heading = heading_text(binder, column);
    struct place place = { binder->heading->path, binder->heading->line, heading };
    struct span unit;
    long rule = rule_of_heading(binder, heading, &unit);
    if (rule < 0) {
        unused_heading(binder, heading);
        return;
    }
    struct column_binding *binding = &binder->bindings[rule];
    if (binding->index < 0) {
        bind_column(binder, (size_t)rule, column);
        bind_unit(binder, (size_t)rule, heading, unit);
        return;
    }
    for (size_t m = 0; m < binder->n_maps; m++)
        if (heading_same(binder->maps[m].name, binder->rules[rule].name)) {
            problem_list_add(binder->problems, SEVERITY_NOTICE, STATUS_OK, &place,
                             "is not used: --column takes %s from '%s'", binder->rules[rule].name, binding->heading);
            return;
        }
    if (!heading_same(binding->heading, heading)) { /* the same heading twice is told already */
        char text[240];
        snprintf(text, sizeof text, "'%s' gives %s too (columns %ld and %zu): keep one", binding->heading, binder->rules[rule].name,
                 binding->index + 1, column + 1);
        add_error(binder, heading, text);
    }
}

enum status columns_bind(const struct row *heading, const struct column_rule *rules, size_t n_rules,
                         const struct column_map *maps, size_t n_maps,
                         struct column_binding *bindings, struct problem_list *problems)
{
    struct binder binder = { .heading = heading, .rules = rules, .n_rules = n_rules, .maps = maps,
                             .n_maps = n_maps, .bindings = bindings, .problems = problems };
    for (size_t i = 0; i < n_rules; i++)
        bindings[i] = (struct column_binding){ .index = -1 };
    check_headings(&binder);
    bind_maps(&binder);
    for (size_t i = 0; i < heading->n_cells; i++)
        if (!binder.used[i] && heading->cells[i].length > 0)
            bind_heading(&binder, i);
    check_maps(&binder);
    return binder.failed ? STATUS_INPUT : STATUS_OK;
}
