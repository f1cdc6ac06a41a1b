#include "output/answer_classes.h"

#include "base/number.h"
#include "output/escape.h"
#include "output/results_json.h"
#include "output/table.h"
#include "output/words.h"

#include <math.h>
#include <string.h>

#define PAGE_WIDTH 96

enum { CELL = 64 };

static const char *kind_word(enum concrete_kind kind)
{
    static const char *const words[] = { "", "insulating", "moderate", "structural" };
    return words[kind];
}

static const char *from_word(enum calculated_from from)
{
    static const char *const words[] = { "", "recipe", "batches" };
    return words[from];
}

/* ---- the tables ---- */

static void density_cell(struct table *table, double kg_m3, bool us)
{
    char cell[CELL];
    property_show(PROPERTY_DENSITY, kg_m3, us, cell, sizeof cell);
    table_cell(table, cell);
}

static void number_cell(struct table *table, double value, double step)
{
    char cell[CELL];
    number_show(value, step, "-", cell, sizeof cell);
    table_cell(table, cell);
}

static void word_cell(struct table *table, const char *word)
{
    table_cell(table, word && word[0] ? word : "-");
}

static void add_densities(const struct specimen_set *set, const struct mix_class_list *classes, bool us, struct table *table)
{
    table_column(table, "mix", false);
    table_column(table, us ? "oven-dry lb/ft3" : "oven-dry kg/m3", true);
    table_column(table, "calculated", true);
    table_column(table, "from", false);
    table_column(table, "air-dry", true);
    table_column(table, "equilibrium", true);
    table_column(table, "class", false);
    table_column(table, "W/(m K)", true);
    table_column(table, "tension", true);
    table_column(table, "modulus", true);
    for (size_t i = 0; i < classes->n_items; i++) {
        const struct mix_class *class = &classes->items[i];
        word_cell(table, words_mix(set, class->mix));
        density_cell(table, class->oven_dry_kg_m3, us);
        density_cell(table, class->calculated.kg_m3, us);
        word_cell(table, from_word(class->calculated.from));
        density_cell(table, class->air_dry_kg_m3, us);
        density_cell(table, class->equilibrium_kg_m3, us);
        word_cell(table, class->density_class ? class->density_class->name : NULL);
        number_cell(table, class->conductivity_w_mk, 0.01);
        number_cell(table, class->tension_factor, 0.01);
        number_cell(table, class->modulus_factor, 0.01);
    }
}

static void add_strengths(const struct specimen_set *set, const struct mix_class_list *classes, bool us, struct table *table)
{
    table_column(table, "mix", false);
    table_column(table, "days", true);
    table_column(table, us ? "compressive psi" : "compressive MPa", true);
    table_column(table, "specimens", true);
    table_column(table, "of", false);
    table_column(table, "would fall in", false);
    table_column(table, "kind", false);
    for (size_t i = 0; i < classes->n_items; i++) {
        const struct mix_class *class = &classes->items[i];
        char cell[CELL];
        if (isnan(class->strength_mpa))
            continue;
        property_show(PROPERTY_COMPRESSIVE_STRENGTH, class->strength_mpa, us, cell, sizeof cell);
        word_cell(table, words_mix(set, class->mix));
        table_cellf(table, isnan(class->age_days) ? "-" : "%.4g", class->age_days);
        table_cell(table, cell);
        table_cellf(table, "%zu", class->n_strength);
        word_cell(table, shape_word(class->shape));
        word_cell(table, class->strength_class ? class->strength_class->name : NULL);
        word_cell(table, kind_word(class->kind));
    }
}

static const char *density_reason(const struct mix_class *class)
{
    return class->why_no_density_class;
}

static const char *strength_reason(const struct mix_class *class)
{
    return class->why_no_strength_class;
}

static void add_line(const char *line, bool markdown, struct text *out)
{
    text_add(out, markdown ? "- " : "");
    if (markdown)
        escape_markdown_line(out, line);
    else
        table_wrap(out, line, 2, PAGE_WIDTH);
    text_add(out, markdown ? "\n" : "");
}

/* "no strength class, classes are of 28 days: mix 'a', 'b'", one line a reason. */
static void add_reasons(const struct specimen_set *set, const struct mix_class_list *classes, const char *what,
                        const char *reason_of(const struct mix_class *), bool markdown, struct text *out)
{
    for (size_t i = 0; i < classes->n_items; i++) {
        const char *reason = reason_of(&classes->items[i]);
        struct text line = { 0 };
        size_t first = 0;
        while (strcmp(reason_of(&classes->items[first]), reason) != 0)
            first++;
        if (reason[0] == '\0' || first < i)
            continue;
        text_addf(&line, "no %s class, %s:", what, reason);
        for (size_t j = i, n = 0; j < classes->n_items; j++)
            if (strcmp(reason_of(&classes->items[j]), reason) == 0)
                text_addf(&line, "%s '%.60s'", n++ ? "," : " mix", words_mix(set, classes->items[j].mix));
        add_line(line.bytes ? line.bytes : "", markdown, out);
        out->failed |= line.failed;
        text_release(&line);
    }
}

static const char densities_explained[] =
    "calculated: by what went into the mixer (ASTM C567); equilibrium: an estimate, 50 kg/m3 (3 lb/ft3) above the oven-dry density; class: of "
    "EN 206 by the measured oven-dry density, else the calculated one; W/(m K): conductivity, an estimate (ACI 122R), a quarter to a half "
    "too high for perlite; tension, modulus: factors of EN 1992-1-1 against normal weight";
static const char strengths_explained[] =
    "would fall in: the class of EN 206 that the mean reaches, as a guide only; conformity needs the sampling of EN 206, which in "
    "initial production asks for a mean 4 MPa above the strength of the class; kind: names of ACI 213R and 523, for cylinders";

static bool any_strength(const struct mix_class_list *classes)
{
    for (size_t i = 0; i < classes->n_items; i++)
        if (!isnan(classes->items[i].strength_mpa))
            return true;
    return false;
}

static bool any_density(const struct mix_class_list *classes)
{
    for (size_t i = 0; i < classes->n_items; i++)
        if (!isnan(classes->items[i].dry_kg_m3))
            return true;
    return false;
}

typedef void fill_table(const struct specimen_set *set, const struct mix_class_list *classes, bool us, struct table *table);

static void add_part(const struct specimen_set *set, const struct mix_class_list *classes, bool us, const char *title,
                     fill_table *fill, bool markdown, struct text *out)
{
    struct table table = { 0 };
    fill(set, classes, us, &table);
    text_addf(out, markdown ? "\n### %s\n\n" : "\n%s\n", title);
    if (markdown)
        table_show_markdown(&table, out);
    else
        table_show(&table, out);
    table_release(&table);
}

static enum status add_parts(const struct specimen_set *set, const struct mix_class_list *classes, bool us, bool markdown, struct text *out)
{
    if (any_density(classes)) {
        add_part(set, classes, us, "Dry densities of the mixes", add_densities, markdown, out);
        add_line(densities_explained, markdown, out);
        add_reasons(set, classes, "density", density_reason, markdown, out);
        text_add(out, markdown ? "\n" : "");
    }
    if (any_strength(classes)) {
        add_part(set, classes, us, "Strength classes by the mean", add_strengths, markdown, out);
        add_line(strengths_explained, markdown, out);
        add_reasons(set, classes, "strength", strength_reason, markdown, out);
        text_add(out, markdown ? "\n" : "");
    }
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}

enum status answer_classes_table(const struct specimen_set *set, const struct mix_class_list *classes, bool us, struct text *out)
{
    return add_parts(set, classes, us, false, out);
}

enum status answer_classes_markdown(const struct specimen_set *set, const struct mix_class_list *classes, bool us, struct text *out)
{
    return add_parts(set, classes, us, true, out);
}

/* ---- JSON ---- */

static void put_densities(struct json_build *build, const struct mix_class *class)
{
    json_t *root = build->root;
    json_put_number(build, root, "oven_dry_density_kg_m3", class->oven_dry_kg_m3);
    json_put_count(build, root, "oven_dry_specimens", class->n_oven_dry);
    json_put_number(build, root, "oven_dry_calculated_kg_m3", class->calculated.kg_m3);
    json_put_text(build, root, "calculated_from", from_word(class->calculated.from));
    json_put_number(build, root, "air_dry_density_kg_m3", class->air_dry_kg_m3);
    json_put_count(build, root, "air_dry_specimens", class->n_air_dry);
    json_put_number(build, root, "equilibrium_estimated_kg_m3", class->equilibrium_kg_m3);
    json_put_text(build, root, "density_class", class->density_class ? class->density_class->name : NULL);
    json_put_text(build, root, "density_class_from", isnan(class->dry_kg_m3) ? NULL : class->n_oven_dry ? "measured" : "calculated");
    json_put_text(build, root, "why_no_density_class", class->why_no_density_class);
    json_put_number(build, root, "thermal_conductivity_w_mk", class->conductivity_w_mk);
    json_put_number(build, root, "tension_factor", class->tension_factor);
    json_put_number(build, root, "modulus_factor", class->modulus_factor);
}

static void put_strength(struct json_build *build, const struct mix_class *class)
{
    json_t *root = build->root;
    json_put_number(build, root, "age_days", class->age_days);
    json_put_number(build, root, "compressive_strength_mpa", class->strength_mpa);
    json_put_count(build, root, "compressive_specimens", class->n_strength);
    json_put_text(build, root, "shape", shape_word(class->shape));
    json_put_text(build, root, "strength_class_by_mean", class->strength_class ? class->strength_class->name : NULL);
    json_put_text(build, root, "why_no_strength_class", class->why_no_strength_class);
    json_put_text(build, root, "kind_by_mean", kind_word(class->kind));
}

enum status classes_json_array(const struct specimen_set *set, const struct mix_class_list *classes, struct text *out)
{
    text_add(out, classes ? "[" : "null");
    for (size_t i = 0; classes && i < classes->n_items; i++) {
        const struct mix_class *class = &classes->items[i];
        const struct set_mix *mix = &set->mixes[class->mix];
        struct json_build build;
        json_build_start(&build);
        json_put_text(&build, build.root, "mix", mix->name);
        json_put_text(&build, build.root, "aggregate", words_aggregate(set, mix->aggregate));
        json_put_number(&build, build.root, "aggregate_fraction", mix->aggregate_fraction);
        put_densities(&build, class);
        put_strength(&build, class);
        text_add(out, i ? ",\n" : "\n");
        enum status status = json_build_line(&build, out);
        if (status != STATUS_OK)
            return status;
    }
    text_add(out, classes ? "\n]" : "");
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}
