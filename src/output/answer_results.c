#include "output/answer.h"
#include "output/drying_json.h"
#include "output/escape.h"
#include "output/json_build.h"
#include "output/table.h"
#include "output/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static bool has_property(const struct specimen_set *set, enum property property)
{
    return set->value[property] != NULL;
}

static double age_of(const struct specimen_set *set, size_t i)
{
    return set->age_days ? set->age_days[i] : NAN;
}

/* "" when it is not known. */
static const char *moisture_of(const struct specimen_set *set, size_t i)
{
    enum moisture moisture = set->moisture ? (enum moisture)set->moisture[i] : MOISTURE_UNKNOWN;
    return moisture == MOISTURE_UNKNOWN ? "" : moisture_word(moisture);
}

static const struct set_mix *mix_of(const struct specimen_set *set, size_t i)
{
    return &set->mixes[set->mix[i]];
}

static const char *batch_of(const struct specimen_set *set, size_t i)
{
    return set->batches[set->batch[i]].name;
}

static void add_specimen_cells(const struct specimen_set *set, size_t i, bool us, struct table *table)
{
    char cell[WORDS_MAX];
    table_cell(table, specimen_set_id(set, i));
    table_cell(table, mix_of(set, i)->name);
    table_cell(table, batch_of(set, i));
    table_cellf(table, isfinite(age_of(set, i)) ? "%.4g" : "-", age_of(set, i));
    for (enum property p = 0; p < PROPERTY_COUNT; p++)
        if (has_property(set, p)) {
            property_show(p, specimen_set_value(set, i, p), us, cell, sizeof cell);
            table_cell(table, cell);
        }
    words_flags(set->flags[i], cell);
    table_cell(table, cell);
}

enum status answer_results_table(const struct specimen_set *set, bool us, struct text *out)
{
    char headings[PROPERTY_COUNT][48];
    struct table table = { 0 };
    table_column(&table, "specimen", false);
    table_column(&table, "mix", false);
    table_column(&table, "batch", false);
    table_column(&table, "days", true);
    for (enum property p = 0; p < PROPERTY_COUNT; p++)
        if (has_property(set, p)) {
            snprintf(headings[p], sizeof headings[p], "%s %s", words_short(p), property_unit(p, us));
            table_column(&table, headings[p], true);
        }
    table_column(&table, "flags", false);
    for (size_t i = 0; i < set->n; i++)
        add_specimen_cells(set, i, us, &table);
    table_show(&table, out);
    if (set->n_set_aside)
        text_addf(out, "%zu row%s set aside\n", set->n_set_aside, set->n_set_aside == 1 ? "" : "s");
    table_release(&table);
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}

static enum status add_specimen_json(const struct specimen_set *set, size_t i, struct text *out)
{
    struct json_build build;
    json_build_start(&build);
    json_put_text(&build, build.root, "specimen", specimen_set_id(set, i));
    json_put_text(&build, build.root, "mix", mix_of(set, i)->name);
    json_put_text(&build, build.root, "batch", batch_of(set, i));
    json_put_text(&build, build.root, "aggregate", words_aggregate(set, mix_of(set, i)->aggregate));
    json_put_number(&build, build.root, "aggregate_fraction", mix_of(set, i)->aggregate_fraction);
    json_put_number(&build, build.root, "age_days", age_of(set, i));
    json_put_text(&build, build.root, "moisture", moisture_of(set, i));
    for (enum property p = 0; p < PROPERTY_COUNT; p++)
        json_put_number(&build, build.root, property_row(p)->json_key, specimen_set_value(set, i, p));
    json_t *flags = json_put_array(&build, build.root, "flags");
    for (unsigned bit = 0; bit < FLAG_KINDS; bit++)
        if (set->flags[i] & 1u << bit)
            json_append_text(&build, flags, flag_word(1u << bit));
    json_put_count(&build, build.root, "line", set->line[i]);
    return json_build_line(&build, out);
}

/* Specimen by specimen, so that a lifetime of results needs no tree of them all in memory. */
enum status answer_results_json(const struct specimen_set *set, const struct drying_study *drying, struct text *out)
{
    text_add(out, "{\"specimens\":[");
    for (size_t i = 0; i < set->n; i++) {
        text_add(out, i ? ",\n" : "\n");
        enum status status = add_specimen_json(set, i, out);
        if (status != STATUS_OK)
            return status;
    }
    text_addf(out, "\n],\"set_aside\":%zu,\"drying\":", set->n_set_aside);
    enum status status = drying_json_array(drying, out);
    text_add(out, "}\n");
    return status == STATUS_OK && out->failed ? STATUS_MEMORY : status;
}

/* Full precision; nothing where a value is not available. */
static void add_csv_number(struct text *out, double value)
{
    if (isfinite(value))
        text_addf(out, ",%.17g", value == 0 ? 0.0 : value);
    else
        text_add(out, ",");
}

static void add_csv_text(struct text *out, const char *string)
{
    text_add(out, ",");
    escape_csv(out, string);
}

/* The column name that the program reads back: name and unit, "density_kg_m3"; US units likewise, "density_lb_ft3". */
static void add_csv_heading(struct text *out, enum property property, bool us)
{
    const struct property_row *row = property_row(property);
    if (!us) {
        text_addf(out, ",%s", row->json_key);
        return;
    }
    text_addf(out, ",%s_", row->name);
    const char *unit = strcmp(row->us_unit, "%") == 0 ? "pct" : row->us_unit;
    for (; *unit; unit++)
        text_add_bytes(out, *unit == '/' ? "_" : unit, 1);
}

enum status answer_results_csv(const struct specimen_set *set, bool us, struct text *out)
{
    text_add(out, "specimen,mix,batch,aggregate,aggregate_fraction,age_days,moisture");
    for (enum property p = 0; p < PROPERTY_COUNT; p++)
        add_csv_heading(out, p, us);
    text_add(out, ",flags,file,line\n");
    for (size_t i = 0; i < set->n && !out->failed; i++) {
        char flags[WORDS_MAX];
        words_flags(set->flags[i], flags);
        escape_csv(out, specimen_set_id(set, i));
        add_csv_text(out, mix_of(set, i)->name);
        add_csv_text(out, batch_of(set, i));
        add_csv_text(out, words_aggregate(set, mix_of(set, i)->aggregate));
        add_csv_number(out, mix_of(set, i)->aggregate_fraction);
        add_csv_number(out, age_of(set, i));
        add_csv_text(out, moisture_of(set, i));
        for (enum property p = 0; p < PROPERTY_COUNT; p++)
            add_csv_number(out, words_shown(p, specimen_set_value(set, i, p), us));
        add_csv_text(out, flags);
        add_csv_text(out, set->file ? set->paths[set->file[i]] : "");
        text_addf(out, ",%u\n", (unsigned)set->line[i]);
    }
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}
