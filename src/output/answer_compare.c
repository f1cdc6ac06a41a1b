#include "output/answer_compare.h"

#include "base/memory.h"
#include "base/number.h"
#include "output/answer_compare_words.h"
#include "output/answer_trials.h"
#include "output/table.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* A mix with what it is ordered by. */
struct ordered { uint32_t mix, aggregate; double fraction; };

static int by_aggregate_and_fraction(const void *left, const void *right)
{
    const struct ordered *a = left, *b = right;
    if (a->aggregate != b->aggregate)
        return a->aggregate < b->aggregate ? -1 : 1;
    if (a->fraction < b->fraction || a->fraction > b->fraction)
        return a->fraction < b->fraction ? -1 : 1;
    return (a->mix > b->mix) - (a->mix < b->mix);
}

/* Mixes shown, aggregate by aggregate, by rising fraction. NULL when memory is out. */
static struct ordered *order_mixes(const struct specimen_set *set, const struct mix_comparison *answer, size_t *n)
{
    struct ordered *mixes = memory_new(set->n_mixes, sizeof *mixes);
    *n = 0;
    for (uint32_t mix = 0; mixes && mix < set->n_mixes; mix++)
        if (answer->shown[mix])
            mixes[(*n)++] = (struct ordered){ mix, set->mixes[mix].aggregate, set->mixes[mix].aggregate_fraction };
    if (mixes)
        qsort(mixes, *n, sizeof *mixes, by_aggregate_and_fraction);
    return mixes;
}

static bool property_shown(const struct specimen_set *set, const struct mix_comparison *answer, enum property property)
{
    return set->value[property] && answer->property[property].n_mixes > 0;
}

static void percent_words(const struct mix_summary *summary, char out[WORDS_MAX])
{
    if (!summary->percent_lighter.available)
        snprintf(out, WORDS_MAX, "-");
    else if (summary->percent_lighter.bounded)
        snprintf(out, WORDS_MAX, "%.1f (%.1f to %.1f)", summary->percent_lighter.estimate, summary->percent_lighter.lower,
                 summary->percent_lighter.upper);
    else
        snprintf(out, WORDS_MAX, "%.1f (not bounded)", summary->percent_lighter.estimate);
}

static void mean_words(enum property property, const struct mix_property *of, bool us, char out[WORDS_MAX])
{
    property_show(property, of->available ? of->mean : NAN, us, out, WORDS_MAX);
}

static void add_means_row(const struct specimen_set *set, const struct mix_comparison *answer, uint32_t mix, bool us, struct table *table)
{
    const struct mix_summary *summary = &answer->means.items[mix];
    char cell[WORDS_MAX];
    size_t n_batches = 0;
    table_cell(table, set->mixes[mix].name);
    table_cell(table, words_aggregate(set, set->mixes[mix].aggregate));
    for (enum property p = 0; p < PROPERTY_COUNT; p++)
        n_batches = summary->property[p].n_batches > n_batches ? summary->property[p].n_batches : n_batches;
    table_cellf(table, "%zu", n_batches);
    for (enum property p = 0; p < PROPERTY_COUNT; p++) {
        if (!property_shown(set, answer, p))
            continue;
        mean_words(p, &summary->property[p], us, cell);
        table_cell(table, cell);
        if (p != PROPERTY_DENSITY || answer->reference == SAMPLE_ALL)
            continue;
        percent_words(summary, cell);
        table_cell(table, cell);
    }
}

static void add_means(const struct specimen_set *set, const struct mix_comparison *answer, const struct ordered *mixes, size_t n,
                      bool us, struct text *out)
{
    static const char *const short_words[PROPERTY_COUNT] = { "density", "compressive", "flexural", "splitting", "absorption", "voids" };
    char headings[PROPERTY_COUNT][48];
    struct table table = { 0 };
    table_column(&table, "mix", false);
    table_column(&table, "aggregate", false);
    table_column(&table, answer->batches_told ? "batches" : "specimens", true);
    for (enum property p = 0; p < PROPERTY_COUNT; p++) {
        if (!property_shown(set, answer, p))
            continue;
        snprintf(headings[p], sizeof headings[p], "%s %s", short_words[p], property_unit(p, us));
        table_column(&table, headings[p], true);
        if (p == PROPERTY_DENSITY && answer->reference != SAMPLE_ALL)
            table_column(&table, "% lighter", true);
    }
    for (size_t i = 0; i < n; i++)
        add_means_row(set, answer, mixes[i].mix, us, &table);
    text_add(out, "\nMeans of the mixes");
    if (answer->reference != SAMPLE_ALL) {
        text_add(out, ", and how much lighter each is than mix '");
        text_add_printable(out, words_mix(set, answer->reference));
        text_addf(out, "' (in brackets: %g %% sure)", 100 * answer->confidence);
    }
    text_add(out, "\n");
    table_show(&table, out);
    table_release(&table);
}

/* The comparison of a with b, turned if need be; false when there is none. */
static bool find_pair(const struct comparison *pairs, size_t n, size_t a, size_t b, struct comparison *pair)
{
    for (size_t i = 0; i < n; i++) {
        *pair = pairs[i];
        if (pair->a == a && pair->b == b)
            return true;
        if (pair->a != b || pair->b != a)
            continue;
        pair->difference = -pairs[i].difference;
        pair->lower = -pairs[i].upper;
        pair->upper = -pairs[i].lower;
        return true;
    }
    return false;
}

static void add_pair_cells(enum property property, const struct comparison *pairs, size_t n, size_t a, size_t b, bool us, struct table *table)
{
    char cell[WORDS_MAX];
    struct comparison pair;
    if (!find_pair(pairs, n, a, b, &pair)) {
        table_cell(table, "-");
        table_cell(table, "");
        return;
    }
    compare_difference_words(property, &pair, us, cell);
    table_cell(table, cell);
    table_cell(table, compare_told_apart(&pair) ? "yes" : "no");
}

static void sd_words(enum property property, double sd, bool us, char out[WORDS_MAX])
{
    number_show_significant(words_shown(property, sd, us), 2, out, WORDS_MAX);
}

static void add_difference_row(const struct mix_comparison *answer, const struct specimen_set *set, enum property property,
                               const struct ordered *mix, const struct ordered *above, bool us, struct table *table)
{
    const struct mix_property *of = &answer->means.items[mix->mix].property[property];
    const struct property_comparison *family = &answer->property[property];
    char cell[WORDS_MAX];
    table_cell(table, set->mixes[mix->mix].name);
    sd_words(property, of->sd_batch, us, cell);
    table_cell(table, cell);
    sd_words(property, of->sd_specimen, us, cell);
    table_cell(table, cell);
    if (answer->reference != SAMPLE_ALL)
        add_pair_cells(property, family->against, family->n_against, mix->mix, answer->reference, us, table);
    add_pair_cells(property, family->pairs, family->n_pairs, mix->mix, above && above->aggregate == mix->aggregate ? above->mix : SAMPLE_ALL,
                   us, table);
}

static void add_difference_title(const struct specimen_set *set, const struct mix_comparison *answer, enum property property, bool us,
                                 struct text *out)
{
    const struct property_comparison *family = &answer->property[property];
    text_addf(out, "\n%s, %s: standard deviations, and differences that are %g %% sure all at once\n(%s",
              property_row(property)->words, property_unit(property, us), 100 * answer->confidence,
              comparison_method_word(family->pairs_method));
    if (answer->reference != SAMPLE_ALL) {
        text_addf(out, "; %s against '", comparison_method_word(family->against_method));
        text_add_printable(out, words_mix(set, answer->reference));
        text_add(out, "'");
    }
    text_add(out, family->log_scale ? "; on logarithms)\n" : ")\n");
}

static void add_differences(const struct specimen_set *set, const struct mix_comparison *answer, const struct ordered *mixes, size_t n,
                            enum property property, bool us, struct text *out)
{
    struct table table = { 0 };
    table_column(&table, "mix", false);
    table_column(&table, "between batches", true);
    table_column(&table, "within them", true);
    if (answer->reference != SAMPLE_ALL) {
        table_column(&table, "against the reference", true);
        table_column(&table, "differs", false);
    }
    table_column(&table, "against the mix above", true);
    table_column(&table, "differs", false);
    const struct ordered *above = NULL;
    for (size_t i = 0; i < n; i++) {
        if (!answer->means.items[mixes[i].mix].property[property].available)
            continue;
        add_difference_row(answer, set, property, &mixes[i], above, us, &table);
        above = &mixes[i];
    }
    add_difference_title(set, answer, property, us, out);
    table_show(&table, out);
    table_release(&table);
}

static void reach_words(const struct aggregate_at_target *at, enum property property, bool us, char out[WORDS_MAX])
{
    char value[WORDS_MAX];
    if (at->reach == REACH_NOWHERE) {
        words_value(property, at->best, us, value);
        snprintf(out, WORDS_MAX, "not reached, %.60s at most", value);
    } else if (at->reach == REACH_NO_CURVE) {
        snprintf(out, WORDS_MAX, "no curve");
    } else {
        snprintf(out, WORDS_MAX, at->reach == REACH_BEYOND ? "beyond %.3f" : "%.3f", at->aggregate_fraction);
    }
}

static void density_words(const struct aggregate_at_target *at, bool us, char out[WORDS_MAX])
{
    char density[64], range[WORDS_MAX];
    property_show(PROPERTY_DENSITY, at->density_kg_m3, us, density, sizeof density);
    words_range(PROPERTY_DENSITY, at->lower, at->upper, us, range);
    if (isfinite(at->density_kg_m3))
        snprintf(out, WORDS_MAX, "%s%s (%.80s)", at->reach == REACH_BEYOND ? "under " : "", density, range);
    else
        snprintf(out, WORDS_MAX, "-");
}

static void add_target(const struct specimen_set *set, const struct target_comparison *target, bool us, struct text *out)
{
    char cell[WORDS_MAX], heading[80];
    struct table table = { 0 };
    snprintf(heading, sizeof heading, "density %s", property_unit(PROPERTY_DENSITY, us));
    table_column(&table, "aggregate", false);
    table_column(&table, "aggregate fraction", false);
    table_column(&table, heading, true);
    table_column(&table, "law of strength", false);
    table_column(&table, "law of density", false);
    for (size_t i = 0; i < target->n_aggregates; i++) {
        const struct aggregate_at_target *at = &target->aggregates[i];
        const bool curved = at->reach != REACH_NO_CURVE;
        table_cell(&table, words_aggregate(set, at->aggregate));
        reach_words(at, target->property, us, cell);
        table_cell(&table, cell);
        density_words(at, us, cell);
        table_cell(&table, cell);
        table_cell(&table, curved ? law_word(at->strength_law) : "-");
        table_cell(&table, curved ? law_word(at->density_law) : "-");
    }
    words_value(target->property, target->value, us, cell);
    text_addf(out, "\nAggregates where the mean %s is %s\n", property_row(target->property)->words, cell);
    table_show(&table, out);
    table_release(&table);
}

enum status answer_compare_table(const struct specimen_set *set, const struct mix_comparison *answer, bool us, struct text *out)
{
    size_t n;
    struct ordered *mixes = order_mixes(set, answer, &n);
    if (!mixes)
        return STATUS_MEMORY;
    if (n > 0) {
        compare_add_sentences(set, answer, us, out);
        for (size_t i = 0; i < answer->n_targets; i++)
            add_target(set, &answer->targets[i], us, out);
        add_means(set, answer, mixes, n, us, out);
    }
    for (enum property p = 0; p < PROPERTY_COUNT; p++)
        if (property_shown(set, answer, p) && answer->property[p].n_pairs + answer->property[p].n_against > 0)
            add_differences(set, answer, mixes, n, p, us, out);
    compare_add_lines(set, answer, out);
    enum status status = answer_trials_table(set, &answer->trials, out);
    compare_add_cautions(set, answer, us, out);
    memory_free(mixes);
    return status != STATUS_OK ? status : out->failed ? STATUS_MEMORY : STATUS_OK;
}
