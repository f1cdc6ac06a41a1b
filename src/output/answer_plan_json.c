#include "output/answer_plan.h"

#include "output/holds_for.h"
#include "output/json_build.h"
#include "output/words.h"

#include <math.h>

static void put_recipe(struct json_build *build, json_t *row, const struct plan_answer *source, size_t index)
{
    const struct candidate *candidate = &source->answer->candidates[index];
    json_put_text(build, row, "kind", words_kind(candidate));
    json_put_text(build, row, "aggregate", words_aggregate(source->set, candidate->aggregate));
    json_put_text(build, row, "mix", candidate->interpolated ? NULL : words_mix(source->set, candidate->mix));
    json_put_number(build, row, "aggregate_fraction", candidate->aggregate_fraction);
}

/* Standard deviations on the scale of the fit: shares of the value on a logarithm. */
static void put_scatter(struct json_build *build, json_t *row, const struct plan_scatter *scatter, bool known)
{
    json_put_bool(build, row, "log_scale", known && scatter->log_scale);
    json_put_number(build, row, "sd_batch", known && scatter->apart ? sqrt(scatter->var_batch) : NAN);
    json_put_number(build, row, "sd_specimen", known ? sqrt(scatter->var_specimen) : NAN);
}

static void put_batches(struct json_build *build, json_t *row, const size_t batches[PLAN_SIZES])
{
    json_t *array = json_put_array(build, row, "needed");
    for (size_t size = 0; size < PLAN_SIZES; size++) {
        json_t *needed = json_append_object(build, array);
        json_put_number(build, needed, "specimens_per_batch", plan_sizes[size]);
        json_put_number(build, needed, "batches", batches[size] > 0 ? (double)batches[size] : NAN);
    }
}

static void put_demand(struct json_build *build, json_t *row, const struct demand_outcome *outcome)
{
    json_put_text(build, row, "property", words_demand_json(&outcome->demand));
    json_put_number(build, row, outcome->is_limit ? "limit" : "target", outcome->demand.value);
}

static void put_line(struct json_build *build, json_t *row, const struct plan_answer *source, const struct plan_line *line)
{
    put_recipe(build, row, source, line->candidate);
    put_demand(build, row, &source->answer->candidates[line->candidate].outcomes[line->demand]);
    json_put_number(build, row, "estimate", line->estimate);
    json_put_number(build, row, "assured", line->assured);
    json_put_bool(build, row, "met", line->met);
    json_put_count(build, row, "batches_so_far", line->n_batches);
    put_scatter(build, row, &line->scatter, line->known);
    put_batches(build, row, line->batches);
    json_put_text(build, row, "reason", line->reason);
}

static void put_focus(struct json_build *build, json_t *object, const struct plan_answer *source)
{
    const struct plan *plan = source->plan;
    const struct plan_line *line = plan->focus < plan->n_lines ? &plan->lines[plan->focus] : NULL;
    if (line) {
        json_t *recipe = json_put_object(build, object, "recipe");
        put_recipe(build, recipe, source, line->candidate);
        put_demand(build, recipe, &source->answer->candidates[line->candidate].outcomes[line->demand]);
    } else {
        json_put_text(build, object, "recipe", NULL);
    }
    json_t *array = json_put_array(build, object, "chances");
    for (size_t n = 0; line && n < PLAN_GRID_BATCHES; n++)
        for (size_t size = 0; size < PLAN_SIZES; size++) {
            json_t *cell = json_append_object(build, array);
            json_put_count(build, cell, "batches", n + 2);
            json_put_number(build, cell, "specimens_per_batch", plan_sizes[size]);
            json_put_number(build, cell, "chance", plan->grid.chance[n][size]);
        }
    array = json_put_array(build, object, "fractions");
    for (size_t i = 0; i < plan->n_reaches; i++) {
        json_t *row = json_append_object(build, array);
        json_put_count(build, row, "batches", plan->reaches[i].batches);
        json_put_number(build, row, "aggregate_fraction", plan->reaches[i].fraction);
        json_put_number(build, row, "density_kg_m3", plan->reaches[i].density_kg_m3);
    }
}

static void put_difference(struct json_build *build, json_t *row, const struct plan_answer *source, const struct plan_difference_line *line)
{
    const struct plan_difference *difference = &source->plan_request->differences[line->difference];
    put_recipe(build, row, source, line->candidate);
    json_put_text(build, row, "property", property_row(difference->property)->name);
    json_put_number(build, row, "difference", difference->value);
    put_scatter(build, row, &line->scatter, line->known);
    put_batches(build, row, line->batches);
}

static void put_trial(struct json_build *build, json_t *object, const struct plan_answer *source)
{
    const struct plan_trial *trial = &source->plan->trial;
    bool known = trial->known;
    json_put_text(build, object, "aggregate", known ? words_aggregate(source->set, trial->aggregate) : NULL);
    json_put_number(build, object, "aggregate_fraction", known ? trial->best : NAN);
    json_put_text(build, object, "mix", known ? words_mix(source->set, trial->best_mix) : NULL);
    json_put_number(build, object, "specimens", known ? trial->specimens : NAN);
    json_put_text(build, object, "property", known ? property_row(trial->property)->name : NULL);
    json_put_number(build, object, "recommended_fraction", known ? trial->fraction : NAN);
    json_put_number(build, object, "margin_now", known ? trial->margin_now : NAN);
    json_put_number(build, object, "margin_then", known ? trial->margin_then : NAN);
    json_put_number(build, object, "narrowing_pct", known ? trial->narrowing_pct : NAN);
    json_t *array = json_put_array(build, object, "others");
    for (size_t i = 0; i < trial->n_points; i++) {
        json_t *row = json_append_object(build, array);
        json_put_number(build, row, "aggregate_fraction", trial->points[i].fraction);
        json_put_text(build, row, "mix", words_mix(source->set, trial->points[i].mix));
        json_put_number(build, row, "narrowing_pct", trial->points[i].narrowing_pct);
    }
    json_put_text(build, object, "reason", trial->reason);
}

enum status answer_plan_json(const struct plan_answer *source, struct text *out)
{
    struct json_build build;
    const struct plan *plan = source->plan;
    json_build_start(&build);
    json_put_number(&build, build.root, "power", source->plan_request->power);
    holds_for_put_recommendation(&build, source->set, source->request, source->answer);
    json_t *array = json_put_array(&build, build.root, "demands");
    for (size_t i = 0; i < plan->n_lines; i++)
        put_line(&build, json_append_object(&build, array), source, &plan->lines[i]);
    put_focus(&build, json_put_object(&build, build.root, "focus"), source);
    array = json_put_array(&build, build.root, "differences");
    for (size_t i = 0; i < plan->n_difference_lines; i++)
        put_difference(&build, json_append_object(&build, array), source, &plan->difference_lines[i]);
    put_trial(&build, json_put_object(&build, build.root, "next_trial"), source);
    return json_build_finish(&build, out);
}
