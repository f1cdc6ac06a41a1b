#include "output/chart.h"

#include "base/file.h"
#include "base/memory.h"
#include "base/tasks.h"
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

static bool chart_list_add(struct chart_list *charts, const struct chart *chart)
{
    void *items = charts->items;
    if (!memory_reserve(&items, &charts->capacity, charts->n_items + 1, sizeof *charts->items))
        return false;
    charts->items = items;
    charts->items[charts->n_items++] = *chart;
    return true;
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

/* A chart on its way: made apart from all others. */
struct draft {
    chart_builder *build;      /* NULL: property by fraction */
    enum property property;
    struct chart chart;
    struct drawing drawing;
    enum status status;        /* STATUS_ANSWER_NO: the answer does not support it */
};

enum { DRAFTS_MAX = CHARTS_OF_TABLE + PROPERTY_COUNT, DRAFTS_WORTH_HELP = 4 };

struct drafts { const struct chart_source *source; struct draft items[DRAFTS_MAX]; size_t n_items; };

static void list_draft(struct drafts *drafts, const char *name, enum property property, chart_builder *build)
{
    if (!is_wanted(drafts->source, name))
        return;
    struct draft *draft = &drafts->items[drafts->n_items++];
    *draft = (struct draft){ .build = build, .property = property, .drawing = drawing_on(drafts->source->columns) };
    snprintf(draft->chart.name, sizeof draft->chart.name, "%s", name);
}

static void list_fraction(struct drafts *drafts, enum property property)
{
    char name[64];
    if (property == PROPERTY_COUNT || !has_curves(drafts->source->answer, property))
        return;
    fraction_name(drafts->source, property, name);
    list_draft(drafts, name, property, NULL);
}

static void list_all(struct drafts *drafts)
{
    enum property strength = chart_strength(drafts->source);
    list_fraction(drafts, strength);
    for (enum property p = 0; p < PROPERTY_COUNT; p++)
        if (p != strength)
            list_fraction(drafts, p);
    for (size_t i = 0; i < CHARTS_OF_TABLE; i++)
        list_draft(drafts, chart_table[i].name, PROPERTY_COUNT, chart_table[i].build);
}

static void build_draft(void *context, size_t i)
{
    struct drafts *drafts = context;
    struct draft *draft = &drafts->items[i];
    draft->status = draft->build ? draft->build(drafts->source, &draft->chart, &draft->drawing)
                                 : chart_by_fraction(drafts->source, draft->property, &draft->chart, &draft->drawing);
}

/* Adds the script of a chart that was made. */
static enum status add_script(const struct draft *draft, const char *folder, struct file_batch *scripts, struct chart_list *charts,
                              struct problem *problem)
{
    char path[LOAD_PATH];
    if (draft->status == STATUS_ANSWER_NO)
        return STATUS_OK;
    if (draft->status != STATUS_OK || !chart_list_add(charts, &draft->chart))
        return problem_set(problem, STATUS_MEMORY, NULL, "no memory left to make the charts");
    enum status status = load_path(folder, draft->chart.name, ".gp", path, problem);
    if (status == STATUS_OK)
        status = file_batch_add(scripts, path, draft->drawing.script.bytes, draft->drawing.script.length, problem);
    if (status != STATUS_OK)
        charts->n_items--;
    return status;
}

static enum status write_scripts(const struct chart_source *source, const char *folder, struct chart_list *charts, struct problem *problem)
{
    struct drafts drafts = { .source = source };
    struct file_batch scripts = { 0 };
    enum status status = STATUS_OK;
    list_all(&drafts);
    tasks_run(drafts.n_items, drafts.n_items >= DRAFTS_WORTH_HELP, build_draft, &drafts);
    for (size_t i = 0; i < drafts.n_items; i++) {
        if (status == STATUS_OK)
            status = add_script(&drafts.items[i], folder, &scripts, charts, problem);
        drawing_release(&drafts.items[i].drawing);
    }
    if (status == STATUS_OK)
        return file_batch_finish(&scripts, problem);
    file_batch_drop(&scripts);
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
