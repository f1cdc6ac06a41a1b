#include "output/answer_drying.h"

#include "base/number.h"
#include "output/drying_json.h"
#include "output/escape.h"
#include "output/table.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define PAGE_WIDTH 96

enum { CELL = 64 };

static double last_kg(const struct weighing_series *series)
{
    return series->items[series->n_items - 1].mass_kg;
}

static double span_hours(const struct weighing_series *series)
{
    return series->items[series->n_items - 1].hours - series->items[0].hours;
}

static const char *rule_word(const struct drying_result *result)
{
    return result->rule == &drying_rule_oven ? "oven" : "air";
}

/* Whether the state can be told: nothing when there is no pair of weighings to compare. */
static bool is_told(const struct drying_result *result)
{
    return result->judged && result->state.comparable;
}

static double constant_since_hours(const struct drying_result *result)
{
    const struct weighing *items = result->series->items;
    return is_told(result) && result->state.constant ? items[result->state.since].hours - items[0].hours : NAN;
}

/* ---- the table ---- */

static void mass_cell(struct table *table, double mass_kg, bool us)
{
    char cell[CELL];
    const struct unit *unit = unit_find(units_mass, us ? "lb" : "g");
    number_show_significant(mass_kg / unit->factor, 5, cell, sizeof cell);
    table_cell(table, cell);
}

static void constant_cell(struct table *table, const struct drying_result *result)
{
    if (!result->judged)
        table_cell(table, "-");
    else if (!result->state.comparable)
        table_cellf(table, "under %g h", result->rule->interval_hours);
    else if (result->state.constant)
        table_cellf(table, "since %.4g h", constant_since_hours(result));
    else
        table_cell(table, "no");
}

static void change_cell(struct table *table, const struct drying_result *result)
{
    char change[CELL];
    if (!is_told(result)) {
        table_cell(table, "-");
        return;
    }
    number_show(result->state.change_pct, 0.01, "-", change, sizeof change);
    table_cellf(table, "%s in %.4g h", change, result->state.hours_apart);
}

static void limits_cell(struct table *table, const struct drying_result *result, bool us)
{
    char lower[CELL], upper[CELL];
    const struct unit *unit = unit_find(units_mass, us ? "lb" : "g");
    if (!result->fitted) {
        table_cell(table, "-");
        return;
    }
    number_show_significant(result->fit.limit_lower / unit->factor, 5, lower, sizeof lower);
    number_show_significant(result->fit.limit_upper / unit->factor, 5, upper, sizeof upper);
    table_cellf(table, "%s to %s", lower, upper);
}

static void add_row(struct table *table, const struct drying_result *result, bool us)
{
    char cell[CELL];
    table_cell(table, result->series->specimen);
    table_cell(table, rule_word(result));
    if (result->series->n_items > 1)
        table_cellf(table, "%zu in %.4g h", result->series->n_items, span_hours(result->series));
    else
        table_cell(table, "once");
    mass_cell(table, last_kg(result->series), us);
    change_cell(table, result);
    constant_cell(table, result);
    mass_cell(table, result->fitted ? result->fit.limit : NAN, us);
    limits_cell(table, result, us);
    number_show(result->to_lose_pct, 0.1, "-", cell, sizeof cell);
    table_cell(table, cell);
}

static void add_reasons(const struct drying_study *study, struct text *out)
{
    struct text line = { 0 };
    for (size_t i = 0; i < study->n_items; i++) {
        const struct drying_result *result = &study->items[i];
        if (result->fitted)
            continue;
        text_clear(&line);
        text_addf(&line, "%.60s: %s", result->series->specimen, result->why_not);
        table_wrap(out, line.bytes ? line.bytes : "", 2, PAGE_WIDTH);
    }
    out->failed |= line.failed;
    text_release(&line);
}

static void fill(const struct drying_study *study, bool us, char limits[CELL], struct table *table)
{
    snprintf(limits, CELL, "%g %% sure", 100 * study->confidence);
    table_column(table, "specimen", false);
    table_column(table, "dried in", false);
    table_column(table, "weighed", true);
    table_column(table, us ? "last lb" : "last g", true);
    table_column(table, "change %", true);
    table_column(table, "constant", false);
    table_column(table, us ? "ends at lb" : "ends at g", true);
    table_column(table, limits, true);
    table_column(table, "to lose %", true);
    for (size_t i = 0; i < study->n_items; i++)
        add_row(table, &study->items[i], us);
}

enum status answer_drying_table(const struct drying_study *study, bool us, struct text *out)
{
    char limits[CELL];
    struct table table = { 0 };
    fill(study, us, limits, &table);
    text_add(out, "\nDrying\n");
    table_show(&table, out);
    add_reasons(study, out);
    table_release(&table);
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}

enum status answer_drying_markdown(const struct drying_study *study, bool us, struct text *out)
{
    char limits[CELL];
    struct table table = { 0 };
    fill(study, us, limits, &table);
    text_add(out, "\n### Drying\n\n");
    table_show_markdown(&table, out);
    table_release(&table);
    for (size_t i = 0; i < study->n_items; i++)
        if (!study->items[i].fitted) {
            text_add(out, "- ");
            escape_markdown_line(out, study->items[i].series->specimen);
            text_add(out, ": ");
            escape_markdown(out, study->items[i].why_not);
            text_add(out, "\n");
        }
    text_add(out, "\n");
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}

/* ---- JSON ---- */

void drying_json_put(struct json_build *build, json_t *object, const struct drying_result *result, double confidence)
{
    const struct weighing_series *series = result->series;
    bool told = is_told(result);
    json_put_text(build, object, "specimen", series->specimen);
    json_put_count(build, object, "line", series->line);
    json_put_text(build, object, "dried_in", rule_word(result));
    json_put_count(build, object, "n_weighings", series->n_items);
    json_put_number(build, object, "hours", span_hours(series));
    json_put_number(build, object, "last_mass_kg", last_kg(series));
    json_put_number(build, object, "change_pct", told ? result->state.change_pct : NAN);
    json_put_number(build, object, "change_hours", told ? result->state.hours_apart : NAN);
    if (told)
        json_put_bool(build, object, "constant", result->state.constant);
    else
        json_put_text(build, object, "constant", NULL);
    json_put_number(build, object, "constant_since_hours", constant_since_hours(result));
    json_t *end = json_put_object(build, object, "equilibrium_mass_kg");
    json_put_number(build, end, "estimate", result->fitted ? result->fit.limit : NAN);
    json_put_number(build, end, "lower", result->fitted ? result->fit.limit_lower : NAN);
    json_put_number(build, end, "upper", result->fitted ? result->fit.limit_upper : NAN);
    json_put_number(build, object, "confidence", confidence);
    json_put_number(build, object, "time_constant_hours", result->fitted ? result->fit.time_constant : NAN);
    json_put_number(build, object, "residual_sd_kg", result->fitted ? result->fit.residual_sd : NAN);
    json_put_number(build, object, "to_lose_pct", result->to_lose_pct);
    json_put_text(build, object, "why_not", result->why_not);
}

enum status drying_json_array(const struct drying_study *study, struct text *out)
{
    text_add(out, study ? "[" : "null");
    for (size_t i = 0; study && i < study->n_items; i++) {
        struct json_build build;
        json_build_start(&build);
        drying_json_put(&build, build.root, &study->items[i], study->confidence);
        text_add(out, i ? ",\n" : "\n");
        enum status status = json_build_line(&build, out);
        if (status != STATUS_OK)
            return status;
    }
    text_add(out, study ? "\n]" : "");
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}
