#include "output/words.h"

#include "base/number.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

double words_shown(enum property property, double value, bool us)
{
    const struct property_row *row = property_row(property);
    const struct unit *unit = unit_find(row->units, us ? row->us_unit : row->si_unit);
    return unit ? value / unit->factor : value;
}

void words_add_printed(struct text *out, const char *string)
{
    static const char *const units[] = { "kg/m3", "lb/ft3" };
    for (; *string; string++) {
        text_add_bytes(out, string, 1);
        for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
            size_t front = strlen(units[i]) - 1;
            bool whole = out->length >= front && string[1] == '3' && memcmp(out->bytes + out->length - front, units[i], front) == 0;
            if (whole) {
                text_add(out, "\xC2\xB3");
                string++;
                break;
            }
        }
    }
}

void words_value(enum property property, double value, bool us, char out[WORDS_MAX])
{
    char number[64];
    property_show(property, value, us, number, sizeof number);
    snprintf(out, WORDS_MAX, isfinite(value) ? "%s %s" : "%s", number, property_unit(property, us));
}

void words_range(enum property property, double lower, double upper, bool us, char out[WORDS_MAX])
{
    char low[64], high[64];
    if (!isfinite(lower) || !isfinite(upper)) {
        snprintf(out, WORDS_MAX, "-");
        return;
    }
    property_show(property, lower, us, low, sizeof low);
    property_show(property, upper, us, high, sizeof high);
    snprintf(out, WORDS_MAX, "%s to %s", low, high);
}

const char *words_demand(const struct demand *demand)
{
    if (demand->kind == DEMAND_PROPERTY)
        return property_row(demand->property)->words;
    return demand->kind == DEMAND_PIECE_MASS ? "piece mass" : "cost";
}

const char *words_demand_json(const struct demand *demand)
{
    if (demand->kind == DEMAND_PROPERTY)
        return property_row(demand->property)->name;
    return demand->kind == DEMAND_PIECE_MASS ? "piece_mass" : "cost";
}

void words_demand_value(const struct demand *demand, double value, bool us, char out[WORDS_MAX])
{
    char number[64];
    if (demand->kind == DEMAND_PROPERTY) {
        words_value(demand->property, value, us, out);
    } else if (!isfinite(value)) {
        snprintf(out, WORDS_MAX, "-");
    } else if (demand->kind == DEMAND_PIECE_MASS) {
        const struct unit *pound = unit_find(units_mass, "lb");
        number_show(us && pound ? value / pound->factor : value, 0.1, "-", number, sizeof number);
        snprintf(out, WORDS_MAX, "%s %s", number, us ? "lb" : "kg");
    } else {
        number_show(value, 0.01, "-", number, sizeof number);
        snprintf(out, WORDS_MAX, "%s per m3", number);
    }
}

const char *words_aggregate(const struct specimen_set *set, uint32_t aggregate)
{
    return set && aggregate < set->n_aggregates ? set->aggregates[aggregate] : "";
}

const char *words_mix(const struct specimen_set *set, uint32_t mix)
{
    return set && mix < set->n_mixes ? set->mixes[mix].name : "";
}

void words_recipe(const struct specimen_set *set, const struct candidate *candidate, char out[WORDS_MAX])
{
    char fraction[32];
    number_show(candidate->aggregate_fraction, 0.001, "-", fraction, sizeof fraction);
    if (candidate->interpolated)
        snprintf(out, WORDS_MAX, "%s of %s", fraction, words_aggregate(set, candidate->aggregate));
    else
        snprintf(out, WORDS_MAX, "mix %s", words_mix(set, candidate->mix));
}

void words_assurance(const struct assurance *assurance, char out[WORDS_MAX])
{
    double sure = 100 * assurance->confidence;
    if (assurance->kind == ASSURANCE_FRACTILE)
        snprintf(out, WORDS_MAX, "%g %% of single specimens, %g %% sure", 100 * (1 - assurance->fractile), sure);
    else
        snprintf(out, WORDS_MAX, "%s, %g %% sure",
                 assurance->kind == ASSURANCE_MEAN ? "mean of the recipe" : "mean of the next batch", sure);
}

const char *words_kind(const struct candidate *candidate)
{
    return candidate->interpolated ? "interpolated" : "tested";
}

void words_flags(unsigned flags, char out[WORDS_MAX])
{
    size_t used = 0;
    out[0] = '\0';
    for (unsigned i = 0; i < FLAG_KINDS; i++) {
        if (!(flags & 1u << i) || used >= WORDS_MAX)
            continue;
        int more = snprintf(out + used, WORDS_MAX - used, "%s%s", used ? " " : "", flag_word(1u << i));
        used += more > 0 ? (size_t)more : 0;
    }
}
