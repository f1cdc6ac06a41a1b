#include "ingest/everyday_words.h"

#include "ingest/headings.h"

#include <string.h>

/* The first that some rule of the file goes by counts, so that "name" is the specimen here and the material there. */
static const struct { const char *word, *column; } everyday_words[] = {
    { "weight", "mass" },
    { "wt", "mass" },
    { "weight in water", "mass_submerged" },
    { "submerged weight", "mass_submerged" },
    { "saturated weight", "mass_saturated" },
    { "dry weight", "mass_oven_dry" },
    { "oven dry weight", "mass_oven_dry" },
    { "side", "length" },
    { "edge", "length" },
    { "size", "length" },
    { "breadth", "width" },
    { "depth", "height" },
    { "thickness", "height" },
    { "dia", "diameter" },
    { "load", "break_load" },
    { "max load", "break_load" },
    { "maximum load", "break_load" },
    { "peak load", "break_load" },
    { "failure load", "break_load" },
    { "ultimate load", "break_load" },
    { "force", "break_load" },
    { "fraction", "aggregate_fraction" },
    { "replacement", "aggregate_fraction" },
    { "light fraction", "aggregate_fraction" },
    { "condition", "moisture" },
    { "state", "moisture" },
    { "moisture state", "moisture" },
    { "moisture condition", "moisture" },
    { "curing", "moisture" },
    { "strength", "compressive_strength" },
    { "compression", "compressive_strength" },
    { "fc", "compressive_strength" },
    { "flexure", "flexural_strength" },
    { "modulus of rupture", "flexural_strength" },
    { "tensile strength", "splitting_strength" },
    { "unit weight", "density" },
    { "water absorption", "absorption" },
    { "porosity", "voids" },
    { "id", "specimen" },
    { "sample", "specimen" },
    { "name", "specimen" },
    { "recipe", "mix" },
    { "design", "mix" },
    { "pour", "batch" },
    { "lot", "batch" },
    { "form", "shape" },
    { "type", "shape" },
    { "days", "age" },
    { "cast", "cast_on" },
    { "cast date", "cast_on" },
    { "date cast", "cast_on" },
    { "tested", "tested_on" },
    { "test date", "tested_on" },
    { "date tested", "tested_on" },
    { "comment", "note" },
    { "comments", "note" },
    { "remark", "note" },
    { "remarks", "note" },
    { "water cement", "water_binder" },
    { "w/c", "water_binder" },
    { "w/b", "water_binder" },
    { "cement", "binder" },
    { "cement parts", "binder_parts" },
    { "aggregate parts", "light_parts" },
    { "fiber", "fibre" },
    { "fibres", "fibre" },
    { "ingredient", "material" },
    { "name", "material" },
    { "loose density", "bulk_density" },
    { "cost", "price" },
    { "unit", "price_per" },
    { "per", "price_per" },
    { "bag weight", "bag" },
    { "weighed", "weighed_on" },
    { "date", "weighed_on" },
    { "time", "hours" },
};

static const struct column_rule *rule_called(const char *name, const struct column_rule *rules, size_t n_rules)
{
    for (size_t i = 0; i < n_rules; i++)
        if (strcmp(rules[i].name, name) == 0)
            return &rules[i];
    return NULL;
}

/* "weight" itself, "weight (g)" or "weight_g". */
static bool says(const char *heading, const char *word, const struct column_rule *rule)
{
    struct span name, bracket;
    heading_split(heading, &name, &bracket);
    if (span_same(name, span_of(word)))
        return true;
    struct span rest = rule->units ? heading_rest(heading, word) : (struct span){ NULL, 0 };
    return rest.length > 0 && unit_match(rule->units, rest.at, rest.length);
}

const char *everyday_column(const char *heading, const struct column_rule *rules, size_t n_rules)
{
    for (size_t i = 0; i < sizeof everyday_words / sizeof everyday_words[0]; i++) {
        const struct column_rule *rule = rule_called(everyday_words[i].column, rules, n_rules);
        if (rule && says(heading, everyday_words[i].word, rule))
            return rule->name;
    }
    return NULL;
}
