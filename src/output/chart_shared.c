#include "output/chart_builders.h"

#include "advise/words.h"
#include "base/memory.h"
#include "output/escape.h"
#include "output/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define ROW_NAME_CHARACTERS 28
#define POINTS_DRAWN 4000

enum property chart_strength(const struct chart_source *source)
{
    return source->answer->strength;
}

const struct candidate *chart_winner(const struct chart_source *source)
{
    return source->answer->found ? &source->answer->candidates[source->answer->winner] : NULL;
}

void chart_axis_title(enum property property, bool us, char *out, size_t size)
{
    snprintf(out, size, "%s (%s)", property_row(property)->words, property_unit(property, us));
}

void chart_age(const struct chart_source *source, char *out, size_t size)
{
    double age = source->answer->selection.age_days;
    if (isfinite(age))
        snprintf(out, size, " at %g days", age);
    else
        snprintf(out, size, "%s", "");
}

const struct demand *chart_demand(const struct chart_source *source, enum property property, bool *is_limit)
{
    const struct recommend_request *request = source->request;
    const struct demand *demand = NULL;
    for (size_t i = 0; i < request->n_targets; i++)
        if (request->targets[i].kind == DEMAND_PROPERTY && request->targets[i].property == property
            && (!demand || request->targets[i].value > demand->value))
            demand = &request->targets[i];
    *is_limit = demand == NULL;
    for (size_t i = 0; *is_limit && i < request->n_limits; i++)
        if (request->limits[i].kind == DEMAND_PROPERTY && request->limits[i].property == property
            && (!demand || request->limits[i].value < demand->value))
            demand = &request->limits[i];
    return demand;
}

void chart_demand_label(const struct demand *demand, bool is_limit, bool us, char *out, size_t size)
{
    char value[128];
    demand_value_words(demand, us, value, sizeof value);
    snprintf(out, size, "%s %s", is_limit ? "limit" : "target", value);
}

static bool has_light_mix(const struct specimen_set *set, uint32_t aggregate)
{
    for (size_t i = 0; i < set->n_mixes; i++)
        if (set->mixes[i].aggregate == aggregate && set->mixes[i].aggregate_fraction > 0)
            return true;
    return false;
}

/* Aggregates that only stand in the reference mix come last, so that the first colours go to the others. */
size_t chart_slot(const struct chart_source *source, uint32_t aggregate)
{
    bool light = has_light_mix(source->set, aggregate);
    size_t slot = 0;
    for (uint32_t i = 0; i < source->set->n_aggregates; i++) {
        bool other_light = has_light_mix(source->set, i);
        bool before = other_light == light ? i < aggregate : other_light;
        slot += before ? 1 : 0;
    }
    return slot;
}

const char *chart_aggregate(const struct chart_source *source, uint32_t aggregate)
{
    return words_is_nameless(source->set, aggregate) ? "" : words_aggregate(source->set, aggregate);
}

const char *chart_fraction_title(const struct chart_source *source)
{
    return words_is_nameless(source->set, 0) ? "aggregate fraction" : "aggregate fraction (by loose volume)";
}

void chart_shapes(const struct chart_source *source, char *out, size_t size)
{
    static const char *const shapes[DRAWING_STYLES] = { "\xE2\x97\x8F", "\xE2\x96\xB2", "\xE2\x96\xA0", "\xE2\x97\x86", "\xE2\x96\xBC", "\xE2\xAC\x9F" };
    size_t used = 0;
    out[0] = '\0';
    if (source->set->n_aggregates < 2)
        return;
    for (size_t slot = 0; slot < source->set->n_aggregates; slot++)
        for (uint32_t a = 0; a < source->set->n_aggregates && used < size; a++) {
            if (chart_slot(source, a) != slot)
                continue;
            int more = snprintf(out + used, size - used, "%s%s\xC2\xA0%s", used ? ", " : " ", shapes[slot % DRAWING_STYLES], words_aggregate(source->set, a));
            used += more > 0 ? (size_t)more : 0;
        }
}

bool chart_has_batches(const struct chart_source *source)
{
    return source->set->n_batches < source->set->n;
}

size_t chart_stride(size_t n)
{
    return 1 + n / POINTS_DRAWN;
}

void chart_stride_words(size_t n, char *out, size_t size)
{
    static const char *const endings[] = { "th", "st", "nd", "rd" };
    size_t stride = chart_stride(n), last = stride % 10;
    const char *ending = last <= 3 && stride % 100 / 10 != 1 ? endings[last] : "th";
    out[0] = '\0';
    if (stride > 1)
        snprintf(out, size, " Every %zu%s is drawn.", stride, ending);
}

bool chart_batch_means(const struct sample *sample, double **x, double **y)
{
    size_t *counts = memory_new(sample->n_batches, sizeof *counts);
    *x = memory_new(sample->n_batches, sizeof **x);
    *y = memory_new(sample->n_batches, sizeof **y);
    bool good = counts && *x && *y;
    for (size_t i = 0; good && i < sample->n; i++) {
        (*x)[sample->batch[i]] += sample_x(sample, i);
        (*y)[sample->batch[i]] += sample->y[i];
        counts[sample->batch[i]]++;
    }
    for (size_t j = 0; good && j < sample->n_batches; j++) {
        (*x)[j] /= (double)counts[j];
        (*y)[j] /= (double)counts[j];
    }
    memory_free(counts);
    if (!good) {
        memory_free(*x);
        memory_free(*y);
        *x = *y = NULL;
    }
    return good;
}

double chart_mix_mean(const struct chart_source *source, uint32_t mix, enum property property)
{
    const struct mix_summary_list *list = &source->answer->mixes;
    for (size_t i = 0; i < list->n_items; i++)
        if (list->items[i].mix == mix && list->items[i].property[property].available)
            return list->items[i].property[property].mean;
    return NAN;
}

void chart_row_name(const char *name, char out[48])
{
    struct text cut = { 0 };
    escape_cut_middle(&cut, name, ROW_NAME_CHARACTERS);
    snprintf(out, 48, "%s", cut.bytes ? cut.bytes : "");
    text_release(&cut);
}

void chart_recipe_name(const struct chart_source *source, const struct candidate *candidate, char out[48])
{
    char recipe[WORDS_MAX], fraction[32];
    if (!candidate->interpolated) {
        words_recipe(source->set, candidate, recipe);
        chart_row_name(recipe, out);
        return;
    }
    fraction_words(candidate->shown_fraction, fraction, sizeof fraction);
    if (words_is_nameless(source->set, candidate->aggregate)) {
        snprintf(out, 48, "fraction %s", fraction);
        return;
    }
    /* The fraction is what tells curves' recipes apart, so the name gives way. */
    struct text name = { 0 };
    size_t behind = strlen(" at ") + strlen(fraction), limit = ROW_NAME_CHARACTERS - behind;
    do {
        text_clear(&name);
        escape_cut_middle(&name, words_aggregate(source->set, candidate->aggregate), limit);
    } while (name.length + behind >= 48 && limit-- > 1); /* bytes, where characters have several */
    snprintf(out, 48, "%s at %s", name.bytes ? name.bytes : "", fraction);
    text_release(&name);
}

double chart_row_margin(char (*names)[48], size_t n)
{
    double widest = 0;
    for (size_t i = 0; i < n; i++)
        widest = fmax(widest, drawing_text_width(names[i], 13));
    return 24 + widest;
}
