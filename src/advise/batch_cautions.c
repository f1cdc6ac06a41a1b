#include "advise/batch_parts.h"

#include "base/number.h"

#include <ctype.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#define TWO_PERSONS_KG 25.0
#define ABSORBENT_PCT 40.0  /* above, a soaking test says little of what grains drink in the mixer */
#define LEAST_WASTE_PCT 3.0 /* less is asking for trouble */
#define MEASURE_L 10.0
#define MEASURE_FT3 0.25

struct cautions { char (*items)[240]; size_t n; };

__attribute__((format(printf, 2, 3)))
static void caution(struct cautions *cautions, const char *format, ...)
{
    va_list arguments;
    if (cautions->n == BATCH_CAUTIONS)
        return;
    va_start(arguments, format);
    vsnprintf(cautions->items[cautions->n++], sizeof cautions->items[0], format, arguments);
    va_end(arguments);
}

static void doubt_recipe(const struct batch_sheet *sheet, struct cautions *cautions)
{
    if (sheet->recipe.interpolated)
        caution(cautions, "not yet cast, only mixes '%.60s' and '%.60s' on both sides of it: make a confirming batch with specimens before the pieces",
                sheet->recipe.below->name, sheet->recipe.above->name);
    if (sheet->recipe.yield_source == YIELD_ABSOLUTE || sheet->recipe.yield_source == YIELD_ASSUMED)
        caution(cautions, "the yield was not measured: weigh a full measure of the first load (order of work), or have a tenth more at hand");
    if (sheet->concrete_l[BATCH_TRIAL] > sheet->request->mixer_l)
        caution(cautions, "the trial batch is more than the mixer gives at a time");
}

/* Adds ", NAME" or "NAME". */
static void add_name(char *list, size_t size, const char *name)
{
    size_t used = strlen(list);
    snprintf(list + used, size - used, "%s%.40s", used ? ", " : "", name);
}

static void doubt_water(const struct batch_sheet *sheet, struct cautions *cautions)
{
    char dry[130] = "", unknown[130] = "";
    for (enum batch_role role = BATCH_LIGHT; role <= BATCH_GRAVEL; role++) {
        const struct batch_ingredient *ingredient = &sheet->ingredient[role];
        if (ingredient->name && !ingredient->moisture_told)
            add_name(dry, sizeof dry, ingredient->name);
        if (ingredient->name && !ingredient->absorption_told)
            add_name(unknown, sizeof unknown, ingredient->name);
        if (ingredient->name && ingredient->absorption_pct > ABSORBENT_PCT)
            caution(cautions, "what %.60s drinks in the mixer is not well defined: go by how the concrete places, and note all the water",
                    ingredient->name);
    }
    if (dry[0])
        caution(cautions, "moisture not told, reckoned as dry: %s; weigh some before and after drying, and tell it", dry);
    if (unknown[0])
        caution(cautions, "absorption not told, so no water is added for what it drinks: %s", unknown);
    if (sheet->ingredient[BATCH_SAND].name)
        caution(cautions, "volumes are of dry, loose ingredients; damp sand fills up to a third more: go by mass");
}

/* A last bag that is opened only for the waste. */
static void doubt_bags(const struct batch_sheet *sheet, struct cautions *cautions)
{
    double waste = sheet->waste_pct / 100;
    for (enum batch_role role = 0; role < BATCH_ROLES && isnan(sheet->concrete_l[BATCH_TRIAL]); role++) {
        const struct batch_ingredient *ingredient = &sheet->ingredient[role];
        double fewer = ingredient->name ? ingredient->bags_to_buy - 1 : NAN, least_waste_pct = 100 * (fewer * (1 + waste) / ingredient->bags - 1);
        if (fewer >= 1 && least_waste_pct >= LEAST_WASTE_PCT)
            caution(cautions, "with %.0f %% for waste in place of %g %%, %.0f bag%s of %.60s would do", floor(least_waste_pct + 1e-9), sheet->waste_pct, fewer,
                    fewer == 1 ? "" : "s", ingredient->name);
    }
}

static void doubt_expected(const struct batch_sheet *sheet, struct cautions *cautions)
{
    if (!sheet->density.known)
        caution(cautions, "the mass of the hardened piece is not known: %s", sheet->density.reason);
    else if (sheet->density.moisture == MOISTURE_AS_CAST || sheet->density.moisture == MOISTURE_SATURATED)
        caution(cautions, "the density is that of %s specimens: dry pieces weigh less", moisture_word(sheet->density.moisture));
    if (sheet->unpriced)
        caution(cautions, "no price of %.60s: the cost cannot be told", sheet->unpriced);
}

/* Whether a name holds a word, whatever its case. */
static bool holds(const char *name, const char *word)
{
    size_t length = strlen(word);
    for (; name && *name; name++) {
        size_t i = 0;
        while (i < length && tolower((unsigned char)name[i]) == word[i])
            i++;
        if (i == length)
            return true;
    }
    return false;
}

static void warn_material(const struct batch_sheet *sheet, struct cautions *cautions)
{
    const char *light = sheet->ingredient[BATCH_LIGHT].name;
    caution(cautions, "cement is caustic: wet concrete burns skin and eyes, often hours later; waterproof gloves and goggles, rinse splashes at once");
    caution(cautions, "dust of cement, sand and light aggregate harms lungs, some of it is silica: P3 or N95 mask, pour low, do not sweep dry");
    if (holds(light, "vermiculite"))
        caution(cautions, "old vermiculite may hold asbestos: use new, certified stock only");
    if (holds(light, "polystyrene") || holds(light, "styrofoam"))
        caution(cautions, "polystyrene burns: no flame, no hot wire without ventilation");
}

static void warn_weight(const struct batch_sheet *sheet, bool us, struct cautions *cautions)
{
    char mass[64];
    batch_piece_words(sheet->piece_fresh_kg, us, mass, sizeof mass);
    if (sheet->piece_fresh_kg > TWO_PERSONS_KG)
        caution(cautions, "heavy: a fresh piece weighs %s and its mould comes on top; two persons or a hoist", mass);
    else if (!isnan(sheet->piece_fresh_kg))
        caution(cautions, "lifting: a fresh piece weighs %s and its mould comes on top; bags and buckets from the knees, half full", mass);
    caution(cautions, "trial results: load-bearing use needs the local code and a licensed engineer");
}

size_t batch_sheet_cautions(const struct batch_sheet *sheet, bool us, char items[BATCH_CAUTIONS][240], size_t *n_doubts)
{
    struct cautions cautions = { .items = items };
    doubt_recipe(sheet, &cautions);
    doubt_water(sheet, &cautions);
    doubt_bags(sheet, &cautions);
    doubt_expected(sheet, &cautions);
    *n_doubts = cautions.n;
    warn_material(sheet, &cautions);
    warn_weight(sheet, us, &cautions);
    return cautions.n;
}

/* Of the water to start with, what the dry light aggregate drinks. */
static void step_wet(const struct batch_sheet *sheet, enum batch_part part, bool us, char *out, size_t size)
{
    const struct batch_ingredient *light = &sheet->ingredient[BATCH_LIGHT];
    double drinks_kg = -light->free_water_kg_m3 * sheet->concrete_l[part] / L_PER_M3;
    char first[80];
    out[0] = '\0';
    if (!light->name || !(drinks_kg > 0))
        return;
    batch_water_words(fmin(drinks_kg, sheet->water.start_kg[part]), us, first, sizeof first);
    snprintf(out, size, "Wet the %.60s with about %s of %s water to start with, and let it drink while you weigh the rest.", light->name, first,
             part == BATCH_LOAD ? "each load's" : "the");
}

static void step_measure(const struct batch_sheet *sheet, bool us, char *out, size_t size)
{
    double litres = us ? MEASURE_FT3 * unit_find(units_volume, "ft3")->factor : MEASURE_L;
    char full[64], measure[64];
    batch_mass_words(sheet->fresh_kg_m3 * litres / L_PER_M3, us, full, sizeof full);
    batch_told_volume_words(litres, us, measure, sizeof measure);
    snprintf(out, size, "Fill a measure, shake it down and strike it off: the concrete in %s should weigh %s. More means too little concrete, less means "
             "too much air: write it down.", measure, full);
}

size_t batch_sheet_steps(const struct batch_sheet *sheet, bool us, char steps[BATCH_STEPS][300])
{
    enum batch_part part = isnan(sheet->concrete_l[BATCH_LOAD]) ? batch_sheet_main(sheet) : BATCH_LOAD;
    const struct batch_ingredient *fibre = &sheet->ingredient[BATCH_FIBRE], *pigment = &sheet->ingredient[BATCH_PIGMENT];
    size_t n = 0;
    step_wet(sheet, part, us, steps[n], sizeof steps[n]);
    n += steps[n][0] != '\0';
    snprintf(steps[n++], sizeof steps[0], "Aggregates and half of the water to start with into the running mixer; then %.60s%s, then the other half%s.",
             sheet->ingredient[BATCH_BINDER].name, pigment->name ? " with the pigment" : "", fibre->name ? "; fibre last, strewn in" : "");
    snprintf(steps[n++], sizeof steps[0], "Mix three minutes. Add from the water held back, a little at a time, only until it can be placed; write down what is left.");
    step_measure(sheet, us, steps[n++], sizeof steps[0]);
    snprintf(steps[n++], sizeof steps[0], "Cast specimens from %s, then the pieces. Cover at once, keep damp, demould when hard.",
             sheet->n_loads > 1 ? "each load" : "the batch");
    return n;
}
