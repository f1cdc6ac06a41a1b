#include "output/report_text.h"

#include "base/number.h"
#include "output/answer_age.h"
#include "output/answer_classes.h"
#include "output/answer_drying.h"
#include "output/answer_fresh.h"
#include "output/answer_trials.h"
#include "output/recommend_tables.h"
#include "output/words.h"

#include <math.h>

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

static void add_candidates(const struct report_source *source, struct text *out)
{
    struct table table = { 0 };
    text_add(out, "### All candidates\n\nStrengths and masses are the assured values.\n\n");
    recommend_candidates_table(source->set, source->request, source->answer, source->settings->us, &table);
    table_show_markdown(&table, out);
    table_release(&table);
}

static void add_mixes(const struct report_source *source, struct text *out)
{
    struct table table = { 0 };
    text_add(out, "### The mixes\n\nMeans with their standard deviations between batches and within a batch; a dash where one batch cannot tell.\n\n");
    recommend_mixes_table(source->set, source->answer, source->settings->us, &table);
    table_show_markdown(&table, out);
    table_release(&table);
}

static void add_laws(const struct report_source *source, struct text *out)
{
    struct table table = { 0 };
    if (recommend_laws_table(source->request, source->answer, source->settings->us, &table)) {
        text_add(out, "### What other laws would say of this recipe\n\n"
                      "The law with the smallest AICc is chosen; of those within 2 of it, the one that errs least at a batch left out; "
                      "where two fractions alone were tested, the most cautious; `--law` overrules it. Where the assured values below disagree much, the choice of law decides "
                      "more than the specimens do, and a confirming batch is worth most.\n\n");
        table_show_markdown(&table, out);
    }
    table_release(&table);
}

void report_add_numbers(const struct report_source *source, struct text *out)
{
    const struct report_settings *settings = source->settings;
    text_add(out, "\n## The numbers in full\n\n");
    if (source->answer->n_candidates > REPORT_CANDIDATES)
        add_candidates(source, out);
    add_mixes(source, out);
    if (settings->classes)
        out->failed |= answer_classes_markdown(source->set, settings->classes, settings->us, out) != STATUS_OK;
    if (settings->fresh)
        out->failed |= answer_fresh_markdown(settings->fresh, settings->us, out) != STATUS_OK;
    out->failed |= answer_trials_markdown(source->set, settings->trials, out) != STATUS_OK;
    out->failed |= answer_age_markdown(source->set, settings->growth, settings->us, out) != STATUS_OK;
    if (settings->drying)
        out->failed |= answer_drying_markdown(settings->drying, settings->us, out) != STATUS_OK;
    add_curves(source, out);
    add_laws(source, out);
}
