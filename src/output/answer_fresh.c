#include "output/answer_fresh.h"

#include "base/number.h"
#include "output/results_json.h"
#include "output/table.h"
#include "output/words.h"

#include <math.h>
#include <stdio.h>

#define PAGE_WIDTH 96
#define L_PER_M3 1000.0

enum { CELL = 64 };

/* The mix as the file names it, else that of the batch. */
static const char *mix_of(const struct fresh_batch *batch, const struct specimen_set *set)
{
    return batch->mix[0] ? batch->mix : words_mix(set, batch->set_mix);
}

static void cell(struct table *table, double value, double step)
{
    char shown[CELL];
    number_show(value, step, "-", shown, sizeof shown);
    table_cell(table, shown);
}

/* ASTM C138: 1 kg/m3 or 0.1 lb/ft3. */
static void density_cell(struct table *table, double kg_m3, bool us)
{
    cell(table, kg_m3 / unit_find(units_density, us ? "lb/ft3" : "kg/m3")->factor, us ? 0.1 : 1);
}

static void yield_cell(struct table *table, double m3, bool us)
{
    char shown[CELL];
    number_show_significant(m3 * L_PER_M3 / unit_find(units_volume, us ? "ft3" : "L")->factor, 4, shown, sizeof shown);
    table_cell(table, shown);
}

static void air_cell(struct table *table, const struct fresh_batch *batch)
{
    char shown[CELL];
    number_show(batch->air_pct, 0.1, "-", shown, sizeof shown);
    table_cellf(table, "%s%s", shown, batch->air_doubtful && !isnan(batch->air_pct) ? " ?" : "");
}

static void fill(const struct fresh_list *fresh, bool us, struct table *table)
{
    table_column(table, "batch", false);
    table_column(table, "mix", false);
    table_column(table, us ? "density lb/ft3" : "density kg/m3", true);
    table_column(table, us ? "yield ft3" : "yield L", true);
    table_column(table, "relative", true);
    table_column(table, us ? "cement lb/yd3" : "cement kg/m3", true);
    table_column(table, "air %", true);
    table_column(table, "air measured %", true);
    table_column(table, us ? "oven-dry lb/ft3" : "oven-dry kg/m3", true);
    for (size_t i = 0; i < fresh->n_items; i++) {
        const struct fresh_batch *batch = &fresh->items[i];
        table_cell(table, batch->batch);
        table_cell(table, mix_of(batch, fresh->set));
        density_cell(table, batch->density_kg_m3, us);
        yield_cell(table, batch->yield_m3, us);
        cell(table, batch->relative_yield, 0.01);
        cell(table, batch->cement_content_kg_m3 / unit_find(units_dose, us ? "lb/yd3" : "kg/m3")->factor, 1);
        air_cell(table, batch);
        cell(table, batch->air_measured_pct, 0.1);
        density_cell(table, batch->oven_dry_kg_m3, us);
    }
}

static bool any_doubtful(const struct fresh_list *fresh)
{
    for (size_t i = 0; i < fresh->n_items; i++)
        if (fresh->items[i].air_doubtful && !isnan(fresh->items[i].air_pct))
            return true;
    return false;
}

static const char doubtful_explained[] =
    "?: air by weighing is not to be relied on where light aggregate drinks water, since nobody knows how much of the water the grains hold: "
    "measure it by volume (ASTM C173)";

enum status answer_fresh_table(const struct fresh_list *fresh, bool us, struct text *out)
{
    struct table table = { 0 };
    fill(fresh, us, &table);
    text_add(out, "\nFresh concrete\n");
    table_show(&table, out);
    if (any_doubtful(fresh))
        table_wrap(out, doubtful_explained, 2, PAGE_WIDTH);
    table_release(&table);
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}

enum status answer_fresh_markdown(const struct fresh_list *fresh, bool us, struct text *out)
{
    struct table table = { 0 };
    fill(fresh, us, &table);
    text_add(out, "\n### Fresh concrete\n\n");
    table_show_markdown(&table, out);
    if (any_doubtful(fresh))
        text_addf(out, "- %s\n\n", doubtful_explained);
    table_release(&table);
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}

static void put_batch(struct json_build *build, json_t *root, const struct fresh_batch *batch, const struct specimen_set *set)
{
    json_put_text(build, root, "batch", batch->batch);
    json_put_text(build, root, "mix", mix_of(batch, set));
    json_put_count(build, root, "line", batch->line);
    json_put_number(build, root, "fresh_density_kg_m3", batch->density_kg_m3);
    json_put_number(build, root, "yield_m3", batch->yield_m3);
    json_put_number(build, root, "relative_yield", batch->relative_yield);
    json_put_number(build, root, "cement_content_kg_m3", batch->cement_content_kg_m3);
    json_put_number(build, root, "air_pct", batch->air_pct);
    json_put_bool(build, root, "air_doubtful", batch->air_doubtful);
    json_put_number(build, root, "air_measured_pct", batch->air_measured_pct);
    json_put_number(build, root, "oven_dry_calculated_kg_m3", batch->oven_dry_kg_m3);
}

void fresh_put(struct json_build *build, json_t *object, const struct fresh_list *fresh)
{
    if (fresh == NULL)
        json_put_text(build, object, "fresh", NULL);
    json_t *array = fresh ? json_put_array(build, object, "fresh") : NULL;
    for (size_t i = 0; fresh && i < fresh->n_items; i++)
        put_batch(build, json_append_object(build, array), &fresh->items[i], fresh->set);
}

enum status fresh_json_array(const struct fresh_list *fresh, struct text *out)
{
    text_add(out, fresh ? "[" : "null");
    for (size_t i = 0; fresh && i < fresh->n_items; i++) {
        struct json_build build;
        json_build_start(&build);
        put_batch(&build, build.root, &fresh->items[i], fresh->set);
        text_add(out, i ? ",\n" : "\n");
        enum status status = json_build_line(&build, out);
        if (status != STATUS_OK)
            return status;
    }
    text_add(out, fresh ? "\n]" : "");
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}
