#include "output/words.h"

#include "advise/words.h"
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

struct curve_units words_curve_units(const struct curve *curve, bool us)
{
    bool on_property = curve->predictor < PROPERTY_COUNT;
    return (struct curve_units){ on_property ? 1 / words_shown(curve->predictor, 1, us) : 1, 1 / words_shown(curve->property, 1, us) };
}

static bool is_word_sign(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
}

/* Whether what is written so far ends in a unit that lacks its raised 3: "kg/m", "per m", "12 ft". A name "m" is none. */
static bool lacks_cube(const struct text *text)
{
    static const char *const fronts[] = { "kg/m", "lb/ft", "lb/yd", "per m", "per yd", " a m" };
    static const char *const bare[] = { " m", " ft", " yd" };
    for (size_t i = 0; i < sizeof fronts / sizeof fronts[0]; i++) {
        size_t length = strlen(fronts[i]);
        if (text->length >= length && memcmp(text->bytes + text->length - length, fronts[i], length) == 0)
            return true;
    }
    for (size_t i = 0; i < sizeof bare / sizeof bare[0]; i++) {
        size_t length = strlen(bare[i]);
        if (text->length > length && memcmp(text->bytes + text->length - length, bare[i], length) == 0) {
            char before = text->bytes[text->length - length - 1];
            return before >= '0' && before <= '9';
        }
    }
    return false;
}

void words_add_printed(struct text *out, const char *string)
{
    const char *start = string;
    for (; *string; string++) {
        if (*string != '3' || is_word_sign(string[1]))
            continue;
        text_add_bytes(out, start, (size_t)(string - start));
        start = string;
        if (!lacks_cube(out))
            continue;
        text_add(out, "\xC2\xB3");
        start++;
    }
    text_add_bytes(out, start, (size_t)(string - start));
}

/* Whether a unit as we print it begins here, and nothing else that begins alike ("in" but not "inside"). */
static bool begins_with_unit(const char *at)
{
    static const char *const units[] = {
        "%", "kg/m3", "kg/m\xC2\xB3", "kg", "g", "lb/ft3", "lb/ft\xC2\xB3", "lb", "oz", "MPa", "psi", "mm", "in", "L", "mL", "gal",
        "m3", "m\xC2\xB3", "ft3", "ft\xC2\xB3", "yd3", "yd\xC2\xB3", "days", "specimens", "batches",
    };
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
        size_t length = strlen(units[i]);
        if (strncmp(at, units[i], length) == 0 && !is_word_sign(at[length]))
            return true;
    }
    return false;
}

void words_add_unbroken(struct text *out, const char *string)
{
    const char *start = string, *at = string;
    for (; *at; at++) {
        if (*at != ' ' || at == string || at[-1] < '0' || at[-1] > '9' || !begins_with_unit(at + 1))
            continue;
        text_add_bytes(out, start, (size_t)(at - start));
        text_add(out, "\xC2\xA0");
        start = at + 1;
    }
    text_add_bytes(out, start, (size_t)(at - start));
}

void words_value(enum property property, double value, bool us, char out[WORDS_MAX])
{
    if (isfinite(value))
        value_words(property, value, us, out, WORDS_MAX);
    else
        snprintf(out, WORDS_MAX, "-");
}

void words_outcome(const struct demand_outcome *outcome, double value, bool us, char out[WORDS_MAX])
{
    if (isfinite(value))
        outcome_words(outcome, value, us, out, WORDS_MAX);
    else
        snprintf(out, WORDS_MAX, "-");
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

void words_lighter(double percent_lighter, char out[WORDS_MAX])
{
    char shown[64];
    number_show(fabs(percent_lighter), 0.1, "-", shown, sizeof shown);
    snprintf(out, WORDS_MAX, "%s %% %s", shown, percent_lighter < 0 ? "heavier" : "lighter");
}

void words_lighter_range(double percent_lighter, double lower, double upper, char out[WORDS_MAX])
{
    char low[64], high[64];
    const bool heavier = percent_lighter < 0;
    number_show(heavier ? -upper : lower, 0.1, "-", low, sizeof low);
    number_show(heavier ? -lower : upper, 0.1, "-", high, sizeof high);
    snprintf(out, WORDS_MAX, "%s to %s", low, high);
}

const char *words_demand_json(const struct demand *demand)
{
    if (demand->kind == DEMAND_PROPERTY)
        return property_row(demand->property)->name;
    return demand->kind == DEMAND_PIECE_MASS ? "piece_mass" : "cost";
}

const char *words_short(enum property property)
{
    static const char *const words[PROPERTY_COUNT] = { "density", "compressive", "flexural", "splitting", "absorption", "voids" };
    return words[property];
}

const char *words_aggregate(const struct specimen_set *set, uint32_t aggregate)
{
    return set && aggregate < set->n_aggregates ? set->aggregates[aggregate] : "";
}

const char *words_mix(const struct specimen_set *set, uint32_t mix)
{
    return set && mix < set->n_mixes ? set->mixes[mix].name : "";
}

bool words_is_nameless(const struct specimen_set *set, uint32_t aggregate)
{
    return !set->has_aggregate_column && strcmp(words_aggregate(set, aggregate), "all") == 0;
}

void words_recipe(const struct specimen_set *set, const struct candidate *candidate, char out[WORDS_MAX])
{
    char fraction[32];
    fraction_words(candidate->shown_fraction, fraction, sizeof fraction);
    if (!candidate->interpolated)
        snprintf(out, WORDS_MAX, "mix %s", words_mix(set, candidate->mix));
    else if (words_is_nameless(set, candidate->aggregate))
        snprintf(out, WORDS_MAX, "aggregate fraction %s", fraction);
    else
        snprintf(out, WORDS_MAX, "%s at %s", words_aggregate(set, candidate->aggregate), fraction);
}

void words_assurance(const struct specimen_set *set, const struct assurance *assurance, char out[WORDS_MAX])
{
    char subject[128];
    assured_subject_words(assurance, set->n_batches < set->n, subject, sizeof subject);
    snprintf(out, WORDS_MAX, "%s, %g %% sure", subject, 100 * assurance->confidence);
}

void words_basis(const struct specimen_set *set, const struct recommend_request *request, const struct recommendation *answer,
                 char out[WORDS_MAX])
{
    struct text words = { 0 };
    bool known = answer->n_candidates > 0
        && assured_basis_words(&request->assurance, &answer->candidates[0], &words) == STATUS_OK;
    if (known)
        snprintf(out, WORDS_MAX, "%s", words.bytes);
    else
        words_assurance(set, &request->assurance, out);
    text_release(&words);
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

size_t words_flag_counts(const struct specimen_set *set, size_t counts[FLAG_KINDS])
{
    size_t any = 0;
    for (unsigned bit = 0; bit < FLAG_KINDS; bit++)
        counts[bit] = 0;
    for (size_t i = 0; i < set->n; i++)
        for (uint32_t left = set->flags[i], bit = 0; left; left >>= 1, bit++) {
            counts[bit] += left & 1u;
            any += left & 1u;
        }
    return any;
}
