#include "base/number.h"
#include "output/answer.h"
#include "output/drying_json.h"
#include "output/escape.h"
#include "output/json_build.h"
#include "output/results_json.h"
#include "output/table.h"
#include "output/trials_json.h"
#include "output/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static bool has_property(const struct specimen_set *set, enum property property)
{
    return set->value[property] != NULL;
}

/* "" when it is not known. */
static const char *moisture_of(const struct specimen_set *set, size_t i)
{
    enum moisture moisture = specimen_set_moisture(set, i);
    return moisture == MOISTURE_UNKNOWN ? "" : moisture_word(moisture);
}

static const struct set_mix *mix_of(const struct specimen_set *set, size_t i)
{
    return &set->mixes[specimen_set_mix(set, i)];
}

static const char *batch_of(const struct specimen_set *set, size_t i, struct name_room *room)
{
    return set->flags[i] & FLAG_BATCH_ASSUMED ? "" : specimen_set_batch_name(set, set->batch[i], room);
}

static void add_specimen_cells(const struct specimen_set *set, size_t i, bool us, struct table *table)
{
    char cell[WORDS_MAX];
    struct name_room room;
    table_cell(table, specimen_set_id(set, i, &room));
    table_cell(table, mix_of(set, i)->name);
    table_cell(table, batch_of(set, i, &room));
    table_cellf(table, isfinite(specimen_set_age(set, i)) ? "%.4g" : "-", specimen_set_age(set, i));
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

void answer_results_flags(const struct specimen_set *set, struct text *out)
{
    size_t counts[FLAG_KINDS];
    if (words_flag_counts(set, counts) == 0)
        return;
    text_add(out, "\nFlags, which never leave a specimen out\n");
    for (unsigned bit = 0; bit < FLAG_KINDS; bit++)
        if (counts[bit] > 0)
            text_addf(out, "  %s (%zu): %s\n", flag_word(1u << bit), counts[bit], flag_meaning(1u << bit));
}

static enum status add_specimen_json(const struct specimen_set *set, size_t i, struct text *out)
{
    struct json_build build;
    struct name_room room;
    json_build_start(&build);
    json_put_text(&build, build.root, "specimen", specimen_set_id(set, i, &room));
    json_put_text(&build, build.root, "mix", mix_of(set, i)->name);
    json_put_text(&build, build.root, "batch", batch_of(set, i, &room));
    json_put_text(&build, build.root, "aggregate", words_aggregate(set, mix_of(set, i)->aggregate));
    json_put_number(&build, build.root, "aggregate_fraction", mix_of(set, i)->aggregate_fraction);
    json_put_number(&build, build.root, "age_days", specimen_set_age(set, i));
    json_put_text(&build, build.root, "moisture", moisture_of(set, i));
    for (enum property p = 0; p < PROPERTY_COUNT; p++)
        json_put_number(&build, build.root, property_row(p)->json_key, specimen_set_value(set, i, p));
    json_put_number(&build, build.root, further_row(FURTHER_OVEN_DRY_DENSITY)->json_key, specimen_set_further(set, i, FURTHER_OVEN_DRY_DENSITY));
    json_t *flags = json_put_array(&build, build.root, "flags");
    for (unsigned bit = 0; bit < FLAG_KINDS; bit++)
        if (set->flags[i] & 1u << bit)
            json_append_text(&build, flags, flag_word(1u << bit));
    json_put_count(&build, build.root, "line", specimen_set_line(set, i));
    return json_build_line(&build, out);
}

/* Specimen by specimen, so that a lifetime of results needs no tree of them all in memory. */
enum status answer_results_json(const struct specimen_set *set, const struct results_beside *beside, struct text *out)
{
    text_add(out, "{\"specimens\":[");
    for (size_t i = 0; i < set->n; i++) {
        text_add(out, i ? ",\n" : "\n");
        enum status status = add_specimen_json(set, i, out);
        if (status != STATUS_OK)
            return status;
    }
    text_addf(out, "\n],\"set_aside\":%zu,\"soaked\":", set->n_set_aside);
    enum status status = soaked_json_array(set, out);
    text_add(out, ",\"mixes\":");
    if (status == STATUS_OK)
        status = classes_json_array(set, beside->classes, out);
    text_add(out, ",\"fresh\":");
    if (status == STATUS_OK)
        status = fresh_json_array(beside->fresh, out);
    text_add(out, ",\"drying\":");
    if (status == STATUS_OK)
        status = drying_json_array(beside->drying, out);
    text_add(out, ",\"trials\":");
    if (status == STATUS_OK)
        status = trials_json_array(set, beside->trials, out);
    text_add(out, "}\n");
    return status == STATUS_OK && out->failed ? STATUS_MEMORY : status;
}

/* Full precision; nothing where a value is not available. */
static void add_csv_number(struct text *out, double value)
{
    char digits[NUMBER_ALL_ROOM] = "";
    if (isfinite(value))
        number_show_all(value == 0 ? 0.0 : value, digits);
    text_add(out, ",");
    text_add(out, digits);
}

static void add_csv_text(struct text *out, const char *string)
{
    text_add(out, ",");
    escape_csv(out, string);
}

/* "density_kg_m3" is a JSON key too; in US units "density_lb_ft3". property has the unit. */
static void add_csv_heading(struct text *out, const char *json_key, enum property property, bool us)
{
    const char *unit = property_row(property)->us_unit;
    if (!us || strcmp(unit, "%") == 0) {
        text_addf(out, ",%s", json_key);
        return;
    }
    const char *si_unit = property_row(property)->si_unit;
    text_add(out, ",");
    text_add_bytes(out, json_key, strlen(json_key) - strlen(si_unit));
    for (; *unit; unit++)
        text_add_bytes(out, *unit == '/' ? "_" : unit, 1);
}

/* Further results stand at the end, and only those that some specimen has. */
static void add_further_headings(const struct specimen_set *set, bool us, struct text *out)
{
    for (enum further f = 0; f < FURTHER_COUNT; f++)
        if (set->further[f])
            add_csv_heading(out, further_row(f)->json_key, further_row(f)->like, us);
}

static void add_further_cells(const struct specimen_set *set, size_t i, bool us, struct text *out)
{
    for (enum further f = 0; f < FURTHER_COUNT; f++)
        if (set->further[f])
            add_csv_number(out, words_shown(further_row(f)->like, set->further[f][i], us));
}

enum status answer_results_csv(const struct specimen_set *set, bool us, struct text *out)
{
    text_add(out, "specimen,mix,batch,aggregate,aggregate_fraction,age_days,moisture");
    for (enum property p = 0; p < PROPERTY_COUNT; p++)
        add_csv_heading(out, property_row(p)->json_key, p, us);
    text_add(out, ",flags,file,line");
    add_further_headings(set, us, out);
    text_add(out, "\n");
    for (size_t i = 0; i < set->n && !out->failed; i++) {
        char flags[WORDS_MAX];
        struct name_room room;
        words_flags(set->flags[i], flags);
        escape_csv(out, specimen_set_id(set, i, &room));
        add_csv_text(out, mix_of(set, i)->name);
        add_csv_text(out, batch_of(set, i, &room));
        add_csv_text(out, words_aggregate(set, mix_of(set, i)->aggregate));
        add_csv_number(out, mix_of(set, i)->aggregate_fraction);
        add_csv_number(out, specimen_set_age(set, i));
        add_csv_text(out, moisture_of(set, i));
        for (enum property p = 0; p < PROPERTY_COUNT; p++)
            add_csv_number(out, words_shown(p, specimen_set_value(set, i, p), us));
        add_csv_text(out, flags);
        add_csv_text(out, set->n_paths > 0 ? set->paths[specimen_set_file(set, i)] : "");
        text_addf(out, ",%zu", specimen_set_line(set, i));
        add_further_cells(set, i, us, out);
        text_add(out, "\n");
    }
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}
