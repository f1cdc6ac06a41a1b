#include "output/answer_compare_words.h"

#include "base/number.h"
#include "output/table.h"

#include <math.h>
#include <stdio.h>

#define PAGE_WIDTH 96

bool compare_told_apart(const struct comparison *pair)
{
    return pair->lower > 0 || pair->upper < 0;
}

/* In the standard's rounding, unless that would make nothing of it. */
static void show_difference(enum property property, double value, bool us, char *out, size_t size)
{
    const struct property_row *row = property_row(property);
    const double step = us ? row->us_step : row->si_step, shown = words_shown(property, value, us);
    if (fabs(shown) < step)
        number_show_significant(shown, 1, out, size);
    else
        property_show(property, value, us, out, size);
}

void compare_difference_words(enum property property, const struct comparison *pair, bool us, char out[WORDS_MAX])
{
    char difference[64], lower[64], upper[64];
    show_difference(property, pair->difference, us, difference, sizeof difference);
    show_difference(property, pair->lower, us, lower, sizeof lower);
    show_difference(property, pair->upper, us, upper, sizeof upper);
    snprintf(out, WORDS_MAX, "%s (%s to %s)", difference, lower, upper);
}

void compare_add_paragraph(const struct text *paragraph, struct text *out)
{
    table_wrap(out, paragraph->bytes ? paragraph->bytes : "", 0, PAGE_WIDTH);
    out->failed |= paragraph->failed;
}

void compare_add_bullet(const struct text *line, struct text *out)
{
    text_add(out, "  - ");
    table_wrap(out, line->bytes ? line->bytes : "", 4, PAGE_WIDTH);
    out->failed |= line->failed;
}

static double percent_of(const struct mix_comparison *answer, size_t mix)
{
    return answer->means.items[mix].percent_lighter.estimate;
}

static void add_lightest(const struct specimen_set *set, const struct mix_comparison *answer, uint32_t mix, struct text *sentence)
{
    const struct mix_summary *summary = &answer->means.items[mix];
    const double percent = summary->percent_lighter.estimate;
    char lighter[WORDS_MAX], range[WORDS_MAX];
    words_lighter(percent, lighter);
    words_lighter_range(percent, summary->percent_lighter.lower, summary->percent_lighter.upper, range);
    if (percent < 0)
        text_addf(sentence, "No mix is lighter than '%s'; the next, '%s', is %s", words_mix(set, answer->reference), words_mix(set, mix), lighter);
    else
        text_addf(sentence, "The lightest mix, '%s', is %s than '%s'", words_mix(set, mix), lighter, words_mix(set, answer->reference));
    if (summary->percent_lighter.bounded)
        text_addf(sentence, " (%s %%, %g %% sure)", range, 100 * answer->confidence);
    else
        text_add(sentence, "; with so few batches the percentage cannot be bounded");
    text_add(sentence, ". ");
}

/* Lighter and heavier than the reference, and the extremes. */
static void add_percent_lighter(const struct specimen_set *set, const struct mix_comparison *answer, struct text *sentence)
{
    uint32_t best = SAMPLE_ALL;
    for (uint32_t mix = 0; mix < answer->means.n_items; mix++)
        if (answer->shown[mix] && answer->means.items[mix].percent_lighter.available
            && (best == SAMPLE_ALL || percent_of(answer, mix) > percent_of(answer, best)))
            best = mix;
    if (best != SAMPLE_ALL)
        add_lightest(set, answer, best, sentence);
}

static const struct aggregate_at_target *lightest_at(const struct target_comparison *target)
{
    const struct aggregate_at_target *best = NULL;
    for (size_t i = 0; i < target->n_aggregates; i++) {
        const struct aggregate_at_target *at = &target->aggregates[i];
        if (isfinite(at->density_kg_m3) && (!best || at->density_kg_m3 < best->density_kg_m3))
            best = at;
    }
    return best;
}

/* How much heavier another aggregate is at the same strength; pairs are kept either way round. */
static void add_heavier(const struct specimen_set *set, const struct target_comparison *target, const struct aggregate_at_target *best,
                        bool us, struct text *sentence)
{
    char words[WORDS_MAX];
    for (size_t i = 0; i < target->n_pairs; i++) {
        struct comparison pair = target->pairs[i];
        if (pair.a != best->aggregate && pair.b != best->aggregate)
            continue;
        if (pair.a == best->aggregate)
            pair = (struct comparison){ .a = pair.b, .b = pair.a, .difference = -pair.difference, .lower = -pair.upper, .upper = -pair.lower };
        compare_difference_words(PROPERTY_DENSITY, &pair, us, words);
        text_addf(sentence, "; %s is %s %s heavier%s", words_aggregate(set, (uint32_t)pair.a), words, property_unit(PROPERTY_DENSITY, us),
                  compare_told_apart(&pair) ? "" : ", which may be chance");
    }
}

static void add_target(const struct specimen_set *set, const struct mix_comparison *answer, const struct target_comparison *target, bool us,
                       struct text *sentence)
{
    const struct aggregate_at_target *best = lightest_at(target);
    char value[WORDS_MAX], density[WORDS_MAX], range[WORDS_MAX];
    words_value(target->property, target->value, us, value);
    if (!best) {
        text_addf(sentence, "No aggregate's curve reaches a mean %s of %s. ", property_row(target->property)->words, value);
        return;
    }
    words_value(PROPERTY_DENSITY, best->density_kg_m3, us, density);
    words_range(PROPERTY_DENSITY, best->lower, best->upper, us, range);
    text_addf(sentence, "At a mean %s of %s, %s%s: %s%s (%s, %g %% sure) at a fraction of %.3f",
              property_row(target->property)->words, value, target->n_aggregates > 1 ? words_aggregate(set, best->aggregate) : "the concrete weighs",
              target->n_aggregates > 1 ? " makes the lightest concrete" : "", best->reach == REACH_BEYOND ? "under " : "", density, range,
              100 * answer->confidence, best->aggregate_fraction);
    if (best->reach == REACH_FOUND)
        add_heavier(set, target, best, us, sentence);
    text_add(sentence, ". ");
}

static void add_told_apart(const struct mix_comparison *answer, struct text *sentence)
{
    bool first = true;
    for (enum property property = 0; property < PROPERTY_COUNT; property++) {
        const struct property_comparison *family = &answer->property[property];
        size_t apart = 0;
        for (size_t i = 0; i < family->n_pairs; i++)
            apart += compare_told_apart(&family->pairs[i]) ? 1 : 0;
        if (family->n_pairs == 0)
            continue;
        text_addf(sentence, "%s %zu of %zu in %s", first ? "Pairs of mixes that differ by more than the luck of batches explains:" : ",", apart,
                  family->n_pairs, property_row(property)->words);
        first = false;
    }
    if (!first)
        text_add(sentence, ".");
}

void compare_add_sentences(const struct specimen_set *set, const struct mix_comparison *answer, bool us, struct text *out)
{
    struct text sentence = { 0 };
    for (size_t i = 0; i < answer->n_targets; i++)
        add_target(set, answer, &answer->targets[i], us, &sentence);
    if (answer->reference != SAMPLE_ALL)
        add_percent_lighter(set, answer, &sentence);
    add_told_apart(answer, &sentence);
    if (sentence.length == 0)
        text_add(&sentence, "There are means, but no comparison that holds; the reasons stand below.");
    compare_add_paragraph(&sentence, out);
    text_release(&sentence);
}

/* "35 % stronger (20 to 52 %)": differences of logarithms are ratios. */
static void add_ratio(const struct comparison *pair, struct text *line)
{
    const double sign = pair->difference < 0 ? -1 : 1;
    const double low = 100 * (exp(sign * (sign > 0 ? pair->lower : pair->upper)) - 1);
    const double high = 100 * (exp(sign * (sign > 0 ? pair->upper : pair->lower)) - 1);
    text_addf(line, "%.0f %% stronger (%.0f to %.0f %%)", 100 * (exp(fabs(pair->difference)) - 1), low, high);
}

static void add_line_pair(const struct specimen_set *set, const struct line_comparison *lines, size_t i, struct text *line)
{
    const struct comparison *pair = &lines->pairs[i];
    const bool first = pair->difference >= 0;
    const char *a = words_aggregate(set, (uint32_t)pair->a), *b = words_aggregate(set, (uint32_t)pair->b);
    text_addf(line, "%s is ", first ? a : b);
    add_ratio(pair, line);
    text_addf(line, " than %s%s%s", first ? b : a, compare_told_apart(pair) ? "" : ", which may be chance",
              lines->apart[i] ? ", by extrapolation: the two were tested in different ranges" : "");
}

/* Only for strengths: what an aggregate is worth at equal density. */
static void add_lines(const struct specimen_set *set, const struct line_comparison *lines, struct text *out)
{
    const char *words = property_row(lines->property)->words;
    struct text line = { 0 };
    if (!lines->parallel) {
        text_addf(&line, "%s: the aggregates lose strength with density at different rates (p = %.2g), so that no single figure says which is "
                  "stronger at equal density; compare them at the strength that is needed with --target", words, lines->lines.common_slope.p);
        compare_add_bullet(&line, out);
    }
    for (size_t i = 0; lines->parallel && i < lines->n_pairs; i++) {
        text_clear(&line);
        text_addf(&line, "%s: ", words);
        add_line_pair(set, lines, i, &line);
        compare_add_bullet(&line, out);
    }
    text_release(&line);
}

void compare_add_lines(const struct specimen_set *set, const struct mix_comparison *answer, struct text *out)
{
    bool first = true;
    for (enum property property = 0; property < PROPERTY_COUNT; property++) {
        const struct line_comparison *lines = &answer->lines[property];
        if (!lines->available || !lines->log_scale || lines->predictor != PROPERTY_DENSITY)
            continue;
        if (first)
            text_add(out, "\nAggregates at equal density\n");
        first = false;
        add_lines(set, lines, out);
    }
}

static void add_caution(struct text *out, const char *words)
{
    struct text line = { 0 };
    text_add(&line, words);
    compare_add_bullet(&line, out);
    text_release(&line);
}

static void add_reasons(const struct specimen_set *set, const struct mix_comparison *answer, struct text *out)
{
    for (enum property property = 0; property < PROPERTY_COUNT; property++) {
        const struct property_comparison *family = &answer->property[property];
        struct text line = { 0 };
        if (!set->value[property] || !family->reason[0])
            continue;
        text_addf(&line, "%s: %s", property_row(property)->words, family->reason);
        compare_add_bullet(&line, out);
        text_release(&line);
    }
}

static void add_too_many(const struct mix_comparison *answer, struct text *out)
{
    struct text line = { 0 };
    for (enum property property = 0; property < PROPERTY_COUNT && line.length == 0; property++)
        if (answer->property[property].available && answer->property[property].n_pairs == 0)
            text_addf(&line, "%zu mixes have more pairs than can be read: each is compared with the reference only; choose some with "
                      "--aggregate to see their pairs", answer->property[property].n_mixes);
    if (line.length)
        compare_add_bullet(&line, out);
    text_release(&line);
}

static void add_target_reasons(const struct specimen_set *set, const struct mix_comparison *answer, struct text *out)
{
    for (size_t i = 0; i < answer->n_targets; i++)
        for (size_t k = 0; k < answer->targets[i].n_aggregates; k++) {
            const struct aggregate_at_target *at = &answer->targets[i].aggregates[k];
            struct text line = { 0 };
            if (at->reach != REACH_NO_CURVE)
                continue;
            text_addf(&line, "%s has no curve: %s", words_aggregate(set, at->aggregate), at->reason);
            compare_add_bullet(&line, out);
            text_release(&line);
        }
}

/* What the means are of, property by property. */
static void add_holds_for(const struct specimen_set *set, const struct mix_comparison *answer, bool us, struct text *out)
{
    struct text line = { 0 };
    char of[120];
    text_add(&line, "the numbers hold for what was tested: ");
    const size_t before = line.length;
    for (enum property property = 0; property < PROPERTY_COUNT; property++) {
        if (!set->value[property] || answer->property[property].n_mixes == 0)
            continue;
        selection_words(set, &answer->selection, property, us, of, sizeof of);
        text_addf(&line, "%s%s (%s)", line.length > before ? ", " : "", property_row(property)->words, of[0] ? of : "age and state not told");
    }
    if (line.length > before && !line.failed)
        add_caution(out, line.bytes);
    out->failed |= line.failed;
    text_release(&line);
}

void compare_add_cautions(const struct specimen_set *set, const struct mix_comparison *answer, bool us, struct text *out)
{
    text_add(out, "\nKeep in mind\n");
    add_holds_for(set, answer, us, out);
    if (answer->trials.n_items)
        add_caution(out, "shares of passes are bounded one mix at a time; where their bounds differ, the mixes need not");
    if (answer->batches_told)
        add_caution(out, "what is compared are means of batches: specimens of one batch share its luck, and more of them say "
                         "little more");
    else
        add_caution(out, "no batch is told, so each specimen counts as a batch; if specimens shared batches, the differences look surer "
                         "than they are");
    add_reasons(set, answer, out);
    add_too_many(answer, out);
    if (answer->n_targets)
        add_caution(out, "at the target it is the mean that reaches it, so about half of all batches would not: 'plumestone recommend' "
                         "says what may be assured; the intervals take the chosen laws as right");
    add_target_reasons(set, answer, out);
    add_caution(out, "where no difference is shown, one may still be there: too few batches cannot show it");
}
