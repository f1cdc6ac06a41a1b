#include "output/batch_tables.h"

#include "advise/words.h"
#include "base/number.h"
#include "output/words.h"

#include <math.h>
#include <stdio.h>

#define CELL WORDS_MAX
#define MONEY_STEP 0.01

const char *const batch_write_ins[] = {
    "cast on, by", "name of the batch", "water used", "full measure weighed", "pieces, specimens", "remarks",
};
const size_t n_batch_write_ins = sizeof batch_write_ins / sizeof batch_write_ins[0];

static bool asked(const struct batch_sheet *sheet, enum batch_part part)
{
    return !isnan(sheet->concrete_l[part]);
}

static bool one_part(const struct batch_sheet *sheet)
{
    return asked(sheet, BATCH_ALL) + asked(sheet, BATCH_LOAD) + asked(sheet, BATCH_TRIAL) == 1;
}

static void weigh_columns(const struct batch_sheet *sheet, struct table *table)
{
    static const char *const loose[BATCH_PARTS] = { "all: loose", "a load: loose", "trial: loose" };
    static const char *const weigh[BATCH_PARTS] = { "all: weigh", "a load: weigh", "trial: weigh" };
    table_column(table, "ingredient", false);
    table_column(table, "parts", true);
    for (enum batch_part part = 0; part < BATCH_PARTS; part++) {
        if (!asked(sheet, part))
            continue;
        table_column(table, one_part(sheet) ? "dry, loose" : loose[part], true);
        table_column(table, one_part(sheet) ? "weigh" : weigh[part], true);
    }
}

static void weigh_row(const struct batch_sheet *sheet, const struct batch_ingredient *ingredient, bool us, struct table *table)
{
    char cell[CELL];
    table_cell(table, ingredient->name);
    snprintf(cell, sizeof cell, "%.4g", ingredient->parts);
    table_cell(table, isnan(ingredient->parts) ? "" : cell);
    for (enum batch_part part = 0; part < BATCH_PARTS; part++) {
        if (!asked(sheet, part))
            continue;
        batch_volume_words(ingredient->amount[part].loose_l, us, cell, sizeof cell);
        table_cell(table, isnan(ingredient->amount[part].loose_l) ? "" : cell);
        batch_mass_words(ingredient->amount[part].weigh_kg, us, cell, sizeof cell);
        table_cell(table, cell);
    }
}

static void water_row(const struct batch_sheet *sheet, const char *name, const double *kg, bool us, struct table *table)
{
    char cell[CELL];
    table_cell(table, name);
    table_cell(table, "");
    for (enum batch_part part = 0; part < BATCH_PARTS; part++) {
        if (!asked(sheet, part))
            continue;
        table_cell(table, "");
        batch_water_cell_words(kg[part], us, cell, sizeof cell);
        table_cell(table, cell);
    }
}

void batch_weigh_table(const struct batch_sheet *sheet, bool us, struct table *table)
{
    weigh_columns(sheet, table);
    for (enum batch_role role = 0; role < BATCH_ROLES; role++)
        if (sheet->ingredient[role].name)
            weigh_row(sheet, &sheet->ingredient[role], us, table);
    water_row(sheet, "water to start", sheet->water.start_kg, us, table);
    water_row(sheet, "water held back", sheet->water.hold_back_kg, us, table);
}

static void bag_words(const struct material *material, bool us, char *out, size_t size)
{
    if (!isnan(material->bag_kg))
        batch_told_mass_words(material->bag_kg, us, out, size);
    else
        batch_told_volume_words(material->bag_l, us, out, size);
}

static void buy_row(const struct batch_sheet *sheet, enum batch_role role, bool us, struct table *table)
{
    const struct batch_ingredient *ingredient = &sheet->ingredient[role];
    char cell[CELL], bag[CELL];
    double dry_kg = 0;
    for (enum batch_part part = 0; part < BATCH_PARTS; part++)
        if (part != BATCH_LOAD && !isnan(ingredient->amount[part].dry_kg))
            dry_kg += ingredient->amount[part].dry_kg;
    table_cell(table, ingredient->name);
    batch_mass_words(dry_kg, us, cell, sizeof cell);
    table_cell(table, cell);
    if (isnan(ingredient->bags_to_buy)) {
        /* Cement comes in bags: a reader should know why none are counted. */
        table_cell(table, role == BATCH_BINDER ? "by weight (bag_kg not told)" : "by weight");
    } else {
        bag_words(ingredient->material, us, bag, sizeof bag);
        table_cellf(table, "%.0f bag%s of %s (%.2f used)", ingredient->bags_to_buy, ingredient->bags_to_buy == 1 ? "" : "s", bag, ingredient->bags);
    }
    number_show(ingredient->cost_to_buy, MONEY_STEP, "-", cell, sizeof cell);
    table_cell(table, cell);
}

void batch_buy_table(const struct batch_sheet *sheet, bool us, struct table *table)
{
    table_column(table, "ingredient", false);
    table_column(table, "needed", true);
    table_column(table, "as", false);
    table_column(table, "cost", true);
    for (enum batch_role role = 0; role < BATCH_ROLES; role++)
        if (sheet->ingredient[role].name)
            buy_row(sheet, role, us, table);
}

static void expect_row(struct table *table, const char *what, const char *value)
{
    table_cell(table, what);
    table_cell(table, value);
}

static void expect_hard_piece(const struct batch_sheet *sheet, bool us, struct table *table)
{
    const char *state = batch_state_word(&sheet->density);
    char mass[CELL], lower[CELL], upper[CELL], assured[CELL];
    double confidence = 100 * sheet->request->assurance.confidence;
    batch_piece_words(sheet->piece_dry_kg, us, mass, sizeof mass);
    batch_piece_words(sheet->piece_dry_lower_kg, us, lower, sizeof lower);
    batch_piece_words(sheet->piece_dry_upper_kg, us, upper, sizeof upper);
    batch_piece_words(sheet->piece_dry_assured_kg, us, assured, sizeof assured);
    table_cellf(table, "%s piece", state);
    if (isnan(sheet->piece_dry_lower_kg))
        table_cell(table, mass);
    else
        table_cellf(table, "%s (%s to %s, %g %%)", mass, lower, upper, confidence);
    if (!isnan(sheet->piece_dry_assured_kg)) {
        table_cellf(table, "%s piece at most", state);
        table_cellf(table, "%s (assured, %g %%)", assured, confidence);
    }
}

void batch_expect_table(const struct batch_sheet *sheet, bool us, struct table *table)
{
    char cell[CELL];
    table_column(table, "what", false);
    table_column(table, "expect", false);
    batch_density_words(sheet->fresh_kg_m3, us, cell, sizeof cell);
    expect_row(table, "fresh density", cell);
    batch_density_words(sheet->oven_dry_kg_m3, us, cell, sizeof cell);
    expect_row(table, "oven-dry density, calculated", cell);
    words_value(PROPERTY_DENSITY, sheet->density.estimate, us, cell);
    table_cellf(table, "%s density, %s", batch_state_word(&sheet->density),
                !sheet->density.known ? "not known" : sheet->density.by_curve ? "by the curve" : "measured");
    table_cell(table, cell);
    if (isnan(sheet->piece_l))
        return;
    batch_piece_words(sheet->piece_fresh_kg, us, cell, sizeof cell);
    expect_row(table, "fresh piece", cell);
    expect_hard_piece(sheet, us, table);
}

void batch_cost_words(const struct batch_sheet *sheet, bool us, char *out, size_t size)
{
    out[0] = '\0';
    if (isnan(sheet->cost))
        return;
    int used = snprintf(out, size, "the materials used cost %.2f (%.2f %s", sheet->cost, cost_shown(sheet->cost_per_m3, us), cost_unit_words(us));
    if (!isnan(sheet->cost_per_piece) && used > 0 && (size_t)used < size)
        used += snprintf(out + used, size - (size_t)used, ", %.2f a piece", sheet->cost_per_piece);
    if (used > 0 && (size_t)used < size)
        snprintf(out + used, size - (size_t)used, "), all that is to be bought %.2f", sheet->cost_to_buy);
}
