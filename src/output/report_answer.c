#include "output/report_text.h"

#include "advise/words.h"
#include "base/number.h"
#include "output/escape.h"
#include "output/recommend_tables.h"
#include "output/words.h"

#include <math.h>
#include <stdio.h>

#define REASONS_SHOWN 7

static const struct candidate *winner_of(const struct report_source *source)
{
    return source->answer->found ? &source->answer->candidates[source->answer->winner] : NULL;
}

static void add_item(struct text *out, const char *string)
{
    text_add(out, "- ");
    escape_markdown_line(out, string);
    text_add(out, "\n");
}

/* The closest a recipe came, when none meets everything. */
static void add_closest(const struct report_source *source, struct text *out)
{
    if (source->answer->n_candidates == 0)
        return;
    const struct candidate *first = &source->answer->candidates[0];
    char recipe[WORDS_MAX], line[WORDS_MAX + CANDIDATE_REASON + 16];
    words_recipe(source->set, first, recipe);
    snprintf(line, sizeof line, "Closest: %s: %s", recipe, first->why_not);
    add_item(out, line);
}

static void add_mass(const struct report_source *source, const struct candidate *winner, struct text *out)
{
    bool us = source->settings->us;
    double factor = us ? unit_find(units_mass, "lb")->factor : 1;
    char mass[64], assured[64], size[128];
    if (!isfinite(winner->piece_mass_kg))
        return;
    number_show(winner->piece_mass_kg / factor, 0.1, "-", mass, sizeof mass);
    number_show(winner->piece_mass_assured_kg / factor, 0.1, "-", assured, sizeof assured);
    piece_words(&source->request->piece, us, "\xC3\x97", size, sizeof size);
    text_addf(out, "- A piece of %s weighs about %s %s", size, mass, us ? "lb" : "kg");
    if (source->request->inserts_mass_kg > 0)
        text_addf(out, ", inserts of %.2g %s included", source->request->inserts_mass_kg / factor, us ? "lb" : "kg");
    if (isfinite(winner->piece_mass_assured_kg))
        text_addf(out, ", at most %s %s as assured", assured, us ? "lb" : "kg");
    text_add(out, ".\n");
}

static void add_lighter(const struct report_source *source, const struct candidate *winner, struct text *out)
{
    char lighter[WORDS_MAX], range[WORDS_MAX];
    if (!isfinite(winner->percent_lighter))
        return;
    words_lighter(winner->percent_lighter, lighter);
    words_lighter_range(winner->percent_lighter, winner->percent_lighter_lower, winner->percent_lighter_upper, range);
    text_addf(out, "- It is %s than reference mix ", lighter);
    escape_markdown(out, words_mix(source->set, source->answer->reference));
    if (isfinite(winner->percent_lighter_lower) && isfinite(winner->percent_lighter_upper))
        text_addf(out, " (%s %%)", range);
    text_add(out, ".\n");
}

static void add_fraction(const struct report_source *source, const struct candidate *winner, struct text *out)
{
    char lower[64], upper[64];
    if (!isfinite(winner->fraction_lower) || !isfinite(winner->fraction_upper))
        return;
    number_show(winner->fraction_lower, 0.001, "-", lower, sizeof lower);
    number_show(winner->fraction_upper, 0.001, "-", upper, sizeof upper);
    text_addf(out, "- Had other batches been cast, the recommended fraction could have come out between %s and %s "
                   "(%g %% of %zu resamplings of whole batches; a guide, for with few batches this spread comes out too narrow, and it takes "
                   "the laws of the curves as right: what others would say stands under *What other laws would say of this recipe*).\n",
              lower, upper, 100 * source->request->assurance.confidence, source->request->n_resamples);
}

static void add_holds_for(const struct report_source *source, struct text *out)
{
    struct text words = { 0 };
    recommendation_holds_for(source->set, source->request, source->answer, source->settings->us, &words);
    text_add(out, "- The numbers hold for what was tested: ");
    escape_markdown(out, words.bytes ? words.bytes : "");
    text_add(out, ".\n");
    out->failed |= words.failed;
    text_release(&words);
}

static void add_meaning(const struct report_source *source, struct text *out)
{
    const struct candidate *winner = winner_of(source);
    text_add(out, "\n");
    add_holds_for(source, out);
    if (!winner) {
        add_closest(source, out);
        return;
    }
    add_mass(source, winner, out);
    add_lighter(source, winner, out);
    add_fraction(source, winner, out);
    for (size_t i = 0; i < winner->n_cautions; i++) {
        text_add(out, "- Caution: ");
        escape_markdown(out, winner->cautions[i]);
        text_add(out, "\n");
    }
}

static void add_demands(const struct report_source *source, struct text *out)
{
    struct table table = { 0 };
    char meaning[WORDS_MAX];
    words_basis(source->set, source->request, source->answer, meaning);
    text_add(out, "\n## The demands\n\n");
    text_addf(out, "Expected is the mean that the recipe should have. Assured is what is held against the demand (%s). "
                   "Chance is how sure it is that a next batch would meet the demand, with allowance for a mean and a scatter that are only estimated.\n\n", meaning);
    recommend_demands_table(source->answer, source->settings->us, &table);
    table_show_markdown(&table, out);
    table_release(&table);
    if (source->answer->draws.n_values > 0)
        text_add(out, "### How sure the fraction is\n\nOther batches of the same mixes would have led to another fraction. This is how far apart such fractions lie:\n\n");
    report_add_chart(source, "fraction-spread", out);
}

static void add_first_candidates(const struct report_source *source, struct text *out)
{
    struct table table = { 0 };
    size_t n = source->answer->n_candidates;
    if (n > REPORT_CANDIDATES)
        text_addf(out, "The first %d of %zu, with the assured values; [all of them](#the-numbers-in-full) stand at the end.\n\n", REPORT_CANDIDATES, n);
    else
        text_add(out, "Strengths and masses are the assured values.\n\n");
    recommend_candidates_table(source->set, source->request, source->answer, source->settings->us, &table);
    table_show_markdown_rows(&table, REPORT_CANDIDATES, out);
    table_release(&table);
}

static void add_reasons(const struct report_source *source, struct text *out)
{
    size_t shown = 0;
    for (size_t i = 0; i < source->answer->n_candidates && shown < REASONS_SHOWN; i++) {
        const struct candidate *candidate = &source->answer->candidates[i];
        if (!candidate->why_not[0])
            continue;
        char line[WORDS_MAX + CANDIDATE_REASON + 16], recipe[WORDS_MAX];
        words_recipe(source->set, candidate, recipe);
        snprintf(line, sizeof line, "%s: %s", recipe, candidate->why_not);
        if (shown++ == 0)
            text_add(out, "Why the others do not come first:\n\n");
        add_item(out, line);
    }
    if (shown > 0)
        text_add(out, "\n");
}

static void add_sensitivity(const struct report_source *source, struct text *out)
{
    struct table table = { 0 };
    char words[WORDS_MAX];
    if (recommend_sensitivity_table(source->set, source->request, source->answer, source->settings->us, &table)) {
        text_addf(out, "\n%s How the answer moves with the %s\n\n", source->answer->found ? "###" : "##", source->request->n_targets > 0 ? "target" : "limit");
        report_add_chart(source, "sensitivity", out);
        table_show_markdown(&table, out);
    }
    table_release(&table);
    if (recommend_front_table(source->set, source->answer, source->settings->us, &table)) {
        text_addf(out, "\n### Density against strength and cost\n\nOf the recipes that meet the demands, none of these is beaten in density%s "
                       "at once; `summary.json` has those that do not meet them, too.\n\n", recommend_front_words(source->answer));
        table_show_markdown(&table, out);
    }
    table_release(&table);
    recommend_cost_words(source->set, source->request, source->answer, source->settings->us, words, sizeof words);
    if (!words[0])
        return;
    text_add(out, "In the money of the materials file, ");
    escape_markdown(out, words);
    text_add(out, ".\n\n");
}

static void add_contents(const struct report_source *source, struct text *out)
{
    text_add(out, "\n");
    if (source->answer->found)
        text_add(out, "[The demands](#the-demands) · ");
    text_add(out, "[The candidates](#the-candidates) · [What the trials show](#what-the-trials-show) · "
                  "[How far the data can be trusted](#how-far-the-data-can-be-trusted) · [Before you cast](#before-you-cast) · "
                  "[The numbers in full](#the-numbers-in-full) · [Methods and sources](#methods-and-sources) · "
                  "[Where this report comes from](#where-this-report-comes-from)\n");
}

void report_add_answer(const struct report_source *source, struct text *out)
{
    char sentence[2048];
    enum status status = recommendation_sentence(source->set, source->request, source->answer, source->settings->us,
                                                 sentence, sizeof sentence);
    out->failed = out->failed || status != STATUS_OK;
    text_add(out, "**");
    escape_markdown(out, sentence);
    text_add(out, "**\n");
    add_meaning(source, out);
    add_contents(source, out);
    if (source->answer->found)
        add_demands(source, out);
    add_sensitivity(source, out);
    text_add(out, "\n## The candidates\n\nEvery mix that was cast, and every aggregate's curve inside the range that was tested, best first; "
                  "those that fail come last, the one nearest to meeting every demand first.\n\n");
    report_add_chart(source, "candidates", out);
    add_first_candidates(source, out);
    add_reasons(source, out);
}
