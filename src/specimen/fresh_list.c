#include "specimen/fresh_row.h"

#include "base/memory.h"
#include "base/utf8.h"
#include "specimen/file_rules.h"
#include "specimen/quantity.h"
#include "specimen/specimen_set_store.h"

#include <math.h>
#include <string.h>

#define L_PER_M3 1000.0

const struct column_rule fresh_rules[FRESH_RULES] = {
    [FRESH_BATCH] = { "batch", CELL_TEXT, NULL, false, false },
    [FRESH_MIX] = { "mix", CELL_TEXT, NULL, false, false },
    [FRESH_MASS_FULL] = { "mass_measure_full", CELL_NUMBER, units_mass, false, false },
    [FRESH_MASS_EMPTY] = { "mass_measure_empty", CELL_NUMBER, units_mass, false, false },
    [FRESH_MEASURE] = { "measure_volume", CELL_NUMBER, units_volume, false, false },
    [FRESH_BATCH_MASS] = { "batch_mass", CELL_NUMBER, units_mass, false, false },
    [FRESH_DESIGN] = { "design_volume", CELL_NUMBER, units_volume, false, false },
    [FRESH_AIR_FREE] = { "air_free_volume", CELL_NUMBER, units_volume, false, false },
    [FRESH_CEMENT] = { "cement_mass", CELL_NUMBER, units_mass, false, false },
    [FRESH_FINE] = { "fine_dry_mass", CELL_NUMBER, units_mass, false, false },
    [FRESH_COARSE] = { "coarse_dry_mass", CELL_NUMBER, units_mass, false, false },
    [FRESH_DENSITY] = { "fresh_density", CELL_NUMBER, units_density, false, false },
    [FRESH_AIR] = { "air", CELL_NUMBER, units_percent, false, false },
    [FRESH_NOTE] = { "note", CELL_TEXT, NULL, false, true },
};
const size_t n_fresh_rules = FRESH_RULES;

struct fresh_reader {
    struct fresh_list *list;
    size_t capacity;
};

/* A litre column as m3. */
static bool take_volume(struct recipe_file *file, const struct row *row, enum fresh_rule rule, double *m3)
{
    static const struct recipe_range litres = { 1e-3, 1e5 };
    bool good = recipe_number(file, row, rule, litres, m3);
    *m3 /= L_PER_M3;
    return good;
}

/* Aggregate of the one kind that the file has no column for is none; an empty cell is not known. */
static bool take_aggregates(struct recipe_file *file, const struct row *row, struct fresh_batch *batch)
{
    static const struct recipe_range mass = { 0, 1e5 };
    bool has_fine = file->bindings[FRESH_FINE].index >= 0, has_coarse = file->bindings[FRESH_COARSE].index >= 0;
    bool good = recipe_number(file, row, FRESH_FINE, mass, &batch->fine_dry_kg);
    good = recipe_number(file, row, FRESH_COARSE, mass, &batch->coarse_dry_kg) && good;
    if (has_coarse && !has_fine)
        batch->fine_dry_kg = 0;
    if (has_fine && !has_coarse)
        batch->coarse_dry_kg = 0;
    return good;
}

/* All numbers are read, so that all that is wrong is told at once. */
static bool take_numbers(struct recipe_file *file, const struct row *row, struct fresh_batch *batch)
{
    static const struct recipe_range mass = { 1e-3, 1e5 }, tared = { 0, 1e5 }, density = { 1, 9000 }, percent = { 0, 100 };
    bool good = recipe_number(file, row, FRESH_MASS_FULL, mass, &batch->mass_full_kg);
    good = recipe_number(file, row, FRESH_MASS_EMPTY, tared, &batch->mass_empty_kg) && good;
    good = take_volume(file, row, FRESH_MEASURE, &batch->measure_m3) && good;
    good = recipe_number(file, row, FRESH_BATCH_MASS, mass, &batch->batch_kg) && good;
    good = take_volume(file, row, FRESH_DESIGN, &batch->design_m3) && good;
    good = take_volume(file, row, FRESH_AIR_FREE, &batch->air_free_m3) && good;
    good = recipe_number(file, row, FRESH_CEMENT, mass, &batch->cement_kg) && good;
    good = take_aggregates(file, row, batch) && good;
    good = recipe_number(file, row, FRESH_DENSITY, density, &batch->density_kg_m3) && good;
    return recipe_number(file, row, FRESH_AIR, percent, &batch->air_measured_pct) && good;
}

static void fresh_batch_release(struct fresh_batch *batch)
{
    memory_free(batch->batch);
    memory_free(batch->mix);
    *batch = (struct fresh_batch){ 0 };
}

/* Line of the same batch of the same mix, or 0. */
static size_t line_of_same(const struct fresh_list *list, const struct fresh_batch *batch)
{
    for (size_t i = 0; i < list->n_items; i++)
        if (strcmp(list->items[i].batch, batch->batch) == 0 && strcmp(list->items[i].mix, batch->mix) == 0)
            return list->items[i].line;
    return 0;
}

/* The answer is in the units of the first mass, volume or density of the file. */
static bool first_unit_us(const struct recipe_file *file)
{
    const struct column_binding *first = NULL;
    for (size_t rule = FRESH_MASS_FULL; rule <= FRESH_DENSITY; rule++)
        if (file->bindings[rule].index >= 0 && (!first || file->bindings[rule].index < first->index))
            first = &file->bindings[rule];
    return first && first->unit->us;
}

static enum status take_batch(struct recipe_file *file, const struct row *row, void *context)
{
    struct fresh_reader *reader = context;
    struct fresh_list *list = reader->list;
    struct fresh_batch batch = { .line = row->line, .set_mix = FRESH_NOT_FOUND, .set_batch = FRESH_NOT_FOUND, .air_doubtful = true };
    void *items = list->items;
    bool kept = recipe_text(file, row, FRESH_BATCH, &batch.batch) && recipe_text(file, row, FRESH_MIX, &batch.mix)
        && memory_reserve(&items, &reader->capacity, list->n_items + 1, sizeof *list->items);
    list->items = items;
    if (!kept) {
        fresh_batch_release(&batch);
        return recipe_memory_out(file, row);
    }
    list->us_units = first_unit_us(file);
    bool good = recipe_name_good(file, row, FRESH_BATCH, batch.batch, line_of_same(list, &batch));
    good = take_numbers(file, row, &batch) && good;
    good = good && fresh_row_derive(file, row, &batch);
    if (good)
        list->items[list->n_items++] = batch;
    else
        fresh_batch_release(&batch);
    return STATUS_OK;
}

enum status fresh_list_read(const char *path, struct fresh_list *list, struct problem_list *problems)
{
    struct fresh_reader reader = { .list = list };
    struct recipe_file file = { .path = path, .rules = fresh_rules, .n_rules = FRESH_RULES, .required = FRESH_BATCH,
                                .problems = problems, .take = take_batch, .list = &reader };
    *list = (struct fresh_list){ 0 };
    enum status status = recipe_file_read(&file, &list->path);
    if (status != STATUS_OK)
        fresh_list_release(list);
    return status;
}

void fresh_list_release(struct fresh_list *list)
{
    for (size_t i = 0; i < list->n_items; i++)
        fresh_batch_release(&list->items[i]);
    memory_free(list->items);
    memory_free(list->path);
    *list = (struct fresh_list){ 0 };
}

/* ---- the batches of the specimens ---- */

static void find_mix(struct fresh_batch *batch, const struct specimen_set *set)
{
    for (uint32_t mix = 0; mix < set->n_mixes && batch->set_mix == FRESH_NOT_FOUND; mix++)
        if (strcmp(set->mixes[mix].name, batch->mix) == 0)
            batch->set_mix = mix;
}

/* The batch of this name, in its mix when that is told. False when several mixes have one. */
static bool find_batch(struct fresh_batch *batch, const struct specimen_set *set)
{
    const struct number_mark mark = number_mark_of(batch->batch);
    for (uint32_t i = 0; i < set->n_batches; i++) {
        const struct set_batch *there = &set->batches[i];
        if ((batch->mix[0] && there->mix != batch->set_mix) || !set_name_is(set->store, there->name, batch->batch, mark))
            continue;
        if (batch->set_batch != FRESH_NOT_FOUND)
            return false;
        batch->set_batch = i;
    }
    return true;
}

static void add_not_found(const struct fresh_list *list, const struct fresh_batch *batch, struct problem_list *problems)
{
    struct place place = { list->path, batch->line, "batch" };
    problem_list_add(problems, SEVERITY_NOTICE, STATUS_OK, &place, "no specimen that could be read is of batch '%.*s'%s%.*s%s",
                     (int)utf8_cut(batch->batch, 60), batch->batch, batch->mix[0] ? " of mix '" : "", (int)utf8_cut(batch->mix, 60),
                     batch->mix, batch->mix[0] ? "'" : "");
}

enum status fresh_list_match(struct fresh_list *list, const struct specimen_set *set, struct problem_list *problems)
{
    enum status status = STATUS_OK;
    list->set = set;
    for (size_t i = 0; i < list->n_items; i++) {
        struct fresh_batch *batch = &list->items[i];
        struct place place = { list->path, batch->line, "batch" };
        if (batch->mix[0])
            find_mix(batch, set);
        if (!find_batch(batch, set)) {
            problem_list_add(problems, SEVERITY_ERROR, STATUS_INPUT, &place, "'%.*s' is the name of batches of several mixes: add a column mix",
                             (int)utf8_cut(batch->batch, 60), batch->batch);
            status = STATUS_INPUT;
        } else if (batch->set_batch == FRESH_NOT_FOUND) {
            add_not_found(list, batch, problems);
        } else {
            batch->set_mix = set->batches[batch->set_batch].mix;
        }
        if (batch->set_mix != FRESH_NOT_FOUND)
            batch->air_doubtful = !(set->mixes[batch->set_mix].aggregate_fraction <= 0);
    }
    return status;
}
