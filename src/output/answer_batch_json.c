#include "output/answer_batch.h"

#include "output/json_build.h"

#include <math.h>

static const char *yield_word(enum yield_source source)
{
    static const char *const words[] = {
        [YIELD_TOLD] = "told", [YIELD_MEASURED] = "measured", [YIELD_BETWEEN] = "between", [YIELD_ABSOLUTE] = "absolute-volumes",
        [YIELD_ASSUMED] = "assumed",
    };
    return words[source];
}

static const char *const part_keys[BATCH_PARTS] = { [BATCH_ALL] = "all", [BATCH_LOAD] = "load", [BATCH_TRIAL] = "trial" };

static void put_recipe(struct json_build *build, const struct batch_recipe *recipe)
{
    json_t *object = json_put_object(build, build->root, "recipe");
    json_put_text(build, object, "kind", recipe->interpolated ? "interpolated" : "tested");
    json_put_text(build, object, "mix", recipe->interpolated ? NULL : recipe->mix.name);
    json_t *between = json_put_array(build, object, "between");
    if (recipe->interpolated) {
        json_append_text(build, between, recipe->below->name);
        json_append_text(build, between, recipe->above->name);
    }
    json_put_text(build, object, "aggregate", recipe->mix.aggregate);
    json_put_number(build, object, "aggregate_fraction", recipe->fraction);
    json_put_number(build, object, "water_binder", recipe->mix.water_binder);
    json_put_number(build, object, "yield", recipe->yield);
    json_put_text(build, object, "yield_source", yield_word(recipe->yield_source));
}

static void put_concrete(struct json_build *build, const struct batch_sheet *sheet)
{
    json_t *object = json_put_object(build, build->root, "concrete");
    json_put_number(build, object, "pieces", sheet->request->pieces);
    json_put_number(build, object, "piece_l", sheet->piece_l);
    json_put_number(build, object, "waste_pct", sheet->waste_pct);
    json_put_bool(build, object, "waste_assumed", !sheet->waste_told);
    json_put_number(build, object, "all_l", sheet->concrete_l[BATCH_ALL]);
    json_put_number(build, object, "loads", sheet->n_loads ? (double)sheet->n_loads : NAN);
    json_put_number(build, object, "load_l", sheet->concrete_l[BATCH_LOAD]);
    json_put_number(build, object, "trial_l", sheet->concrete_l[BATCH_TRIAL]);
}

static void put_ingredient(struct json_build *build, json_t *row, const struct batch_ingredient *ingredient)
{
    json_put_text(build, row, "ingredient", ingredient->name);
    json_put_number(build, row, "parts", ingredient->parts);
    json_put_number(build, row, "bulk_density_kg_m3", ingredient->material ? ingredient->material->bulk_density_kg_m3 : NAN);
    json_put_number(build, row, "moisture_pct", ingredient->moisture_told ? ingredient->moisture_pct : NAN);
    json_put_number(build, row, "absorption_pct", ingredient->absorption_told ? ingredient->absorption_pct : NAN);
    for (enum batch_part part = 0; part < BATCH_PARTS; part++) {
        json_t *amount = json_put_object(build, row, part_keys[part]);
        json_put_number(build, amount, "loose_l", ingredient->amount[part].loose_l);
        json_put_number(build, amount, "dry_kg", ingredient->amount[part].dry_kg);
        json_put_number(build, amount, "weigh_kg", ingredient->amount[part].weigh_kg);
    }
    json_put_number(build, row, "bags", ingredient->bags);
    json_put_number(build, row, "bags_to_buy", ingredient->bags_to_buy);
    json_put_number(build, row, "cost", ingredient->cost);
    json_put_number(build, row, "cost_to_buy", ingredient->cost_to_buy);
}

static void put_water(struct json_build *build, const struct batch_sheet *sheet)
{
    const struct batch_water *water = &sheet->water;
    json_t *object = json_put_object(build, build->root, "water");
    json_put_text(build, object, "counts", sheet->request->water_count == WATER_TOTAL ? "total" : "net");
    json_put_number(build, object, "net_kg_m3", water->net_kg_m3);
    json_put_number(build, object, "total_kg_m3", water->total_kg_m3);
    json_put_number(build, object, "measured_out_kg_m3", water->measured_out_kg_m3);
    json_put_number(build, object, "hold_back_pct", sheet->hold_back_pct);
    json_put_bool(build, object, "hold_back_assumed", !sheet->hold_back_told);
    for (enum batch_part part = 0; part < BATCH_PARTS; part++) {
        json_t *amount = json_put_object(build, object, part_keys[part]);
        json_put_number(build, amount, "start_kg", water->start_kg[part]);
        json_put_number(build, amount, "hold_back_kg", water->hold_back_kg[part]);
    }
}

static void put_expected(struct json_build *build, const struct batch_sheet *sheet)
{
    json_t *object = json_put_object(build, build->root, "expected");
    json_put_number(build, object, "fresh_density_kg_m3", sheet->fresh_kg_m3);
    json_put_number(build, object, "oven_dry_density_kg_m3", sheet->oven_dry_kg_m3);
    json_t *density = json_put_object(build, object, "density_kg_m3");
    json_put_number(build, density, "estimate", sheet->density.estimate);
    json_put_number(build, density, "lower", sheet->density.lower);
    json_put_number(build, density, "upper", sheet->density.upper);
    json_put_number(build, density, "assured", sheet->density.assured);
    json_put_number(build, object, "piece_fresh_kg", sheet->piece_fresh_kg);
    json_t *piece = json_put_object(build, object, "piece_dry_kg");
    json_put_number(build, piece, "estimate", sheet->piece_dry_kg);
    json_put_number(build, piece, "lower", sheet->piece_dry_lower_kg);
    json_put_number(build, piece, "upper", sheet->piece_dry_upper_kg);
    json_put_number(build, piece, "assured", sheet->piece_dry_assured_kg);
    json_put_number(build, object, "cost", sheet->cost);
    json_put_number(build, object, "cost_per_m3", sheet->cost_per_m3);
    json_put_number(build, object, "cost_per_piece", sheet->cost_per_piece);
    json_put_number(build, object, "cost_to_buy", sheet->cost_to_buy);
}

static void put_words(struct json_build *build, const struct batch_sheet *sheet)
{
    struct batch_reason reasons[BATCH_REASONS];
    char cautions[BATCH_CAUTIONS][240];
    size_t n_doubts, n = batch_sheet_reasons(sheet, false, reasons);
    json_t *array = json_put_array(build, build->root, "reasons");
    for (size_t i = 0; i < n; i++) {
        json_t *row = json_append_object(build, array);
        json_put_text(build, row, "what", reasons[i].what);
        json_put_text(build, row, "how", reasons[i].how);
    }
    array = json_put_array(build, build->root, "cautions");
    n = batch_sheet_cautions(sheet, false, cautions, &n_doubts);
    for (size_t i = 0; i < n; i++)
        json_append_text(build, array, cautions[i]);
}

enum status answer_batch_json(const struct batch_sheet *sheet, const char *headline, struct text *out)
{
    struct json_build build;
    json_build_start(&build);
    json_put_text(&build, build.root, "recommendation", headline);
    put_recipe(&build, &sheet->recipe);
    put_concrete(&build, sheet);
    json_t *array = json_put_array(&build, build.root, "ingredients");
    for (enum batch_role role = 0; role < BATCH_ROLES; role++)
        if (sheet->ingredient[role].name)
            put_ingredient(&build, json_append_object(&build, array), &sheet->ingredient[role]);
    put_water(&build, sheet);
    put_expected(&build, sheet);
    put_words(&build, sheet);
    return json_build_finish(&build, out);
}
