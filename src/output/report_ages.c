#include "output/report_text.h"

#include <math.h>

/* "At 7 days the mixes had 66 to 69 % of their strength at 28 days." for the youngest age that two were tested at. */
void report_add_age_words(const struct report_source *source, struct text *out)
{
    const struct age_study *ages = source->settings->ages;
    double youngest = INFINITY, least = INFINITY, most = 0, age = source->answer->selection.age_days;
    for (size_t i = 0; ages && i < ages->n_items; i++)
        youngest = fmin(youngest, ages->items[i].means[0].age_days);
    for (size_t i = 0; ages && i < ages->n_items && youngest < age; i++) {
        const struct age_mean *told = age_series_at(&ages->items[i], age), *young = age_series_at(&ages->items[i], youngest);
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
