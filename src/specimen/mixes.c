#include "specimen/mixes.h"

#include "base/memory.h"
#include "base/text.h"
#include "specimen/file_rules.h"
#include "specimen/quantity.h"
#include "specimen/recipe_file.h"

#include <math.h>
#include <stddef.h>

enum mix_column {
    MIX_NAME, MIX_AGGREGATE, MIX_BINDER, MIX_BINDER_PARTS, MIX_LIGHT_PARTS, MIX_SAND_PARTS, MIX_GRAVEL_PARTS,
    MIX_WATER_BINDER, MIX_FIBRE, MIX_PIGMENT, MIX_PIGMENT_NAME, MIX_YIELD, MIX_NOTE, MIX_COLUMNS
};

const struct column_rule mix_rules[MIX_COLUMNS] = {
    [MIX_NAME] = { "mix", CELL_TEXT, NULL, false, false },
    [MIX_AGGREGATE] = { "aggregate", CELL_TEXT, NULL, false, false },
    [MIX_BINDER] = { "binder", CELL_TEXT, NULL, false, false },
    [MIX_BINDER_PARTS] = { "binder_parts", CELL_NUMBER, NULL, false, false },
    [MIX_LIGHT_PARTS] = { "light_parts", CELL_NUMBER, NULL, false, false },
    [MIX_SAND_PARTS] = { "sand_parts", CELL_NUMBER, NULL, false, false },
    [MIX_GRAVEL_PARTS] = { "gravel_parts", CELL_NUMBER, NULL, false, false },
    [MIX_WATER_BINDER] = { "water_binder", CELL_NUMBER, NULL, false, false },
    [MIX_FIBRE] = { "fibre", CELL_NUMBER, units_dose, false, false },
    [MIX_PIGMENT] = { "pigment", CELL_NUMBER, units_percent, false, false },
    [MIX_PIGMENT_NAME] = { "pigment_name", CELL_TEXT, NULL, false, false },
    [MIX_YIELD] = { "yield", CELL_NUMBER, NULL, false, false },
    [MIX_NOTE] = { "note", CELL_TEXT, NULL, false, true },
};

const size_t n_mix_rules = MIX_COLUMNS;

static bool take_texts(struct recipe_file *file, const struct row *row, struct mix *mix)
{
    return recipe_text(file, row, MIX_NAME, &mix->name) && recipe_text(file, row, MIX_AGGREGATE, &mix->aggregate)
        && recipe_text(file, row, MIX_BINDER, &mix->binder) && recipe_text(file, row, MIX_PIGMENT_NAME, &mix->pigment_name);
}

/* All numbers are read, so that all that is wrong is told at once. */
static bool take_numbers(struct recipe_file *file, const struct row *row, struct mix *mix)
{
    const struct recipe_range part = { 0, 1000 }, ratio = { 0.05, 5 }, dose = { 0, 500 }, pigment = { 0, 50 }, yield = { 0.2, 2 };
    bool good = recipe_number(file, row, MIX_BINDER_PARTS, part, &mix->binder_parts);
    good = recipe_number(file, row, MIX_LIGHT_PARTS, part, &mix->light_parts) && good;
    good = recipe_number(file, row, MIX_SAND_PARTS, part, &mix->sand_parts) && good;
    good = recipe_number(file, row, MIX_GRAVEL_PARTS, part, &mix->gravel_parts) && good;
    good = recipe_number(file, row, MIX_WATER_BINDER, ratio, &mix->water_binder) && good;
    good = recipe_number(file, row, MIX_FIBRE, dose, &mix->fibre_kg_m3) && good;
    good = recipe_number(file, row, MIX_PIGMENT, pigment, &mix->pigment_pct) && good;
    return recipe_number(file, row, MIX_YIELD, yield, &mix->yield) && good;
}

static void mix_release(struct mix *mix)
{
    memory_free(mix->name);
    memory_free(mix->aggregate);
    memory_free(mix->binder);
    memory_free(mix->pigment_name);
    *mix = (struct mix){ 0 };
}

static enum status take_mix(struct recipe_file *file, const struct row *row, void *list_pointer)
{
    struct mix_list *list = list_pointer;
    struct mix mix = { .line = row->line };
    void *items = list->items;
    bool kept = take_texts(file, row, &mix) && memory_reserve(&items, &file->capacity, list->n_items + 1, sizeof *list->items);
    list->items = items;
    if (!kept) {
        mix_release(&mix);
        return recipe_memory_out(file, row);
    }
    const struct mix *same = mix_list_find(list, mix.name);
    bool good = take_numbers(file, row, &mix);
    good = recipe_name_good(file, row, MIX_NAME, mix.name, same ? same->line : 0) && good;
    if (!good) {
        mix_release(&mix);
        return STATUS_OK;
    }
    list->items[list->n_items++] = mix;
    return STATUS_OK;
}

enum status mix_list_read(const char *path, const struct column_map *maps, size_t n_maps,
                          struct mix_list *list, struct problem_list *problems)
{
    struct recipe_file file = { .path = path, .rules = mix_rules, .n_rules = MIX_COLUMNS, .maps = maps, .n_maps = n_maps,
                                .required = MIX_NAME, .problems = problems, .take = take_mix, .list = list };
    *list = (struct mix_list){ 0 };
    enum status status = recipe_file_read(&file, &list->path);
    if (status != STATUS_OK)
        mix_list_release(list);
    return status;
}

void mix_list_release(struct mix_list *list)
{
    for (size_t i = 0; i < list->n_items; i++)
        mix_release(&list->items[i]);
    memory_free(list->items);
    memory_free(list->path);
    *list = (struct mix_list){ 0 };
}

double mix_aggregate_fraction(const struct mix *mix)
{
    /* A part whose column or cell is empty is not in the mix; the binder and the light part must be told. */
    double sand = isnan(mix->sand_parts) ? 0 : mix->sand_parts, gravel = isnan(mix->gravel_parts) ? 0 : mix->gravel_parts;
    double all = mix->binder_parts + mix->light_parts + sand + gravel;
    return all > 0 ? mix->light_parts / all : NAN;
}

const char *mix_list_nearest(const struct mix_list *list, const char *name)
{
    const char **names = memory_new(list->n_items, sizeof *names);
    for (size_t i = 0; names && i < list->n_items; i++)
        names[i] = list->items[i].name;
    const char *near = names ? text_nearest(name, names, list->n_items) : NULL;
    memory_free((void *)names);
    return near;
}

const struct mix *mix_list_find(const struct mix_list *list, const char *name)
{
    return recipe_find(list->items, list->n_items, sizeof *list->items, offsetof(struct mix, name), name);
}
