#include "output/chart.h"

#include "base/file.h"
#include "base/memory.h"
#include "output/chart_builders.h"
#include "output/chart_draw.h"
#include "output/load.h"

#include <stdio.h>
#include <string.h>

struct chart_row { const char *name; chart_builder *build; };

static const struct chart_row chart_table[] = {
    { "strength-against-density", chart_trade_off },
    { "cost-against-density", chart_cost },
    { "candidates", chart_candidates },
    { "fraction-spread", chart_spread },
    { "sensitivity", chart_sensitivity },
    { "percent-lighter", chart_percent_lighter },
    { "strength-with-age", chart_age_growth },
    { "drying", chart_drying_curves },
    { "batches-within-mixes", chart_batches },
    { "control", chart_control },
    { "residuals", chart_residuals },
};

enum { CHARTS_OF_TABLE = sizeof chart_table / sizeof chart_table[0], CHART_NAMES = CHARTS_OF_TABLE + PROPERTY_COUNT + 1 };

static void property_by_fraction(enum property property, char out[64])
{
    snprintf(out, 64, "%s-by-fraction", property_row(property)->name);
    for (; *out; out++)
        if (*out == '_')
            *out = '-';
}

bool chart_known(const char *name, const char **near)
{
    const char *names[CHART_NAMES] = { "strength-by-fraction" };
    char by_fraction[PROPERTY_COUNT][64];
    for (size_t i = 0; i < CHARTS_OF_TABLE; i++)
        names[1 + i] = chart_table[i].name;
    for (enum property p = 0; p < PROPERTY_COUNT; p++) {
        property_by_fraction(p, by_fraction[p]);
        names[1 + CHARTS_OF_TABLE + p] = by_fraction[p];
    }
    for (size_t i = 0; i < CHART_NAMES; i++)
        if (strcmp(names[i], name) == 0)
            return true;
    *near = text_nearest(name, names, CHARTS_OF_TABLE + 1); /* names that outlive this call */
    return false;
}

static struct chart *chart_list_add(struct chart_list *charts, const char *name)
{
    void *items = charts->items;
    if (!memory_reserve(&items, &charts->capacity, charts->n_items + 1, sizeof *charts->items))
        return NULL;
    charts->items = items;
    struct chart *chart = &charts->items[charts->n_items++];
    *chart = (struct chart){ 0 };
    snprintf(chart->name, sizeof chart->name, "%s", name);
    return chart;
}

/* Where the scripts go. */
struct script_folder { const char *path; struct file_batch batch; };

/* Writes the script when there is one; a chart that the answer does not support leaves the list again. */
static enum status finish_script(enum status built, struct drawing *drawing, struct script_folder *folder,
                                 struct chart_list *charts, struct problem *problem)
{
    char path[LOAD_PATH];
    enum status status = built;
    if (built == STATUS_OK) {
        status = load_path(folder->path, charts->items[charts->n_items - 1].name, ".gp", path, problem);
        if (status == STATUS_OK)
            status = file_batch_add(&folder->batch, path, drawing->script.bytes, drawing->script.length, problem);
    } else if (built == STATUS_MEMORY) {
        problem_set(problem, STATUS_MEMORY, NULL, "no memory left to make the charts");
    }
    if (status != STATUS_OK)
        charts->n_items--;
    drawing_release(drawing);
    return status == STATUS_ANSWER_NO ? STATUS_OK : status;
}

/* "strength-by-fraction" for the strength that is decided on, "flexural-strength-by-fraction" for others. */
static void fraction_name(const struct chart_source *source, enum property property, char out[64])
{
    if (property == chart_strength(source))
        snprintf(out, 64, "strength-by-fraction");
    else
        property_by_fraction(property, out);
}

static bool has_curves(const struct recommendation *answer, enum property property)
{
    for (size_t i = 0; i < answer->n_curves; i++)
        if (answer->curves[i].curves[0].property == property)
            return true;
    return false;
}

static bool is_wanted(const struct chart_source *source, const char *name)
{
    for (size_t i = 0; i < source->n_wanted; i++)
        if (strcmp(source->wanted[i], name) == 0)
            return true;
    return source->n_wanted == 0;
}

static enum status write_fraction(const struct chart_source *source, enum property property, struct script_folder *folder,
                                  struct chart_list *charts, struct problem *problem)
{
    char name[64];
    struct drawing drawing = drawing_on(source->columns);
    if (property == PROPERTY_COUNT || !has_curves(source->answer, property))
        return STATUS_OK;
    fraction_name(source, property, name);
    if (!is_wanted(source, name))
        return STATUS_OK;
    struct chart *chart = chart_list_add(charts, name);
    if (!chart)
        return problem_set(problem, STATUS_MEMORY, NULL, "no memory left to make the charts");
    return finish_script(chart_by_fraction(source, property, chart, &drawing), &drawing, folder, charts, problem);
}

static enum status add_scripts(const struct chart_source *source, struct script_folder *folder, struct chart_list *charts, struct problem *problem)
{
    enum property strength = chart_strength(source);
    enum status status = write_fraction(source, strength, folder, charts, problem);
    for (enum property p = 0; status == STATUS_OK && p < PROPERTY_COUNT; p++)
        if (p != strength)
            status = write_fraction(source, p, folder, charts, problem);
    for (size_t i = 0; status == STATUS_OK && i < CHARTS_OF_TABLE; i++) {
        struct drawing drawing = drawing_on(source->columns);
        if (!is_wanted(source, chart_table[i].name))
            continue;
        struct chart *chart = chart_list_add(charts, chart_table[i].name);
        if (!chart)
            return problem_set(problem, STATUS_MEMORY, NULL, "no memory left to make the charts");
        status = finish_script(chart_table[i].build(source, chart, &drawing), &drawing, folder, charts, problem);
    }
    return status;
}

static enum status write_scripts(const struct chart_source *source, const char *folder, struct chart_list *charts, struct problem *problem)
{
    struct script_folder scripts = { .path = folder };
    enum status status = add_scripts(source, &scripts, charts, problem);
    if (status == STATUS_OK)
        return file_batch_finish(&scripts.batch, problem);
    file_batch_drop(&scripts.batch);
    return status;
}

enum status chart_write_all(const struct chart_source *source, unsigned formats, const char *folder,
                            struct chart_list *charts, struct problem *problem)
{
    *charts = (struct chart_list){ 0 };
    enum status status = file_make_folder(folder, problem);
    if (status == STATUS_OK)
        status = write_scripts(source, folder, charts, problem);
    if (status == STATUS_OK && formats != 0)
        status = chart_draw_all(charts, formats, folder, problem);
    return status;
}

void chart_list_release(struct chart_list *charts)
{
    memory_free(charts->items);
    *charts = (struct chart_list){ 0 };
}
