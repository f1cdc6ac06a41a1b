#include "advise/batch_sheet.h"
#include "advise/words.h"

#include "base/number.h"

#include <math.h>
#include <stdio.h>

#define VOLUME_DIGITS 3
#define MASS_DIGITS 4
#define TOLD_DIGITS 4
#define SMALL_DIGITS 3  /* of grams and ounces */
#define PIECE_DIGITS 3
#define OUNCES_PER_POUND 16

/* Number in a unit, "-" for NaN. */
static void quantity_words(double value, int digits, const char *unit, char *out, size_t size)
{
    char number[32];
    number_show_significant(value, digits, number, sizeof number);
    snprintf(out, size, isnan(value) ? "-" : "%s %s", number, unit);
}

void batch_volume_words(double litres, bool us, char *out, size_t size)
{
    double factor = us ? unit_find(units_volume, "ft3")->factor : 1;
    quantity_words(litres / factor, VOLUME_DIGITS, us ? "ft3" : "L", out, size);
}

static void mass_words(double kg, int digits, bool us, char *out, size_t size)
{
    double shown = kg / (us ? unit_find(units_mass, "lb")->factor : 1);
    if (shown < 1)
        quantity_words(shown * (us ? OUNCES_PER_POUND : 1000), SMALL_DIGITS, us ? "oz" : "g", out, size);
    else
        quantity_words(shown, digits, us ? "lb" : "kg", out, size);
}

void batch_mass_words(double kg, bool us, char *out, size_t size)
{
    mass_words(kg, MASS_DIGITS, us, out, size);
}

void batch_piece_words(double kg, bool us, char *out, size_t size)
{
    mass_words(kg, PIECE_DIGITS, us, out, size);
}

/* In the unit that says it all with the digits shown: that is how it was told. */
static void told_words(double value, const struct unit *shown, const struct unit *other, char *out, size_t size)
{
    bool as_other = !number_is_whole(value / shown->factor, TOLD_DIGITS) && number_is_whole(value / other->factor, TOLD_DIGITS);
    const struct unit *unit = as_other ? other : shown;
    snprintf(out, size, "%.*g %s", TOLD_DIGITS, value / unit->factor, unit->symbol);
}

void batch_told_volume_words(double litres, bool us, char *out, size_t size)
{
    const struct unit *litre = unit_find(units_volume, "L"), *cubic_foot = unit_find(units_volume, "ft3");
    told_words(litres, us ? cubic_foot : litre, us ? litre : cubic_foot, out, size);
}

void batch_told_mass_words(double kg, bool us, char *out, size_t size)
{
    const struct unit *kilogram = unit_find(units_mass, "kg"), *pound = unit_find(units_mass, "lb");
    told_words(kg, us ? pound : kilogram, us ? kilogram : pound, out, size);
}

/* A litre of water weighs a kilogram, near enough for a bucket. */
void batch_water_cell_words(double kg, bool us, char *out, size_t size)
{
    quantity_words(kg / (us ? unit_find(units_mass, "lb")->factor : 1), VOLUME_DIGITS, us ? "lb" : "L", out, size);
}

void batch_water_words(double kg, bool us, char *out, size_t size)
{
    char mass[64], volume[64];
    batch_water_cell_words(kg, us, mass, sizeof mass);
    if (!us || isnan(kg)) {
        snprintf(out, size, "%s", mass);
        return;
    }
    quantity_words(kg / unit_find(units_volume, "gal")->factor, VOLUME_DIGITS, "US gal", volume, sizeof volume);
    snprintf(out, size, "%s (%s)", mass, volume);
}

void batch_density_words(double kg_m3, bool us, char *out, size_t size)
{
    char number[64];
    double factor = us ? unit_find(units_density, "lb/ft3")->factor : 1;
    number_show(kg_m3 / factor, us ? 0.1 : 1, "-", number, sizeof number);
    snprintf(out, size, "%s %s", number, us ? "lb/ft3" : "kg/m3");
}

const char *batch_state_word(const struct batch_density *density)
{
    return density->known && density->moisture != MOISTURE_UNKNOWN ? moisture_word(density->moisture) : "hardened";
}

void batch_recipe_words(const struct batch_recipe *recipe, char *out, size_t size)
{
    char fraction[32];
    fraction_words(recipe->fraction, fraction, sizeof fraction);
    if (recipe->interpolated)
        snprintf(out, size, "%.80s at %s by loose volume", recipe->mix.aggregate, fraction);
    else
        snprintf(out, size, "mix '%.80s'", recipe->mix.name);
}

void batch_job_words(const struct batch_sheet *sheet, bool us, char *out, size_t size)
{
    const struct batch_request *request = sheet->request;
    char volume[64], piece[128], load[64], trial[64];
    batch_told_volume_words(sheet->concrete_l[BATCH_TRIAL], us, trial, sizeof trial);
    if (isnan(sheet->concrete_l[BATCH_ALL])) {
        snprintf(out, size, "a trial batch of %s of concrete", trial);
        return;
    }
    batch_volume_words(sheet->concrete_l[BATCH_ALL], us, volume, sizeof volume);
    batch_volume_words(sheet->concrete_l[BATCH_LOAD], us, load, sizeof load);
    piece_words(&request->piece, us, "x", piece, sizeof piece);
    int used = snprintf(out, size, "%g %s of %s and %g %% for waste: %s of concrete", request->pieces,
                        request->pieces == 1 ? "piece" : "pieces", piece, sheet->waste_pct, volume);
    if (sheet->n_loads > 1 && used > 0 && (size_t)used < size)
        used += snprintf(out + used, size - (size_t)used, " in %zu loads of %s", sheet->n_loads, load);
    if (!isnan(request->trial_l) && used > 0 && (size_t)used < size)
        snprintf(out + used, size - (size_t)used, "; and a trial batch of %s", trial);
}
