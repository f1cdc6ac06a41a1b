#include "output/answer.h"

#include "base/number.h"
#include "output/results_json.h"
#include "output/table.h"

#include <math.h>

/* ASTM C642 prints 0.1 % and 0.01 g/cm3, in SI units alone. */
#define PERCENT_STEP 0.1
#define DENSITY_STEP 0.01
#define G_CM3 1000.0

enum { CELL = 64 };

/* Absorption after immersion and voids are properties; a specimen counts here when it was boiled too. */
static bool is_soaked(const struct specimen_set *set, size_t i)
{
    return !isnan(specimen_set_further(set, i, FURTHER_ABSORPTION_BOILED)) || !isnan(specimen_set_further(set, i, FURTHER_BULK_BOILED));
}

static void cell(struct table *table, double value, double step)
{
    char shown[CELL];
    number_show(value, step, "-", shown, sizeof shown);
    table_cell(table, shown);
}

static void add_row(const struct specimen_set *set, size_t i, struct table *table)
{
    struct name_room room;
    table_cell(table, specimen_set_id(set, i, &room));
    cell(table, specimen_set_value(set, i, PROPERTY_ABSORPTION), PERCENT_STEP);
    cell(table, specimen_set_further(set, i, FURTHER_ABSORPTION_BOILED), PERCENT_STEP);
    for (enum further f = FURTHER_BULK_DRY; f <= FURTHER_APPARENT; f++)
        cell(table, specimen_set_further(set, i, f) / G_CM3, DENSITY_STEP);
    cell(table, specimen_set_value(set, i, PROPERTY_VOIDS), PERCENT_STEP);
}

enum status answer_soaked_table(const struct specimen_set *set, struct text *out)
{
    struct table table = { 0 };
    table_column(&table, "specimen", false);
    table_column(&table, "absorption %", true);
    table_column(&table, "boiled %", true);
    table_column(&table, "dry g/cm3", true);
    table_column(&table, "immersed", true);
    table_column(&table, "boiled", true);
    table_column(&table, "apparent", true);
    table_column(&table, "voids %", true);
    for (size_t i = 0; i < set->n; i++)
        if (is_soaked(set, i))
            add_row(set, i, &table);
    if (table.n_cells > 0 || table.failed) {
        text_add(out, "\nSoaked and boiled (ASTM C642)\n");
        table_show(&table, out);
    }
    table_release(&table);
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}

static enum status add_json(const struct specimen_set *set, size_t i, struct text *out)
{
    struct json_build build;
    struct name_room room;
    json_build_start(&build);
    json_put_text(&build, build.root, "specimen", specimen_set_id(set, i, &room));
    json_put_count(&build, build.root, "line", specimen_set_line(set, i));
    json_put_number(&build, build.root, "absorption_pct", specimen_set_value(set, i, PROPERTY_ABSORPTION));
    for (enum further f = FURTHER_ABSORPTION_BOILED; f < FURTHER_COUNT; f++)
        json_put_number(&build, build.root, further_row(f)->json_key, specimen_set_further(set, i, f));
    json_put_number(&build, build.root, "voids_pct", specimen_set_value(set, i, PROPERTY_VOIDS));
    return json_build_line(&build, out);
}

enum status soaked_json_array(const struct specimen_set *set, struct text *out)
{
    size_t n = 0;
    text_add(out, "[");
    for (size_t i = 0; i < set->n; i++) {
        if (!is_soaked(set, i))
            continue;
        text_add(out, n++ ? ",\n" : "\n");
        enum status status = add_json(set, i, out);
        if (status != STATUS_OK)
            return status;
    }
    text_add(out, n ? "\n]" : "]");
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}
