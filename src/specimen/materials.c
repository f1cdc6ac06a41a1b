#include "specimen/mixes.h"

#include "base/memory.h"
#include "base/utf8.h"
#include "specimen/file_rules.h"
#include "specimen/quantity.h"
#include "specimen/recipe_file.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

enum material_column {
    MATERIAL_NAME, MATERIAL_BULK, MATERIAL_PARTICLE, MATERIAL_ABSORPTION, MATERIAL_MOISTURE,
    MATERIAL_PRICE, MATERIAL_PRICE_PER, MATERIAL_BAG_MASS, MATERIAL_BAG_VOLUME, MATERIAL_NOTE, MATERIAL_COLUMNS
};

/* "bag" stands twice: bag_kg and bag_l are told apart by their units. */
const struct column_rule material_rules[MATERIAL_COLUMNS] = {
    [MATERIAL_NAME] = { "material", CELL_TEXT, NULL, false, false },
    [MATERIAL_BULK] = { "bulk_density", CELL_NUMBER, units_density, false, false },
    [MATERIAL_PARTICLE] = { "particle_density", CELL_NUMBER, units_density, false, false },
    [MATERIAL_ABSORPTION] = { "absorption", CELL_NUMBER, units_percent, false, false },
    [MATERIAL_MOISTURE] = { "moisture", CELL_NUMBER, units_percent, false, false },
    [MATERIAL_PRICE] = { "price", CELL_NUMBER, NULL, false, false },
    [MATERIAL_PRICE_PER] = { "price_per", CELL_TEXT, NULL, false, false },
    [MATERIAL_BAG_MASS] = { "bag", CELL_NUMBER, units_mass, false, false },
    [MATERIAL_BAG_VOLUME] = { "bag", CELL_NUMBER, units_volume, false, false },
    [MATERIAL_NOTE] = { "note", CELL_TEXT, NULL, false, true },
};

const size_t n_material_rules = MATERIAL_COLUMNS;

static bool take_numbers(struct recipe_file *file, const struct row *row, struct material *material)
{
    const struct recipe_range density = { 5, 9000 }, percent = { 0, 1000 }, price = { 0, 1e9 }, bag = { 1e-3, 1e5 };
    bool good = recipe_number(file, row, MATERIAL_BULK, density, &material->bulk_density_kg_m3);
    good = recipe_number(file, row, MATERIAL_PARTICLE, density, &material->particle_density_kg_m3) && good;
    good = recipe_number(file, row, MATERIAL_ABSORPTION, percent, &material->absorption_pct) && good;
    good = recipe_number(file, row, MATERIAL_MOISTURE, percent, &material->moisture_pct) && good;
    good = recipe_number(file, row, MATERIAL_PRICE, price, &material->price) && good;
    good = recipe_number(file, row, MATERIAL_BAG_MASS, bag, &material->bag_kg) && good;
    return recipe_number(file, row, MATERIAL_BAG_VOLUME, bag, &material->bag_l) && good;
}

/* Mass of a volume poured loose; NaN without bulk density. */
static double loose_mass_kg(const struct material *material, double litres)
{
    return litres / 1000 * material->bulk_density_kg_m3;
}

/* Mass that the price buys; NaN when it cannot be known, -1 for a word that is no such unit. */
static double priced_mass_kg(const struct material *material)
{
    const char *per = material->price_per;
    if (heading_same(per, "bag"))
        return isnan(material->bag_kg) ? loose_mass_kg(material, material->bag_l) : material->bag_kg;
    const struct unit *mass = unit_match(units_mass, per, strlen(per));
    const struct unit *volume = unit_match(units_volume, per, strlen(per));
    if (mass)
        return mass->factor;
    return volume ? loose_mass_kg(material, volume->factor) : -1;
}

static bool settle_price(struct recipe_file *file, const struct row *row, struct material *material)
{
    bool by_bag = heading_same(material->price_per, "bag");
    const char *heading = file->bindings[material->price_per[0] ? MATERIAL_PRICE_PER : MATERIAL_PRICE].heading;
    struct place place = { row->path, row->line, heading };
    material->price_per_kg = NAN;
    if (isnan(material->price))
        return true;
    double mass_kg = material->price_per[0] ? priced_mass_kg(material) : -1;
    if (mass_kg < 0) {
        problem_list_add(file->problems, SEVERITY_ERROR, STATUS_INPUT, &place,
                         "'%.*s' does not say what the price is for: give price_per as kg, L or bag",
                         (int)utf8_cut(material->price_per, 60), material->price_per);
        return false;
    }
    if (isnan(mass_kg))
        problem_list_add(file->problems, SEVERITY_DOUBT, STATUS_OK, &place, "a price per %s needs %s before it can be used",
                         material->price_per, by_bag ? "bag_kg, or bag_l and bulk_density," : "bulk_density");
    else
        material->price_per_kg = material->price / mass_kg;
    return true;
}

static bool told_in_us(const struct recipe_file *file)
{
    static const enum material_column measured[] = { MATERIAL_BULK, MATERIAL_PARTICLE, MATERIAL_BAG_MASS, MATERIAL_BAG_VOLUME };
    for (size_t i = 0; i < sizeof measured / sizeof measured[0]; i++)
        if (file->bindings[measured[i]].unit)
            return file->bindings[measured[i]].unit->us;
    return false;
}

static void material_release(struct material *material)
{
    memory_free(material->name);
    memory_free(material->price_per);
    *material = (struct material){ 0 };
}

static enum status take_material(struct recipe_file *file, const struct row *row, void *list_pointer)
{
    struct material_list *list = list_pointer;
    struct material material = { .us_units = told_in_us(file), .line = row->line };
    void *items = list->items;
    bool kept = recipe_text(file, row, MATERIAL_NAME, &material.name) && recipe_text(file, row, MATERIAL_PRICE_PER, &material.price_per)
        && memory_reserve(&items, &file->capacity, list->n_items + 1, sizeof *list->items);
    list->items = items;
    if (!kept) {
        material_release(&material);
        return recipe_memory_out(file, row);
    }
    const struct material *same = material_list_find(list, material.name);
    bool good = take_numbers(file, row, &material) && settle_price(file, row, &material);
    good = recipe_name_good(file, row, MATERIAL_NAME, material.name, same ? same->line : 0) && good;
    if (!good) {
        material_release(&material);
        return STATUS_OK;
    }
    list->items[list->n_items++] = material;
    return STATUS_OK;
}

enum status material_list_read(const char *path, const struct column_map *maps, size_t n_maps,
                               struct material_list *list, struct problem_list *problems)
{
    struct recipe_file file = { .path = path, .rules = material_rules, .n_rules = MATERIAL_COLUMNS, .maps = maps, .n_maps = n_maps,
                                .required = MATERIAL_NAME, .problems = problems, .take = take_material, .list = list };
    *list = (struct material_list){ 0 };
    enum status status = recipe_file_read(&file, &list->path);
    if (status != STATUS_OK)
        material_list_release(list);
    return status;
}

void material_list_release(struct material_list *list)
{
    for (size_t i = 0; i < list->n_items; i++)
        material_release(&list->items[i]);
    memory_free(list->items);
    memory_free(list->path);
    *list = (struct material_list){ 0 };
}

const struct material *material_list_find(const struct material_list *list, const char *name)
{
    return recipe_find(list->items, list->n_items, sizeof *list->items, offsetof(struct material, name), name);
}
