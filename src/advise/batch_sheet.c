#include "advise/batch_parts.h"

#include "specimen/batching.h"

#include <math.h>

#define WHOLE 1e-9 /* a load more is not mixed for a rounding error */
#define C567_BINDER 1.2 /* a binder holds its own mass and this less 1 of it in bound water: ASTM C567 */

enum batch_part batch_sheet_main(const struct batch_sheet *sheet)
{
    return isnan(sheet->concrete_l[BATCH_ALL]) ? BATCH_TRIAL : BATCH_ALL;
}

static enum status settle_volumes(struct batch_sheet *sheet, struct problem_list *problems)
{
    const struct batch_request *request = sheet->request;
    sheet->waste_told = !isnan(request->waste_pct);
    sheet->waste_pct = sheet->waste_told ? request->waste_pct : BATCH_WASTE_PCT;
    sheet->hold_back_told = !isnan(request->hold_back_pct);
    sheet->hold_back_pct = sheet->hold_back_told ? request->hold_back_pct : BATCH_HOLD_BACK_PCT;
    sheet->piece_l = request->piece.volume_l;
    sheet->concrete_l[BATCH_ALL] = request->pieces * sheet->piece_l * (1 + sheet->waste_pct / 100);
    sheet->concrete_l[BATCH_TRIAL] = request->trial_l;
    sheet->concrete_l[BATCH_LOAD] = NAN;
    if (isnan(sheet->concrete_l[BATCH_ALL]) && isnan(request->trial_l)) {
        problem_list_add(problems, SEVERITY_ERROR, STATUS_USAGE, NULL,
                         "say how much to cast: a number of pieces and their size, or the volume of a trial batch");
        return STATUS_USAGE;
    }
    if (isnan(sheet->concrete_l[BATCH_ALL]) || isnan(request->mixer_l))
        return STATUS_OK;
    sheet->n_loads = (size_t)fmax(1, ceil(sheet->concrete_l[BATCH_ALL] / request->mixer_l - WHOLE));
    if (sheet->n_loads > 1)
        sheet->concrete_l[BATCH_LOAD] = sheet->concrete_l[BATCH_ALL] / (double)sheet->n_loads;
    return STATUS_OK;
}

/* The ingredient's part of a m3 of concrete. */
static struct batch_amount in_cubic_metre(struct batch_sheet *sheet, enum batch_role role, double part_l)
{
    struct batch_ingredient *ingredient = &sheet->ingredient[role];
    const struct batch_ingredient *binder = &sheet->ingredient[BATCH_BINDER];
    struct batch_amount amount = { NAN, NAN, NAN };
    if (role == BATCH_FIBRE || role == BATCH_PIGMENT) {
        double binder_kg = batching_mass_kg(binder->parts * part_l, binder->material->bulk_density_kg_m3);
        amount.dry_kg = role == BATCH_FIBRE ? batching_fibre_kg(sheet->recipe.mix.fibre_kg_m3, L_PER_M3)
                                            : binder_kg * sheet->recipe.mix.pigment_pct / 100;
        amount.weigh_kg = amount.dry_kg;
        return amount;
    }
    amount.loose_l = ingredient->parts * part_l;
    amount.dry_kg = batching_mass_kg(amount.loose_l, ingredient->material->bulk_density_kg_m3);
    struct moist_aggregate moist = batching_moisten_dry(amount.dry_kg, ingredient->absorption_pct, ingredient->moisture_pct);
    ingredient->free_water_kg_m3 = moist.free_water_kg;
    amount.weigh_kg = moist.batch_kg;
    return amount;
}

/* Water of a m3, after the dry masses. */
static enum status settle_water(struct batch_sheet *sheet, const struct batch_amount *per_m3, struct problem_list *problems)
{
    struct batch_water *water = &sheet->water;
    double counted = sheet->recipe.mix.water_binder * per_m3[BATCH_BINDER].dry_kg;
    bool total = sheet->request->water_count == WATER_TOTAL;
    water->drunk_kg_m3 = water->brought_kg_m3 = 0;
    for (enum batch_role role = BATCH_LIGHT; role <= BATCH_GRAVEL; role++) {
        if (!sheet->ingredient[role].name)
            continue;
        water->drunk_kg_m3 += per_m3[role].dry_kg * sheet->ingredient[role].absorption_pct / 100;
        water->brought_kg_m3 += per_m3[role].weigh_kg - per_m3[role].dry_kg;
    }
    water->total_kg_m3 = total ? counted : counted + water->drunk_kg_m3;
    water->net_kg_m3 = water->total_kg_m3 - water->drunk_kg_m3;
    water->measured_out_kg_m3 = water->total_kg_m3 - water->brought_kg_m3;
    if (water->measured_out_kg_m3 >= 0)
        return STATUS_OK;
    problem_list_add(problems, SEVERITY_ERROR, STATUS_INPUT, NULL,
                     "the aggregates bring %.0f kg of water a m3, more than the %.0f kg that the recipe takes: let them drain, or look at their moisture",
                     water->brought_kg_m3, water->total_kg_m3);
    return STATUS_INPUT;
}

static void scale(struct batch_sheet *sheet, const struct batch_amount *per_m3)
{
    for (enum batch_part part = 0; part < BATCH_PARTS; part++) {
        double m3 = sheet->concrete_l[part] / L_PER_M3;
        double water_kg = sheet->water.measured_out_kg_m3 * m3;
        for (enum batch_role role = 0; role < BATCH_ROLES; role++)
            sheet->ingredient[role].amount[part] = (struct batch_amount){
                per_m3[role].loose_l * m3, per_m3[role].dry_kg * m3, per_m3[role].weigh_kg * m3
            };
        sheet->water.hold_back_kg[part] = water_kg * sheet->hold_back_pct / 100;
        sheet->water.start_kg[part] = water_kg - sheet->water.hold_back_kg[part];
    }
}

static void settle_densities(struct batch_sheet *sheet, const struct batch_amount *per_m3)
{
    double dry_kg = 0;
    for (enum batch_role role = 0; role < BATCH_ROLES; role++)
        dry_kg += sheet->ingredient[role].name ? per_m3[role].dry_kg : 0;
    sheet->fresh_kg_m3 = dry_kg + sheet->water.total_kg_m3;
    sheet->oven_dry_kg_m3 = dry_kg + (C567_BINDER - 1) * per_m3[BATCH_BINDER].dry_kg;
}

static enum status settle_amounts(struct batch_sheet *sheet, struct problem_list *problems)
{
    struct batch_amount per_m3[BATCH_ROLES];
    double part_l = batching_part_volume_l(L_PER_M3, sheet->recipe.parts_total, sheet->recipe.yield);
    for (enum batch_role role = 0; role < BATCH_ROLES; role++)
        per_m3[role] = sheet->ingredient[role].name ? in_cubic_metre(sheet, role, part_l) : (struct batch_amount){ NAN, NAN, NAN };
    enum status status = settle_water(sheet, per_m3, problems);
    scale(sheet, per_m3);
    settle_densities(sheet, per_m3);
    return status;
}

enum status batch_sheet_make(const struct batch_request *request, struct batch_sheet *sheet, struct problem_list *problems)
{
    *sheet = (struct batch_sheet){ .request = request };
    enum status status = batch_recipe_find(request, &sheet->recipe, problems);
    if (status == STATUS_OK)
        status = settle_volumes(sheet, problems);
    if (status == STATUS_OK)
        status = batch_ingredients_find(sheet, problems);
    if (status != STATUS_OK)
        return status;
    batch_yield_find(sheet);
    status = settle_amounts(sheet, problems);
    if (status == STATUS_OK) {
        batch_buy(sheet);
        status = batch_expect(sheet, problems);
    }
    return status;
}
