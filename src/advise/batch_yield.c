#include "advise/batch_parts.h"

#include "specimen/batching.h"

#include <math.h>

#define WATER_KG_M3 1000.0
#define LEAST_YIELD (2.0 / 3)

/* Mass of one litre of parts, kg: the size of a part does not matter to a yield. */
static double litre_mass_kg(const struct batch_ingredient *ingredient)
{
    return batching_mass_kg(ingredient->parts, ingredient->material->bulk_density_kg_m3);
}

/* Water between the grains; when the recipe counts all of it, what the grains drink is taken off. */
static double net_water_kg(const struct batch_sheet *sheet)
{
    double water = sheet->recipe.mix.water_binder * litre_mass_kg(&sheet->ingredient[BATCH_BINDER]);
    for (enum batch_role role = BATCH_LIGHT; role <= BATCH_GRAVEL && sheet->request->water_count == WATER_TOTAL; role++)
        if (sheet->ingredient[role].name)
            water -= litre_mass_kg(&sheet->ingredient[role]) * sheet->ingredient[role].absorption_pct / 100;
    return fmax(water, 0);
}

/* Concrete over loose volumes by the volume of the particles themselves; NaN when one of their densities is not known. */
static double absolute_yield(const struct batch_sheet *sheet)
{
    struct batched items[BATCH_ROLES + 1];
    size_t n = 0;
    for (enum batch_role role = BATCH_BINDER; role <= BATCH_GRAVEL; role++)
        if (sheet->ingredient[role].name)
            items[n++] = (struct batched){ litre_mass_kg(&sheet->ingredient[role]),
                                           sheet->ingredient[role].material->particle_density_kg_m3 };
    items[n++] = (struct batched){ net_water_kg(sheet), WATER_KG_M3 };
    return batching_absolute_volume_m3(items, n, BATCH_AIR_PCT / 100) * L_PER_M3 / sheet->recipe.parts_total;
}

void batch_yield_find(struct batch_sheet *sheet)
{
    struct batch_recipe *recipe = &sheet->recipe;
    double absolute = absolute_yield(sheet);
    if (!isnan(sheet->request->yield)) {
        recipe->yield = sheet->request->yield;
        recipe->yield_source = YIELD_TOLD;
    } else if (!isnan(recipe->mix.yield)) {
        recipe->yield = recipe->mix.yield;
        recipe->yield_source = recipe->interpolated ? YIELD_BETWEEN : YIELD_MEASURED;
    } else if (!isnan(absolute)) {
        recipe->yield = absolute;
        recipe->yield_source = YIELD_ABSOLUTE;
    } else {
        recipe->yield = fmax(LEAST_YIELD, recipe->fraction);
        recipe->yield_source = YIELD_ASSUMED;
    }
}
