#include "output/answer.h"
#include "output/coefficients.h"
#include "output/holds_for.h"
#include "output/influence_words.h"
#include "output/json_build.h"
#include "output/table.h"
#include "output/words.h"

#include "base/number.h"

#include <math.h>
#include <stdio.h>

static const char *predictor_name(const struct curve *curve)
{
    return curve->predictor < PROPERTY_COUNT ? property_row(curve->predictor)->name : "aggregate_fraction";
}

static const char *predictor_words(const struct curve *curve)
{
    return curve->predictor < PROPERTY_COUNT ? property_row(curve->predictor)->words : "aggregate fraction";
}

static double batch_sd(const struct curve *curve)
{
    return curve->fit.has_batch_effect ? sqrt(curve->fit.var_batch) : NAN;
}

/* Without a batch effect the residual spread stands for both, so neither part is known. */
static double specimen_sd(const struct curve *curve)
{
    return curve->fit.has_batch_effect ? sqrt(curve->fit.var_specimen) : NAN;
}

static void add_number_cell(struct table *table, double value, int digits)
{
    char cell[64];
    number_show_significant(value, digits, cell, sizeof cell);
    table_cell(table, cell);
}

static void add_coefficients(const struct curve *curve, double confidence, bool us, struct text *out)
{
    struct coefficients_table table;
    coefficients_start(&table, confidence);
    for (size_t j = 0; j < law_terms(curve->law); j++) {
        struct coefficient_row row;
        curve_coefficient_in(curve, j, words_curve_units(curve, us), confidence, &row);
        law_term_name(curve->law, j, predictor_words(curve), row.name, sizeof row.name);
        coefficients_add(&table, &row);
    }
    coefficients_show(&table, out);
}

/* One line in the unit that is shown: for log laws the spread is a share of the value. */
static void add_scatter(const struct curve *curve, bool us, struct text *out)
{
    char between[64], within[64], total[64], squared[64];
    double scale = law_is_log(curve->law) ? 100 : 1 / words_curve_units(curve, us).y;
    const char *unit = law_is_log(curve->law) ? "% of the value" : property_unit(curve->property, us);
    number_show_significant(scale * batch_sd(curve), 3, between, sizeof between);
    number_show_significant(scale * specimen_sd(curve), 3, within, sizeof within);
    number_show_significant(scale * curve->residual_sd, 3, total, sizeof total);
    number_show(curve->r_squared, 0.001, "-", squared, sizeof squared);
    if (curve->fit.has_batch_effect)
        text_addf(out, "standard deviation between batches %s, within a batch %s, of both %s (%s)", between, within, total, unit);
    else
        text_addf(out, "standard deviation about the curve %s (%s); batches cannot be told apart from specimens here", total, unit);
    text_addf(out, "; R squared %s\n", squared);
    coefficients_say_lack(&curve->lack_of_fit, out);
    if (curve->doubtful)
        text_add(out, "doubtful: this law turns back inside the tested range\n");
}

static void add_laws(const struct curve_set *curves, bool us, struct text *out)
{
    struct table table = { 0 };
    table_column(&table, "law", false);
    table_column(&table, "formula", false);
    table_column(&table, "AICc", true);
    char error[64];
    snprintf(error, sizeof error, "error at a batch left out, %s", property_unit(curves->curves[0].property, us));
    table_column(&table, error, true);
    table_column(&table, "note", false);
    size_t n = 0;
    for (enum law law = 0; law < LAW_COUNT; law++) {
        const struct curve *curve = &curves->curves[law];
        if (!curve->fitted)
            continue;
        n++;
        table_cell(&table, law_word(law));
        table_cell(&table, law_formula(law));
        add_number_cell(&table, curve->aicc, 5);
        add_number_cell(&table, words_shown(curve->property, curve->cross_validation_rmse, us), 3);
        table_cell(&table, curve->chosen ? "chosen" : curve->doubtful ? "doubtful" : "");
    }
    if (n > 1) {
        text_add(out, "\n");
        table_show(&table, out);
    }
    out->failed |= table.failed;
    table_release(&table);
}

/* "..., tested from 0.15 to 0.75; y in MPa" or "... from 684 to 1610 kg/m3; y in MPa, x in kg/m3". */
static void add_range(const struct specimen_set *set, const struct curve_set *curves, const struct curve *curve, bool us, struct text *out)
{
    const struct selection_state state = sample_state(set, &curves->sample, curve->property);
    char lowest[64], highest[64], of[120];
    selection_state_words(&state, us, of, sizeof of);
    double unit = words_curve_units(curve, us).x;
    number_show_significant(curve->x_min / unit, 3, lowest, sizeof lowest);
    number_show_significant(curve->x_max / unit, 3, highest, sizeof highest);
    text_addf(out, "%zu specimens%s%s%s in %zu batches of %zu mixes, tested from %s to %s", curve->n_specimens, of[0] ? " (" : "", of,
              of[0] ? ")" : "", curve->n_batches, curve->n_mixes, lowest, highest);
    if (curve->predictor < PROPERTY_COUNT)
        text_addf(out, " %s", property_unit(curve->predictor, us));
    text_addf(out, "; y in %s", property_unit(curve->property, us));
    if (curve->predictor < PROPERTY_COUNT)
        text_addf(out, ", x in %s", property_unit(curve->predictor, us));
    text_add(out, "\n\n");
}

static void add_fit(const struct specimen_set *set, const struct curve_set *curves, const struct influence *influence, double confidence,
                    bool us, struct text *out)
{
    const struct curve *curve = curve_set_chosen(curves);
    const struct curve *first = curve ? curve : &curves->curves[0];
    text_addf(out, "%s of ", property_row(first->property)->words);
    text_add_printable(out, *words_aggregate(set, first->aggregate) ? words_aggregate(set, first->aggregate) : "all");
    text_addf(out, " on %s", predictor_words(first));
    if (!curve) {
        text_add(out, ": no law could be fitted");
        if (first->problem.text[0]) {
            text_add(out, ": ");
            text_add_printable(out, first->problem.text);
        }
        text_add(out, "\n");
        return;
    }
    text_addf(out, ": %s, %s\n", law_word(curve->law), law_formula(curve->law));
    add_range(set, curves, curve, us, out);
    add_coefficients(curve, confidence, us, out);
    add_scatter(curve, us, out);
    if (influence) {
        struct influence_names names;
        influence_name_curve(set, curves, influence, &names);
        influence_say(influence, &names, out);
    }
    add_laws(curves, us, out);
}

enum status answer_fit_table(const struct specimen_set *set, const struct fit_list *fits, double confidence, bool us, struct text *out)
{
    for (size_t i = 0; i < fits->n_items; i++) {
        if (i > 0)
            text_add(out, "\n\n");
        add_fit(set, &fits->items[i], fits->influence ? &fits->influence[i] : NULL, confidence, us, out);
    }
    if (fits->n_items == 0)
        text_add(out, "nothing to fit\n");
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}

static void put_coefficients(struct json_build *build, json_t *fit, const struct curve *curve, double confidence)
{
    json_t *array = json_put_array(build, fit, "coefficients");
    for (size_t j = 0; j < law_terms(curve->law); j++) {
        struct coefficient_row row;
        curve_coefficient(curve, j, confidence, &row);
        law_term_name(curve->law, j, predictor_name(curve), row.name, sizeof row.name);
        coefficients_put(build, array, &row);
    }
}

static void put_influence(struct json_build *build, json_t *fit, const struct specimen_set *set, const struct curve_set *curves,
                          const struct influence *influence)
{
    struct influence_names names;
    if (influence)
        influence_name_curve(set, curves, influence, &names);
    influence_put(build, fit, influence, &names);
    json_put_text(build, fit, "near_dependence", NULL); /* of columns alone */
}

/* influence: of the chosen curve, NULL for the others. */
static void put_fit(struct json_build *build, json_t *array, const struct specimen_set *set, const struct curve_set *curves,
                    const struct curve *curve, const struct influence *influence, double confidence)
{
    const struct selection_state state = sample_state(set, &curves->sample, curve->property);
    json_t *fit = json_append_object(build, array);
    json_put_text(build, fit, "aggregate", words_aggregate(set, curve->aggregate));
    json_put_text(build, fit, "property", property_row(curve->property)->name);
    json_put_text(build, fit, "predictor", predictor_name(curve));
    json_put_text(build, fit, "law", law_word(curve->law));
    json_put_bool(build, fit, "chosen", curve->chosen);
    json_put_count(build, fit, "n_specimens", curve->n_specimens);
    json_put_count(build, fit, "n_batches", curve->n_batches);
    holds_for_put(build, fit, &state);
    put_coefficients(build, fit, curve, confidence);
    json_put_number(build, fit, "sd_batch", batch_sd(curve));
    json_put_number(build, fit, "sd_specimen", specimen_sd(curve));
    json_put_number(build, fit, "residual_sd", curve->residual_sd);
    json_put_number(build, fit, "r_squared", curve->r_squared);
    json_put_number(build, fit, "aicc", curve->aicc);
    json_put_number(build, fit, "cross_validation_rmse", curve->cross_validation_rmse);
    coefficients_put_lack(build, fit, &curve->lack_of_fit);
    put_influence(build, fit, set, curves, influence);
}

enum status answer_fit_json(const struct specimen_set *set, const struct fit_list *fits, double confidence, struct text *out)
{
    struct json_build build;
    json_build_start(&build);
    json_t *array = json_put_array(&build, build.root, "fits");
    for (size_t i = 0; i < fits->n_items; i++)
        for (enum law law = 0; law < LAW_COUNT; law++)
            if (fits->items[i].curves[law].fitted)
                put_fit(&build, array, set, &fits->items[i], &fits->items[i].curves[law],
                        fits->influence && fits->items[i].curves[law].chosen ? &fits->influence[i] : NULL, confidence);
    return json_build_finish(&build, out);
}
