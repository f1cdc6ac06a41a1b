#include "advise/batch_parts.h"

#include <math.h>

static const char *name_or(const char *name, const char *otherwise)
{
    return name && name[0] ? name : otherwise;
}

/* Named as the costs of a recommendation name them: docs/methods/recommendation.md. */
static const char *role_name(const struct mix *mix, enum batch_role role)
{
    switch (role) {
    case BATCH_BINDER:
        return name_or(mix->binder, "cement");
    case BATCH_LIGHT:
        return name_or(mix->aggregate, "light aggregate");
    case BATCH_SAND:
        return "sand";
    case BATCH_GRAVEL:
        return "gravel";
    case BATCH_FIBRE:
        return "fibre";
    default:
        return name_or(mix->pigment_name, "pigment");
    }
}

static bool role_used(const struct mix *mix, enum batch_role role)
{
    if (role == BATCH_FIBRE)
        return mix->fibre_kg_m3 > 0;
    if (role == BATCH_PIGMENT)
        return mix->pigment_pct > 0;
    return batch_role_parts(mix, role) > 0;
}

/* Fibre and pigment are given by mass; all else needs the density of its heap. */
static enum status require_density(const struct batch_sheet *sheet, const struct batch_ingredient *ingredient, struct problem_list *problems)
{
    const struct material_list *materials = sheet->request->materials;
    struct place place = { materials->path, 0, NULL };
    if (ingredient->material && !isnan(ingredient->material->bulk_density_kg_m3))
        return STATUS_OK;
    if (ingredient->material) {
        place.line = ingredient->material->line;
        place.column = "bulk_density";
    }
    problem_list_add(problems, SEVERITY_ERROR, STATUS_INPUT, &place,
                     ingredient->material ? "'%s' has no loose bulk density: weigh a full bucket of it and divide by the bucket's volume"
                                          : "the materials hold no '%s': add it with its loose bulk density", ingredient->name);
    return STATUS_INPUT;
}

/* Water that the grains hold and can hold; a binder, fibre or pigment is dry. */
static void settle_moisture(const struct batch_sheet *sheet, enum batch_role role, struct batch_ingredient *ingredient)
{
    if (role != BATCH_LIGHT && role != BATCH_SAND && role != BATCH_GRAVEL)
        return;
    double told = sheet->request->moisture_pct[role];
    double moisture = isnan(told) ? ingredient->material->moisture_pct : told;
    double absorption = ingredient->material->absorption_pct;
    ingredient->moisture_told = !isnan(moisture);
    ingredient->absorption_told = !isnan(absorption);
    ingredient->moisture_pct = ingredient->moisture_told ? moisture : 0;
    ingredient->absorption_pct = ingredient->absorption_told ? absorption : 0;
}

enum status batch_ingredients_find(struct batch_sheet *sheet, struct problem_list *problems)
{
    const struct mix *mix = &sheet->recipe.mix;
    enum status status = STATUS_OK;
    for (enum batch_role role = 0; role < BATCH_ROLES; role++) {
        struct batch_ingredient *ingredient = &sheet->ingredient[role];
        *ingredient = (struct batch_ingredient){ .parts = NAN, .bags = NAN, .bags_to_buy = NAN, .cost = NAN, .cost_to_buy = NAN };
        if (!role_used(mix, role))
            continue;
        ingredient->name = role_name(mix, role);
        ingredient->material = material_list_find(sheet->request->materials, ingredient->name);
        if (role > BATCH_GRAVEL)
            continue;
        ingredient->parts = batch_role_parts(mix, role);
        enum status complete = require_density(sheet, ingredient, problems);
        if (complete == STATUS_OK)
            settle_moisture(sheet, role, ingredient);
        else
            status = complete;
    }
    return status;
}
