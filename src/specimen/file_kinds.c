#include "specimen/file_kinds.h"

#include "specimen/file_rules.h"
#include "specimen/specimen_fields.h"

#include <string.h>

struct file_kind file_kind(int which)
{
    switch (which) {
    case FILE_MIXES:
        return (struct file_kind){ "mixes.csv", "--mixes", "one row a recipe", mix_rules, n_mix_rules };
    case FILE_MATERIALS:
        return (struct file_kind){ "materials.csv", "--materials", "one row an ingredient", material_rules, n_material_rules };
    case FILE_WEIGHINGS:
        return (struct file_kind){ "weighings.csv", "--weighings", "one row a weighing", weighing_rules, n_weighing_rules };
    case FILE_FRESH:
        return (struct file_kind){ "fresh.csv", "--fresh", "one row a batch", fresh_rules, n_fresh_rules };
    default:
        return (struct file_kind){ "specimens.csv", "", "one row a specimen", specimen_rules, n_specimen_rules };
    }
}

const char *file_kind_words(int which, size_t rule)
{
    struct file_kind kind = file_kind(which);
    if (which == FILE_SPECIMENS)
        return specimen_field_words(specimen_fields[rule].kind);
    if (strcmp(kind.rules[rule].name, "price_per") == 0)
        return "bag, or a unit of mass or volume such as kg or L";
    return strcmp(kind.rules[rule].name, "dried_in") == 0 ? "oven or air" : NULL;
}

bool file_kind_own(int which, size_t rule)
{
    return which == FILE_SPECIMENS && specimen_fields[rule].kind == FIELD_IGNORED;
}
