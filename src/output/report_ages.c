#include "output/report_text.h"

#include "base/number.h"
#include "output/table.h"
#include "output/words.h"

#include <math.h>

/* The mean of a mix at the age that the answer is about; NULL when it has none. */
static const struct age_mean *mean_at(const struct age_series *series, double age_days)
{
    for (size_t i = 0; i < series->n_means; i++)
        if (fabs(series->means[i].age_days - age_days) <= 0.5)
            return &series->means[i];
    return NULL;
}

/* "At 7 days the mixes had 66 to 69 % of their strength at 28 days." for the youngest age that two were tested at. */
void report_add_age_words(const struct report_source *source, struct text *out)
{
    const struct age_study *ages = source->settings->ages;
    double youngest = INFINITY, least = INFINITY, most = 0, age = source->answer->selection.age_days;
    for (size_t i = 0; ages && i < ages->n_items; i++)
        youngest = fmin(youngest, ages->items[i].means[0].age_days);
    for (size_t i = 0; ages && i < ages->n_items && youngest < age; i++) {
        const struct age_mean *told = mean_at(&ages->items[i], age), *young = mean_at(&ages->items[i], youngest);
        if (!told || !young)
            continue;
        least = fmin(least, 100 * young->mean / told->mean);
        most = fmax(most, 100 * young->mean / told->mean);
    }
    if (most == 0)
        return;
    text_addf(out, "At %g days the mixes had ", youngest);
    if (round(least) < round(most))
        text_addf(out, "%.0f to ", least);
    text_addf(out, "%.0f %% of their strength at %g days, the age that this report is about.\n\n", most, age);
}

void report_add_age_table(const struct report_source *source, struct text *out)
{
    const struct age_study *ages = source->settings->ages;
    struct table table = { 0 };
    bool us = source->settings->us;
    if (!ages || ages->n_items == 0)
        return;
    text_addf(out, "\n### %s with age\n\nMeans of the batch means. The hyperbolic law is limit x age / (age of half the limit + age); a dash where two ages or "
                   "results without a bend cannot tell.\n\n", ages->property == PROPERTY_COMPRESSIVE_STRENGTH ? "Compressive strength" : "Strength");
    table_column(&table, "mix", false);
    table_column(&table, "days", true);
    table_column(&table, us ? "strength, psi" : "strength, MPa", true);
    table_column(&table, "specimens", true);
    table_column(&table, "batches", true);
    table_column(&table, us ? "limit, psi" : "limit, MPa", true);
    table_column(&table, "half of it at days", true);
    for (size_t i = 0; i < ages->n_items; i++)
        for (size_t j = 0; j < ages->items[i].n_means; j++) {
            const struct age_series *series = &ages->items[i];
            const struct age_mean *mean = &series->means[j];
            bool told = series->fitted && j == 0;
            char cell[WORDS_MAX];
            table_cell(&table, words_mix(source->set, series->mix));
            table_cellf(&table, "%g", mean->age_days);
            property_show(ages->property, mean->mean, us, cell, sizeof cell);
            table_cell(&table, cell);
            table_cellf(&table, "%zu", mean->n_specimens);
            table_cellf(&table, "%zu", mean->n_batches);
            property_show(ages->property, told ? series->fit.fit.parameter[0] : NAN, us, cell, sizeof cell);
            table_cell(&table, cell);
            number_show_significant(told ? series->fit.fit.parameter[1] : NAN, 3, cell, sizeof cell);
            table_cell(&table, cell);
        }
    table_show_markdown(&table, out);
    table_release(&table);
}
