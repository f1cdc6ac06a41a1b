#include "advise/recipe_density.h"

#include "advise/batch_sheet.h"

#include <math.h>

#define ANY_VOLUME_L 1000.0 /* a density does not ask how much is cast */

static struct batch_request density_request(const struct mix_list *mixes, const struct material_list *materials, const char *mix)
{
    struct batch_request request = {
        .mixes = mixes, .materials = materials, .mix = mix, .fraction = NAN, .pieces = NAN, .piece = PIECE_NONE,
        .waste_pct = NAN, .hold_back_pct = NAN, .trial_l = ANY_VOLUME_L, .mixer_l = NAN, .yield = NAN, .law = LAW_AUTO,
    };
    for (enum batch_role role = 0; role < BATCH_ROLES; role++)
        request.moisture_pct[role] = 0; /* dry masses are asked for */
    return request;
}

static void say_why_not(const char *mix, const struct mix_list *mixes, size_t line, const char *why, struct problem_list *problems)
{
    struct place place = { mixes->path, line, NULL };
    problem_list_add(problems, SEVERITY_NOTICE, STATUS_OK, &place, "the oven-dry density of mix '%.60s' is not calculated: %s", mix, why);
}

static enum status from_recipe(const struct mix_list *mixes, const struct material_list *materials, const struct mix *mix,
                               struct calculated_density *calculated, struct problem_list *problems)
{
    const struct batch_request request = density_request(mixes, materials, mix->name);
    struct batch_sheet sheet;
    struct problem_list found = { 0 };
    enum status status = batch_sheet_make(&request, &sheet, &found);
    if (status == STATUS_OK && sheet.recipe.yield_source != YIELD_ASSUMED)
        *calculated = (struct calculated_density){ sheet.oven_dry_kg_m3, CALCULATED_FROM_RECIPE };
    else if (status == STATUS_OK)
        say_why_not(mix->name, mixes, mix->line, "its yield was not measured, and particle densities are missing", problems);
    else if (status != STATUS_MEMORY)
        say_why_not(mix->name, mixes, mix->line, found.n_items ? found.items[0].text : "its recipe is not whole", problems);
    problem_list_release(&found);
    return status == STATUS_MEMORY ? status : STATUS_OK;
}

/* Mean over the batches of a mix; NaN without any. */
static double from_batches(const struct fresh_list *fresh, uint32_t mix)
{
    double sum = 0;
    size_t n = 0;
    for (size_t i = 0; fresh && i < fresh->n_items; i++) {
        if (fresh->items[i].set_mix != mix || isnan(fresh->items[i].oven_dry_kg_m3))
            continue;
        sum += fresh->items[i].oven_dry_kg_m3;
        n++;
    }
    return n ? sum / (double)n : NAN;
}

enum status recipe_densities_find(const struct mix_list *mixes, const struct material_list *materials, const struct fresh_list *fresh,
                                  const struct specimen_set *set, struct calculated_density *calculated, struct problem_list *problems)
{
    enum status status = STATUS_OK;
    for (uint32_t i = 0; status == STATUS_OK && i < set->n_mixes; i++) {
        const struct mix *mix = mixes->n_items && materials->n_items ? mix_list_find(mixes, set->mixes[i].name) : NULL;
        calculated[i] = (struct calculated_density){ from_batches(fresh, i), CALCULATED_FROM_BATCHES };
        if (!isnan(calculated[i].kg_m3))
            continue;
        calculated[i] = (struct calculated_density){ NAN, CALCULATED_NOT };
        if (mix)
            status = from_recipe(mixes, materials, mix, &calculated[i], problems);
    }
    if (status != STATUS_OK)
        problem_list_add(problems, SEVERITY_ERROR, status, NULL, "no memory left for the densities of the recipes");
    return status;
}
