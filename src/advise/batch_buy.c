#include "advise/batch_parts.h"

#include "specimen/batching.h"

#include <math.h>

#define WHOLE 1e-9 /* a bag more is not bought for a rounding error */

static double or_none(double value)
{
    return isnan(value) ? 0 : value;
}

/* What one bag holds, kg dry; NaN when it comes in none. */
static double bag_mass_kg(const struct material *material)
{
    return isnan(material->bag_kg) ? batching_mass_kg(material->bag_l, material->bulk_density_kg_m3) : material->bag_kg;
}

static void buy(const struct batch_sheet *sheet, struct batch_ingredient *ingredient)
{
    const struct batch_amount *all = &ingredient->amount[BATCH_ALL], *trial = &ingredient->amount[BATCH_TRIAL];
    double dry_kg = or_none(all->dry_kg) + or_none(trial->dry_kg);
    if (!ingredient->material)
        return;
    double bag_kg = bag_mass_kg(ingredient->material), price = ingredient->material->price_per_kg;
    ingredient->bags = dry_kg / bag_kg;
    ingredient->bags_to_buy = ceil(ingredient->bags - WHOLE);
    ingredient->cost = ingredient->amount[batch_sheet_main(sheet)].dry_kg * price;
    ingredient->cost_to_buy = (isnan(bag_kg) ? dry_kg : ingredient->bags_to_buy * bag_kg) * price;
}

void batch_buy(struct batch_sheet *sheet)
{
    sheet->cost = sheet->cost_to_buy = 0;
    for (enum batch_role role = 0; role < BATCH_ROLES; role++) {
        struct batch_ingredient *ingredient = &sheet->ingredient[role];
        if (!ingredient->name)
            continue;
        buy(sheet, ingredient);
        sheet->cost += ingredient->cost;
        sheet->cost_to_buy += ingredient->cost_to_buy;
        if (isnan(ingredient->cost) && !sheet->unpriced)
            sheet->unpriced = ingredient->name;
    }
    sheet->cost_per_m3 = sheet->cost / sheet->concrete_l[batch_sheet_main(sheet)] * L_PER_M3;
    sheet->cost_per_piece = isnan(sheet->concrete_l[BATCH_ALL]) ? NAN : sheet->cost / sheet->request->pieces;
}
