#include "commands/options.h"

#include "advise/batch_sheet.h"

#include <stddef.h>

/* Options of the commands that prepare casting. */

#define AT(member) offsetof(struct study_options, member)

static const char *const water_words[] = {[WATER_NET] = "net", [WATER_TOTAL] = "total", NULL};

const struct option_row batch_rows[BATCH_ROWS] = {
    {"mix", OPTION_TEXT, "NAME", "the recipe: this mix of the mixes file", AT(mix), 0, 0, NULL},
    {"fraction", OPTION_TEXT, "SHARE", "the recipe: --aggregate at this share of the loose volume, between the tested mixes", AT(fraction), 0, 0, NULL},
    {"recommended", OPTION_FLAG, NULL, "the recipe: what 'recommend' says with the same options", AT(recommended), 0, 0, NULL},
    {"pieces", OPTION_WHOLE, "N", "how many pieces of --piece to cast", AT(pieces), 1, 1000000, NULL},
    {"waste", OPTION_TEXT, "PERCENT", "concrete made above the volume of the pieces (10 %)", AT(waste), 0, 0, NULL},
    {"trial", OPTION_TEXT, "VOLUME", "amounts of a trial batch too, such as 20L", AT(trial), 0, 0, NULL},
    {"mixer", OPTION_TEXT, "VOLUME", "fresh concrete that the mixer gives at a time, such as 60L", AT(mixer), 0, 0, NULL},
    {"hold-back", OPTION_TEXT, "PERCENT", "share of the water that is held back at first (20 %)", AT(hold_back), 0, 0, NULL},
    {"yield", OPTION_NUMBER, "RATIO", "concrete over loose volumes of the dry ingredients, when measured (the mixes file's)", AT(yield), 0.2, 2, NULL},
    {"water-counts", OPTION_CHOICE, NULL, "whether water over binder is net or counts what the grains drink (net)", AT(water_counts), 0, 0, water_words},
    {"aggregate-moisture", OPTION_TEXT, "PERCENT", "water that the light aggregate holds, of its dry mass (the materials file's, else dry)",
     AT(light_moisture), 0, 0, NULL},
    {"sand-moisture", OPTION_TEXT, "PERCENT", "water that the sand holds", AT(sand_moisture), 0, 0, NULL},
    {"gravel-moisture", OPTION_TEXT, "PERCENT", "water that the gravel holds", AT(gravel_moisture), 0, 0, NULL},
};

const struct option_row fresh_rows[FRESH_ROWS] = {
    {"fresh", OPTION_TEXT, "FILE", "tests of the fresh concrete, a row a batch: density, yield, air, cement content (docs/files.md)", AT(fresh), 0, 0, NULL},
};

const struct option_row plan_rows[PLAN_ROWS] = {
    {"difference", OPTION_TEXT_LIST, "NAME=VALUE", "a difference between two mixes that should be seen, such as compressive_strength=2MPa (repeatable)",
     AT(differences), 0, 0, NULL},
    {"power", OPTION_NUMBER, "CHANCE", "wanted chance that a bound clears, or that a difference is seen (0.8)", AT(power), 0.5, 0.999, NULL},
};
