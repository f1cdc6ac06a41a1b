#include "output/answer_general.h"

#include "base/number.h"
#include "output/coefficients.h"
#include "output/holds_for.h"
#include "output/influence_words.h"
#include "output/table.h"

#include <math.h>

static void say_scatter(const struct general_fit *fit, struct text *out)
{
    char total[64], between[64], within[64], squared[64];
    number_show_significant(fit->residual_sd, 5, total, sizeof total);
    number_show_significant(fit->sd_batch, 5, between, sizeof between);
    number_show_significant(fit->sd_specimen, 5, within, sizeof within);
    number_show(fit->r_squared, 0.0001, "-", squared, sizeof squared);
    if (fit->fit.has_batch_effect)
        text_addf(out, "standard deviation between batches %s, within a batch %s, of both %s", between, within, total);
    else
        text_addf(out, "standard deviation about the fit %s", total);
    text_addf(out, "; R squared %s\n", squared);
}

#define PAGE_WIDTH 96
#define INFLATION_MUCH 10.0 /* from here on it is said: common practice, no source */

static void say_near_dependence(const struct general_fit *fit, struct text *out)
{
    char inflation[64], correlation[64];
    if (!(fit->near.inflation > INFLATION_MUCH) || fit->near.with == fit->n_explaining)
        return;
    number_show_significant(fit->near.inflation, 3, inflation, sizeof inflation);
    number_show(fit->near.correlation, 0.0001, "-", correlation, sizeof correlation);
    struct text line = { 0 };
    text_addf(&line, "doubtful: column '%s' nearly follows from the others, most of all from '%s' (correlation %s): that makes the variance of its "
                     "coefficient %s times as large; the fit as a whole stands, single coefficients do not",
              fit->explaining[fit->near.term], fit->explaining[fit->near.with], correlation, inflation);
    table_wrap(out, line.bytes ? line.bytes : "", 2, PAGE_WIDTH);
    out->failed |= line.failed;
    text_release(&line);
}

static void put_near_dependence(struct json_build *build, json_t *object, const struct general_fit *fit)
{
    const bool any = fit->near.with < fit->n_explaining;
    if (!any) {
        json_put_text(build, object, "near_dependence", NULL);
        return;
    }
    json_t *near = json_put_object(build, object, "near_dependence");
    json_put_text(build, near, "column", fit->explaining[fit->near.term]);
    json_put_text(build, near, "with", fit->explaining[fit->near.with]);
    json_put_number(build, near, "inflation", fit->near.inflation);
    json_put_number(build, near, "correlation", fit->near.correlation);
}

enum status answer_general_table(const struct general_fit *fit, double confidence, struct text *out)
{
    struct coefficients_table table;
    text_add_printable(out, fit->response);
    for (size_t i = 0; i < fit->n_explaining; i++) {
        text_add(out, i == 0 ? " on " : i + 1 == fit->n_explaining ? " and " : ", ");
        text_add_printable(out, fit->explaining[i]);
    }
    text_addf(out, ": %s\n%zu rows", fit->law, fit->n_specimens);
    if (fit->fit.has_batch_effect)
        text_addf(out, " in %zu batches", fit->n_batches);
    text_add(out, "\n\n");
    coefficients_start(&table, confidence);
    for (size_t i = 0; i < fit->n_coefficients; i++)
        coefficients_add(&table, &fit->coefficients[i]);
    coefficients_show(&table, out);
    say_scatter(fit, out);
    coefficients_say_lack(&fit->lack_of_fit, out);
    struct influence_names names;
    influence_name_rows(&fit->influence, fit->batches, &names);
    influence_say(&fit->influence, &names, out);
    say_near_dependence(fit, out);
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}

enum status answer_general_json(const struct general_fit *fit, struct text *out)
{
    /* Columns are taken as they stand: nothing is known of what they are of. */
    static const struct selection_state untold = { NAN, MOISTURE_UNKNOWN, { SHAPE_UNKNOWN, LOADING_UNKNOWN, NAN } };
    struct json_build build;
    json_build_start(&build);
    json_t *object = json_append_object(&build, json_put_array(&build, build.root, "fits"));
    json_put_text(&build, object, "aggregate", NULL);
    json_put_text(&build, object, "property", fit->response);
    json_put_text(&build, object, "predictor", fit->predictor);
    json_put_text(&build, object, "law", fit->law);
    json_put_bool(&build, object, "chosen", true);
    json_put_count(&build, object, "n_specimens", fit->n_specimens);
    json_put_count(&build, object, "n_batches", fit->n_batches);
    holds_for_put(&build, object, &untold);
    json_t *array = json_put_array(&build, object, "coefficients");
    for (size_t i = 0; i < fit->n_coefficients; i++)
        coefficients_put(&build, array, &fit->coefficients[i]);
    json_put_number(&build, object, "sd_batch", fit->sd_batch);
    json_put_number(&build, object, "sd_specimen", fit->sd_specimen);
    json_put_number(&build, object, "residual_sd", fit->residual_sd);
    json_put_number(&build, object, "r_squared", fit->r_squared);
    json_put_number(&build, object, "aicc", fit->aicc);
    json_put_number(&build, object, "cross_validation_rmse", fit->cross_validation_rmse);
    coefficients_put_lack(&build, object, &fit->lack_of_fit);
    struct influence_names names;
    influence_name_rows(&fit->influence, fit->batches, &names);
    influence_put(&build, object, &fit->influence, &names);
    put_near_dependence(&build, object, fit);
    return json_build_finish(&build, out);
}
