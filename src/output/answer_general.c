#include "output/answer_general.h"

#include "base/number.h"
#include "output/coefficients.h"
#include "output/holds_for.h"

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
    return json_build_finish(&build, out);
}
