#include "output/report_text.h"

#include "base/number.h"
#include "output/answer_age.h"
#include "output/answer_classes.h"
#include "output/answer_fresh.h"
#include "output/answer_trials.h"
#include "output/escape.h"
#include "output/recommend_tables.h"
#include "output/words.h"

#include <math.h>
#include <string.h>

void report_add_chart(const struct report_source *source, const char *name, struct text *out)
{
    for (size_t i = 0; i < source->charts->n_items; i++) {
        const struct chart *chart = &source->charts->items[i];
        if (strcmp(chart->name, name) != 0)
            continue;
        if (chart->drawn) {
            text_add(out, "![");
            escape_markdown(out, chart->alternative);
            text_addf(out, "](charts/%s.svg)\n\n", name);
        } else {
            text_add(out, "*");
            escape_markdown(out, chart->title);
            text_addf(out, "*: not drawn; run `gnuplot charts/%s.gp` in this folder.\n\n", name);
        }
    }
}

/* Charts of properties by fraction: their names end so. */
static void add_fraction_charts(const struct report_source *source, struct text *out)
{
    static const char ending[] = "-by-fraction";
    for (size_t i = 0; i < source->charts->n_items; i++) {
        const char *name = source->charts->items[i].name;
        size_t length = strlen(name);
        if (length > sizeof ending && strcmp(name + length - (sizeof ending - 1), ending) == 0)
            report_add_chart(source, name, out);
    }
}

static bool has_chart(const struct report_source *source, const char *name)
{
    for (size_t i = 0; i < source->charts->n_items; i++)
        if (strcmp(source->charts->items[i].name, name) == 0)
            return true;
    return false;
}

static void add_number(struct table *table, double value, int digits)
{
    char cell[64];
    number_show_significant(value, digits, cell, sizeof cell);
    table_cell(table, cell);
}

static void add_curve(const struct report_source *source, const struct curve *curve, struct table *table)
{
    const struct curve_units units = words_curve_units(curve, source->settings->us);
    double scale = law_is_log(curve->law) ? 1 : 1 / units.y;
    table_cell(table, property_row(curve->property)->words);
    table_cell(table, words_aggregate(source->set, curve->aggregate));
    table_cell(table, law_formula(curve->law));
    for (size_t j = 0; j < 3; j++) {
        struct coefficient_row row = { .estimate = NAN };
        if (j < law_terms(curve->law))
            curve_coefficient_in(curve, j, units, source->settings->confidence, &row);
        add_number(table, row.estimate, 5);
    }
    add_number(table, curve->fit.has_batch_effect ? scale * sqrt(curve->fit.var_batch) : NAN, 3);
    add_number(table, scale * (curve->fit.has_batch_effect ? sqrt(curve->fit.var_specimen) : curve->residual_sd), 3);
    add_number(table, curve->lack_of_fit.available ? curve->lack_of_fit.p : NAN, 2);
}

static void add_curves(const struct report_source *source, struct text *out)
{
    static const char *const numbers[] = { "a", "b", "c", "sd between", "sd within", "lack of fit, p" };
    struct table table = { 0 };
    table_column(&table, "result", false);
    table_column(&table, "aggregate", false);
    table_column(&table, "law", false);
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++)
        table_column(&table, numbers[i], true);
    for (size_t i = 0; i < source->fits->n_items; i++)
        if (curve_set_chosen(&source->fits->items[i]))
            add_curve(source, curve_set_chosen(&source->fits->items[i]), &table);
    if (table.n_cells > 0) {
        text_addf(out, "### The fitted curves\n\nx is the aggregate fraction, y the result in %s, %s or %%; "
                       "where the law is of ln y, so are the standard deviations. A small p says that the law misses the means of the mixes.\n\n",
                  property_unit(PROPERTY_DENSITY, source->settings->us), property_unit(PROPERTY_COMPRESSIVE_STRENGTH, source->settings->us));
        table_show_markdown(&table, out);
    }
    table_release(&table);
}

void report_add_evidence(const struct report_source *source, struct text *out)
{
    struct table table = { 0 };
    text_add(out, "\n## What the trials show\n\n");
    add_fraction_charts(source, out);
    report_add_chart(source, "strength-against-density", out);
    report_add_chart(source, "percent-lighter", out);
    text_add(out, "\n### The mixes\n\nMeans with their standard deviations between batches and within a batch; a dash where one batch cannot tell.\n\n");
    recommend_mixes_table(source->set, source->answer, source->settings->us, &table);
    table_show_markdown(&table, out);
    table_release(&table);
    if (source->settings->classes)
        out->failed |= answer_classes_markdown(source->set, source->settings->classes, source->settings->us, out) != STATUS_OK;
    if (source->settings->fresh)
        out->failed |= answer_fresh_markdown(source->settings->fresh, source->settings->us, out) != STATUS_OK;
    out->failed |= answer_trials_markdown(source->set, source->settings->trials, out) != STATUS_OK;
    out->failed |= answer_age_markdown(source->set, source->settings->growth, source->settings->us, out) != STATUS_OK;
    add_curves(source, out);
    if (recommend_laws_table(source->request, source->answer, source->settings->us, &table)) {
        text_add(out, "### What other laws would say of this recipe\n\n"
                      "The law with the smallest AICc is chosen; of those within 2 of it, the one that errs least at a batch left out; "
                      "where two fractions alone were cast, the most cautious; `--law` overrules it. Where the assured values below disagree much, the choice of law decides "
                      "more than the specimens do, and a confirming batch is worth most.\n\n");
        table_show_markdown(&table, out);
    }
    table_release(&table);
}

static void add_counts(const struct report_source *source, struct text *out)
{
    const struct specimen_set *set = source->set;
    text_addf(out, "%zu specimens in %zu batches of %zu mixes were read", set->n, set->n_batches, set->n_mixes);
    if (set->n_set_aside)
        text_addf(out, "; **%zu row%s set aside** (`set-aside.csv` holds %s, with the reason).", set->n_set_aside,
                  set->n_set_aside == 1 ? " was" : "s were", set->n_set_aside == 1 ? "it" : "them");
    else
        text_add(out, "; none were set aside.");
    if (!set->has_batch_column)
        text_add(out, " There is no batch column, so each specimen counts as its own batch: the intervals are narrower than they should be.");
    text_add(out, "\n\n");
}

static void add_flags(const struct report_source *source, struct text *out)
{
    size_t counts[FLAG_KINDS] = { 0 }, any = 0;
    for (size_t i = 0; i < source->set->n; i++)
        for (unsigned bit = 0; bit < FLAG_KINDS; bit++)
            counts[bit] += source->set->flags[i] >> bit & 1u;
    for (unsigned bit = 0; bit < FLAG_KINDS; bit++)
        any += counts[bit];
    if (any == 0)
        return;
    struct table table = { 0 };
    table_column(&table, "flag", false);
    table_column(&table, "specimens", true);
    for (unsigned bit = 0; bit < FLAG_KINDS; bit++)
        if (counts[bit] > 0) {
            table_cell(&table, flag_word(1u << bit));
            table_cellf(&table, "%zu", counts[bit]);
        }
    text_add(out, "Flags never remove a specimen; `results.csv` shows whose they are.\n\n");
    table_show_markdown(&table, out);
    table_release(&table);
}

#define PROBLEMS_SHOWN 40
static void add_problems(const struct report_source *source, enum severity severity, const char *lead, struct text *out)
{
    const struct problem_list *problems = source->settings->problems;
    size_t shown = 0, all = 0;
    for (size_t i = 0; problems && i < problems->n_items; i++) {
        if (problems->items[i].severity != severity)
            continue;
        all++;
        if (shown == PROBLEMS_SHOWN)
            continue;
        char sentence[1024];
        problem_sentence(&problems->items[i], sentence, sizeof sentence);
        text_add(out, shown++ == 0 ? lead : "");
        text_add(out, "- ");
        escape_markdown_line(out, sentence);
        text_add(out, "\n");
    }
    if (all > shown)
        text_addf(out, "- ... and %zu more: `plumestone check` lists them\n", all - shown);
    if (shown > 0)
        text_add(out, "\n");
}

void report_add_quality(const struct report_source *source, struct text *out)
{
    text_add(out, "\n## How far the data can be trusted\n\n");
    add_counts(source, out);
    add_problems(source, SEVERITY_DOUBT, "Doubtful values, kept but worth a look at the notebook:\n\n", out);
    add_problems(source, SEVERITY_NOTICE, "To know:\n\n", out);
    add_flags(source, out);
    report_add_chart(source, "batches-within-mixes", out);
    report_add_chart(source, "control", out);
    if (has_chart(source, "residuals"))
        report_add_chart(source, "residuals", out);
}
