#include "advise/batch_parts.h"

#include "advise/words.h"
#include "base/number.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>

/* Reasons being written. */
struct reasons {
    const struct batch_sheet *sheet;
    enum batch_part part;      /* whose amounts are worked out */
    bool us;
    double part_l;             /* loose volume of one part by volume */
    struct batch_reason *items;
    size_t n;
};

__attribute__((format(printf, 3, 4)))
static void say(struct reasons *reasons, const char *what, const char *format, ...)
{
    va_list arguments;
    if (reasons->n == BATCH_REASONS)
        return;
    struct batch_reason *reason = &reasons->items[reasons->n++];
    snprintf(reason->what, sizeof reason->what, "%.60s", what);
    va_start(arguments, format);
    vsnprintf(reason->how, sizeof reason->how, format, arguments);
    va_end(arguments);
}

/* Words of one amount, in a buffer of the caller's. */
struct words { char text[80]; };

static struct words volume(const struct reasons *reasons, double litres)
{
    struct words words = {{0}};
    batch_volume_words(litres, reasons->us, words.text, sizeof words.text);
    return words;
}

static struct words told_volume(const struct reasons *reasons, double litres)
{
    struct words words = {{0}};
    batch_told_volume_words(litres, reasons->us, words.text, sizeof words.text);
    return words;
}

static struct words mass(const struct reasons *reasons, double kg)
{
    struct words words = {{0}};
    batch_mass_words(kg, reasons->us, words.text, sizeof words.text);
    return words;
}

static struct words water(const struct reasons *reasons, double kg)
{
    struct words words = {{0}};
    batch_water_words(kg, reasons->us, words.text, sizeof words.text);
    return words;
}

static struct words density(const struct reasons *reasons, double kg_m3)
{
    struct words words = {{0}};
    batch_density_words(kg_m3, reasons->us, words.text, sizeof words.text);
    return words;
}

static struct words significant(double value, int digits)
{
    struct words words = {{0}};
    number_show_significant(value, digits, words.text, sizeof words.text);
    return words;
}

/* As far as it has digits, four at most. */
static struct words plain(double value)
{
    struct words words = {{0}};
    snprintf(words.text, sizeof words.text, "%.4g", value);
    return words;
}

static void say_concrete(struct reasons *reasons)
{
    const struct batch_sheet *sheet = reasons->sheet;
    double all_l = sheet->concrete_l[BATCH_ALL], pieces = sheet->request->pieces;
    if (!isnan(all_l))
        say(reasons, "concrete", "%g x %s = %s for the pieces; with %g %% for waste%s %s", pieces, volume(reasons, sheet->piece_l).text,
            volume(reasons, pieces * sheet->piece_l).text, sheet->waste_pct, sheet->waste_told ? "" : " (assumed)", volume(reasons, all_l).text);
    if (sheet->n_loads > 0)
        say(reasons, "mixer loads", "%s in a mixer that gives %s at a time: %zu %s", volume(reasons, all_l).text,
            told_volume(reasons, sheet->request->mixer_l).text, sheet->n_loads, sheet->n_loads == 1 ? "load" : "equal loads");
}

static void say_recipe(struct reasons *reasons)
{
    const struct batch_recipe *recipe = &reasons->sheet->recipe;
    if (!recipe->interpolated) {
        say(reasons, "recipe", "mix '%.80s' of the mixes file, %s of its dry loose volume light aggregate", recipe->mix.name,
            plain(recipe->fraction).text);
        return;
    }
    double below = mix_aggregate_fraction(recipe->below), above = mix_aggregate_fraction(recipe->above);
    say(reasons, "recipe", "%s lies %.0f %% of the way from mix '%.60s' (%s) to mix '%.60s' (%s), the nearest that were tested: shares of the "
        "dry loose volume, water/binder, fibre and pigment are taken that far between theirs", plain(recipe->fraction).text,
        100 * recipe->way, recipe->below->name, plain(below).text, recipe->above->name, plain(above).text);
}

static void say_yield(struct reasons *reasons)
{
    const struct batch_sheet *sheet = reasons->sheet;
    const struct batch_recipe *recipe = &sheet->recipe;
    struct words yield = significant(recipe->yield, 3);
    switch (recipe->yield_source) {
    case YIELD_TOLD:
        say(reasons, "yield", "%s volumes of concrete from 1 volume of loose dry ingredients, as told", yield.text);
        break;
    case YIELD_MEASURED:
        say(reasons, "yield", "%s volumes of concrete from 1 volume of loose dry ingredients, measured (mixes file)", yield.text);
        break;
    case YIELD_BETWEEN:
        say(reasons, "yield", "%s volumes of concrete from 1 volume of loose dry ingredients, between those measured: %s of '%.60s' and %s of '%.60s'",
            yield.text, significant(recipe->below->yield, 3).text, recipe->below->name, significant(recipe->above->yield, 3).text, recipe->above->name);
        break;
    case YIELD_ABSOLUTE:
        say(reasons, "yield", "%s volumes of concrete from 1 volume of loose dry ingredients, not measured: volumes of the particles and the water, with "
            "%g %% of air assumed", yield.text, BATCH_AIR_PCT);
        break;
    default:
        say(reasons, "yield", "%s volumes of concrete from 1 volume of loose dry ingredients, assumed: two thirds, or the light aggregate's share when that is more",
            yield.text);
    }
    say(reasons, "one part", "%s of concrete / (%s parts x %s) = %s, loose", volume(reasons, sheet->concrete_l[reasons->part]).text,
        plain(recipe->parts_total).text, yield.text, volume(reasons, reasons->part_l).text);
}

/* "; holds 5 % of water as it lies: 30.1 kg x 1.05 = 31.6 kg to weigh" */
static void moist_words(const struct reasons *reasons, const struct batch_ingredient *ingredient, char *out, size_t size)
{
    const struct batch_amount *amount = &ingredient->amount[reasons->part];
    out[0] = '\0';
    if (ingredient->moisture_pct > 0)
        snprintf(out, size, " dry; it holds %g %% of water, so weigh %s x %g = %s", ingredient->moisture_pct,
                 mass(reasons, amount->dry_kg).text, 1 + ingredient->moisture_pct / 100, mass(reasons, amount->weigh_kg).text);
}

static void say_loose(struct reasons *reasons, const struct batch_ingredient *ingredient)
{
    const struct batch_amount *amount = &ingredient->amount[reasons->part];
    char moist[256];
    moist_words(reasons, ingredient, moist, sizeof moist);
    say(reasons, ingredient->name, "%s x %s = %s; x %s loose bulk density = %s%s", plain(ingredient->parts).text,
        volume(reasons, reasons->part_l).text, volume(reasons, amount->loose_l).text,
        density(reasons, ingredient->material->bulk_density_kg_m3).text, mass(reasons, amount->dry_kg).text, moist);
}

static void say_ingredients(struct reasons *reasons)
{
    const struct batch_sheet *sheet = reasons->sheet;
    const struct batch_ingredient *fibre = &sheet->ingredient[BATCH_FIBRE], *pigment = &sheet->ingredient[BATCH_PIGMENT];
    double dose = sheet->recipe.mix.fibre_kg_m3 / (reasons->us ? unit_find(units_dose, "lb/yd3")->factor : 1);
    for (enum batch_role role = BATCH_BINDER; role <= BATCH_GRAVEL; role++)
        if (sheet->ingredient[role].name)
            say_loose(reasons, &sheet->ingredient[role]);
    if (fibre->name)
        say(reasons, fibre->name, "%s %s x %s of concrete = %s", plain(dose).text, reasons->us ? "lb/yd3" : "kg/m3",
            volume(reasons, sheet->concrete_l[reasons->part]).text, mass(reasons, fibre->amount[reasons->part].dry_kg).text);
    if (pigment->name)
        say(reasons, pigment->name, "%s %% of the %s of %s = %s", plain(sheet->recipe.mix.pigment_pct).text,
            mass(reasons, sheet->ingredient[BATCH_BINDER].amount[reasons->part].dry_kg).text, sheet->ingredient[BATCH_BINDER].name,
            mass(reasons, pigment->amount[reasons->part].dry_kg).text);
}

/* "expanded clay drinks 14 % of 30.1 kg and brings 5 %: 2.71 L more" */
static void say_grains(struct reasons *reasons, const struct batch_ingredient *ingredient)
{
    const struct batch_amount *amount = &ingredient->amount[reasons->part];
    double m3 = reasons->sheet->concrete_l[reasons->part] / L_PER_M3, free_kg = ingredient->free_water_kg_m3 * m3;
    char what[80];
    if (ingredient->absorption_pct == 0 && ingredient->moisture_pct == 0)
        return;
    snprintf(what, sizeof what, "water in %.48s", ingredient->name);
    say(reasons, what, "takes up %g %% of its %s%s, holds %g %%%s: %s %s", ingredient->absorption_pct, mass(reasons, amount->dry_kg).text,
        ingredient->absorption_told ? "" : " (not told)", ingredient->moisture_pct, ingredient->moisture_told ? "" : " (not told: dry)",
        water(reasons, fabs(free_kg)).text, free_kg > 0 ? "that it brings" : "that it drinks");
}

static void say_water(struct reasons *reasons)
{
    const struct batch_sheet *sheet = reasons->sheet;
    const struct batch_water *all = &sheet->water;
    double m3 = sheet->concrete_l[reasons->part] / L_PER_M3, binder_kg = sheet->ingredient[BATCH_BINDER].amount[reasons->part].dry_kg;
    bool total = sheet->request->water_count == WATER_TOTAL;
    double counted = (total ? all->total_kg_m3 : all->net_kg_m3) * m3, taken = all->measured_out_kg_m3 * m3;
    say(reasons, total ? "all water" : "water between the grains", "%s x %s of %s = %s", plain(sheet->recipe.mix.water_binder).text,
        mass(reasons, binder_kg).text, sheet->ingredient[BATCH_BINDER].name, water(reasons, counted).text);
    for (enum batch_role role = BATCH_LIGHT; role <= BATCH_GRAVEL; role++)
        if (sheet->ingredient[role].name)
            say_grains(reasons, &sheet->ingredient[role]);
    if (total)
        say(reasons, "water to measure out", "%s less %s that the aggregates bring = %s", water(reasons, counted).text,
            water(reasons, all->brought_kg_m3 * m3).text, water(reasons, taken).text);
    else
        say(reasons, "water to measure out", "%s and %s that the aggregates drink, less %s that they bring = %s", water(reasons, counted).text,
            water(reasons, all->drunk_kg_m3 * m3).text, water(reasons, all->brought_kg_m3 * m3).text, water(reasons, taken).text);
    say(reasons, "water held back", "%g %% of it%s, %s: added only as far as the concrete needs it", sheet->hold_back_pct,
        sheet->hold_back_told ? "" : " (assumed)", water(reasons, all->hold_back_kg[reasons->part]).text);
}

/* "air-dry, 28 days" */
static void state_words(const struct batch_density *density, char *out, size_t size)
{
    const char *state = density->moisture == MOISTURE_UNKNOWN ? "moisture not told" : moisture_word(density->moisture);
    if (isnan(density->age_days))
        snprintf(out, size, "%s", state);
    else
        snprintf(out, size, "%s, %g days", state, density->age_days);
}

static void say_measured(struct reasons *reasons)
{
    const struct batch_density *measured = &reasons->sheet->density;
    char what[64], value[64], lower[64], upper[64], state[80], from[160];
    snprintf(what, sizeof what, "%s density", batch_state_word(measured));
    if (!measured->known) {
        say(reasons, what, "not known: %s", measured->reason);
        return;
    }
    value_words(PROPERTY_DENSITY, measured->estimate, reasons->us, value, sizeof value);
    property_show(PROPERTY_DENSITY, measured->lower, reasons->us, lower, sizeof lower);
    property_show(PROPERTY_DENSITY, measured->upper, reasons->us, upper, sizeof upper);
    state_words(measured, state, sizeof state);
    if (measured->by_curve)
        snprintf(from, sizeof from, "%s curve through %zu batches of %.60s", law_word(measured->law), measured->n_batches,
                 reasons->sheet->recipe.mix.aggregate);
    else
        snprintf(from, sizeof from, "%zu %s of the mix", measured->n_batches, measured->n_batches == 1 ? "batch" : "batches");
    if (isnan(measured->lower))
        say(reasons, what, "%s, from %s (%s); one batch cannot tell how sure", value, from, state);
    else
        say(reasons, what, "%s (%s to %s, %g %%), from %s (%s)", value, lower, upper,
            100 * reasons->sheet->request->assurance.confidence, from, state);
}

static void say_expected(struct reasons *reasons)
{
    const struct batch_sheet *sheet = reasons->sheet;
    const struct batch_water *all = &sheet->water;
    double binder_kg_m3 = sheet->ingredient[BATCH_BINDER].amount[reasons->part].dry_kg / sheet->concrete_l[reasons->part] * L_PER_M3;
    say(reasons, "fresh density", "all masses with all water over the volume = %s", density(reasons, sheet->fresh_kg_m3).text);
    say(reasons, "all water / binder", "%s, also that in the grains", significant(all->total_kg_m3 / binder_kg_m3, 3).text);
    say(reasons, "oven-dry density", "1.2 x %s and the dry aggregates over the volume = %s, calculated (ASTM C567)",
        sheet->ingredient[BATCH_BINDER].name, density(reasons, sheet->oven_dry_kg_m3).text);
    say_measured(reasons);
}

size_t batch_sheet_reasons(const struct batch_sheet *sheet, bool us, struct batch_reason items[BATCH_REASONS])
{
    struct reasons reasons = { .sheet = sheet, .part = batch_sheet_main(sheet), .us = us, .items = items };
    const struct batch_ingredient *binder = &sheet->ingredient[BATCH_BINDER];
    reasons.part_l = binder->amount[reasons.part].loose_l / binder->parts;
    say_concrete(&reasons);
    say_recipe(&reasons);
    say_yield(&reasons);
    say_ingredients(&reasons);
    say_water(&reasons);
    say_expected(&reasons);
    return reasons.n;
}
