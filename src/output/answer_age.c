#include "output/answer_age.h"

#include "base/number.h"
#include "output/coefficients.h"
#include "output/escape.h"
#include "output/json_build.h"
#include "output/table.h"
#include "output/words.h"

#include <math.h>
#include <stdio.h>

#define PAGE_WIDTH 96

static const struct age_law *law_of(const struct age_curve *curve)
{
    return curve->chosen < GROWTH_LAW_COUNT ? &curve->laws[curve->chosen] : NULL;
}

/* ---- tables ---- */

/* "52.3 t / (4.1 + t)", so that the curve can be drawn by hand. */
static void curve_words(const struct age_curve *curve, bool us, char out[WORDS_MAX])
{
    const double *constant = law_of(curve)->fit.fit.parameter;
    char limit[32], time[32], shape[32];
    number_show_significant(words_shown(curve->property, constant[0], us), 4, limit, sizeof limit);
    number_show_significant(constant[1], 3, time, sizeof time);
    number_show_significant(curve->chosen == GROWTH_EXPONENTIAL ? constant[2] : NAN, 3, shape, sizeof shape);
    if (curve->chosen == GROWTH_HYPERBOLIC)
        snprintf(out, WORDS_MAX, "%s t / (%s + t)", limit, time);
    else if (curve->chosen == GROWTH_EXPONENTIAL)
        snprintf(out, WORDS_MAX, "%s exp(-(%s / t)^%s)", limit, time, shape);
    else
        snprintf(out, WORDS_MAX, "%s exp(-sqrt(%s / t))", limit, time);
}

static void at_words(const struct age_curve *curve, bool us, char out[WORDS_MAX])
{
    char estimate[64], range[WORDS_MAX];
    property_show(curve->property, curve->at.estimate, us, estimate, sizeof estimate);
    words_range(curve->property, curve->at.lower, curve->at.upper, us, range);
    if (curve->at.outside)
        snprintf(out, WORDS_MAX, "outside its ages");
    else
        snprintf(out, WORDS_MAX, "%s (%.80s)", estimate, range);
}

static void share_cell(const struct age_curve *curve, struct table *table)
{
    if (isnan(curve->share))
        table_cell(table, "-");
    else
        table_cellf(table, "%.1f (%.1f to %.1f)", 100 * curve->share, 100 * curve->share_lower, 100 * curve->share_upper);
}

static void add_row(const struct specimen_set *set, const struct growth_study *study, const struct age_curve *curve, bool us,
                    struct table *table)
{
    char cell[WORDS_MAX];
    const struct age_law *law = law_of(curve);
    table_cell(table, words_mix(set, curve->mix));
    table_cellf(table, "%zu", curve->n_points);
    if (!law) {
        for (size_t column = 2; column < table->n_columns; column++)
            table_cell(table, column == 2 ? "none fits" : "-");
        return;
    }
    table_cellf(table, "%g to %g", law->fit.t_min, law->fit.t_max);
    table_cell(table, growth_law_word(curve->chosen));
    curve_words(curve, us, cell);
    table_cell(table, cell);
    at_words(curve, us, cell);
    table_cell(table, cell);
    if (study->reference != SAMPLE_ALL)
        share_cell(curve, table);
}

struct headings { char at[64], share[80]; };

static void add_columns(const struct specimen_set *set, const struct growth_study *study, enum property property, bool us,
                        struct headings *headings, struct table *table)
{
    snprintf(headings->at, sizeof headings->at, "%s at %g d", property_unit(property, us), study->age_days);
    snprintf(headings->share, sizeof headings->share, "%% of '%.60s'", words_mix(set, study->reference));
    table_column(table, "mix", false);
    table_column(table, "points", true);
    table_column(table, "ages, d", false);
    table_column(table, "law", false);
    table_column(table, "curve, t in days", false);
    table_column(table, headings->at, true);
    if (study->reference != SAMPLE_ALL)
        table_column(table, headings->share, true);
}

static size_t curves_of(const struct growth_study *study, enum property property)
{
    size_t n = 0;
    for (size_t i = 0; i < study->n_items; i++)
        n += study->items[i].property == property;
    return n;
}

static void show(struct table *table, bool markdown, struct text *out)
{
    if (markdown)
        table_show_markdown(table, out);
    else
        table_show(table, out);
    table_release(table);
}

static void add_curves(const struct specimen_set *set, const struct growth_study *study, enum property property, bool us, bool markdown,
                       struct text *out)
{
    struct table table = { 0 };
    struct headings headings = { 0 };
    add_columns(set, study, property, us, &headings, &table);
    for (size_t i = 0; i < study->n_items; i++)
        if (study->items[i].property == property)
            add_row(set, study, &study->items[i], us, &table);
    if (!markdown)
        text_addf(out, "%s with age, %s (in brackets: %g %% sure)\n", property_row(property)->words, property_unit(property, us),
                  100 * study->confidence);
    show(&table, markdown, out);
}

static void add_laws(const struct specimen_set *set, const struct growth_study *study, enum property property, bool us, struct text *out)
{
    struct table table = { 0 };
    char cell[64];
    bool worth_showing = false;
    table_column(&table, "AICc of mix", false);
    for (enum growth_law law = 0; law < GROWTH_LAW_COUNT; law++)
        table_column(&table, growth_law_word(law), true);
    table_column(&table, "scatter", true);
    for (size_t i = 0; i < study->n_items; i++) {
        const struct age_curve *curve = &study->items[i];
        if (curve->property != property || !law_of(curve))
            continue;
        table_cell(&table, words_mix(set, curve->mix));
        for (enum growth_law law = 0; law < GROWTH_LAW_COUNT; law++) {
            worth_showing |= isfinite(curve->laws[law].aicc);
            number_show_significant(curve->laws[law].aicc, 4, cell, sizeof cell);
            table_cell(&table, cell);
        }
        number_show_significant(words_shown(property, law_of(curve)->fit.fit.residual_sd, us), 3, cell, sizeof cell);
        table_cell(&table, cell);
    }
    if (worth_showing) {
        text_add(out, "\n");
        table_show(&table, out);
    }
    out->failed |= table.failed;
    table_release(&table);
}

static void add_reasons(const struct specimen_set *set, const struct growth_study *study, struct text *out)
{
    struct text line = { 0 };
    for (size_t i = 0; i < study->n_items; i++) {
        const struct age_curve *curve = &study->items[i];
        if (law_of(curve))
            continue;
        text_clear(&line);
        text_addf(&line, "%s of %s: %s", property_row(curve->property)->words, words_mix(set, curve->mix), age_curve_why_not(curve));
        text_add(out, "  - ");
        table_wrap(out, line.bytes ? line.bytes : "", 4, PAGE_WIDTH);
    }
    out->failed |= line.failed;
    text_release(&line);
}

static void add_caution(const struct specimen_set *set, const struct growth_study *study, bool markdown, struct text *out)
{
    struct text line = { 0 };
    text_addf(&line, "Points are %s. Mixes are compared at one age only, inside the ages they were tested at. Where batches were "
                     "tested at several ages, intervals come from leaving out each batch in turn; one batch alone has none.",
              set->has_batch_column ? "means of a batch at an age" : "specimens, since no batch is told");
    if (study->reference != SAMPLE_ALL)
        text_addf(&line, " A share whose interval leaves out 100 %% differs from mix '%s'.", words_mix(set, study->reference));
    text_add(out, markdown ? "" : "\n");
    table_wrap(out, line.bytes ? line.bytes : "", 0, PAGE_WIDTH);
    out->failed |= line.failed;
    text_release(&line);
}

enum status answer_age_table(const struct specimen_set *set, const struct growth_study *study, bool us, struct text *out)
{
    for (enum property property = 0; property < PROPERTY_COUNT; property++) {
        if (curves_of(study, property) == 0)
            continue;
        text_add(out, out->length ? "\n" : "");
        add_curves(set, study, property, us, false, out);
        add_laws(set, study, property, us, out);
    }
    add_reasons(set, study, out);
    add_caution(set, study, false, out);
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}

enum status answer_age_markdown(const struct specimen_set *set, const struct growth_study *study, bool us, struct text *out)
{
    if (!study || growth_study_fitted(study) == 0)
        return STATUS_OK;
    for (enum property property = 0; property < PROPERTY_COUNT; property++) {
        if (curves_of(study, property) == 0)
            continue;
        text_addf(out, "### Growth with age: %s\n\n", property_row(property)->words);
        add_curves(set, study, property, us, true, out);
    }
    add_caution(set, study, true, out);
    text_add(out, "\n");
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}

/* ---- JSON ---- */

static void put_at(struct json_build *build, json_t *fit, const struct growth_study *study, const struct age_curve *curve, bool chosen)
{
    json_t *at = json_put_object(build, fit, "at_age");
    json_put_number(build, at, "age_days", study->age_days);
    json_put_number(build, at, "estimate", chosen ? curve->at.estimate : NAN);
    json_put_number(build, at, "lower", chosen ? curve->at.lower : NAN);
    json_put_number(build, at, "upper", chosen ? curve->at.upper : NAN);
    json_put_bool(build, at, "outside", curve->at.outside);
    json_t *share = json_put_object(build, fit, "share_of_reference");
    json_put_number(build, share, "estimate", chosen ? curve->share : NAN);
    json_put_number(build, share, "lower", chosen ? curve->share_lower : NAN);
    json_put_number(build, share, "upper", chosen ? curve->share_upper : NAN);
}

static void put_fit(struct json_build *build, json_t *array, const struct specimen_set *set, const struct growth_study *study,
                    const struct age_curve *curve, enum growth_law which)
{
    const struct age_law *law = &curve->laws[which];
    json_t *fit = json_append_object(build, array);
    json_put_text(build, fit, "mix", words_mix(set, curve->mix));
    json_put_text(build, fit, "aggregate", words_aggregate(set, set->mixes[curve->mix].aggregate));
    json_put_text(build, fit, "property", property_row(curve->property)->name);
    json_put_text(build, fit, "predictor", "age_days");
    json_put_text(build, fit, "law", growth_law_word(which));
    json_put_text(build, fit, "formula", growth_law_formula(which));
    json_put_bool(build, fit, "chosen", which == curve->chosen);
    json_put_count(build, fit, "n_specimens", curve->n_specimens);
    json_put_count(build, fit, "n_batches", set->has_batch_column ? curve->n_batches : 0);
    json_put_count(build, fit, "n_points", curve->n_points);
    json_put_number(build, fit, "age_from_days", law->fit.t_min);
    json_put_number(build, fit, "age_to_days", law->fit.t_max);
    json_t *constants = json_put_array(build, fit, "coefficients");
    for (size_t i = 0; i < growth_law_parameters(which); i++) {
        struct coefficient_row row;
        age_law_constant(law, i, study->confidence, &row);
        coefficients_put(build, constants, &row);
    }
    json_put_number(build, fit, "residual_sd", law->fit.fit.residual_sd);
    json_put_number(build, fit, "aicc", law->aicc);
    put_at(build, fit, study, curve, which == curve->chosen);
}

enum status answer_age_json(const struct specimen_set *set, const struct growth_study *study, struct text *out)
{
    struct json_build build;
    json_build_start(&build);
    json_put_text(&build, build.root, "reference", words_mix(set, study->reference));
    json_put_number(&build, build.root, "confidence", study->confidence);
    json_t *array = json_put_array(&build, build.root, "fits");
    for (size_t i = 0; i < study->n_items; i++)
        for (enum growth_law law = 0; law < GROWTH_LAW_COUNT; law++)
            if (study->items[i].laws[law].fitted)
                put_fit(&build, array, set, study, &study->items[i], law);
    return json_build_finish(&build, out);
}
