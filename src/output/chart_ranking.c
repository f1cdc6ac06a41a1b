#include "output/chart_rows.h"

#include "advise/words.h"
#include "base/memory.h"
#include "base/number.h"
#include "output/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static int larger_first(const void *left, const void *right)
{
    const struct interval_row *a = left, *b = right;
    return (a->value < b->value) - (a->value > b->value);
}

static size_t lighter_rows(const struct chart_source *source, struct interval_row *rows)
{
    const struct mix_summary_list *mixes = &source->answer->mixes;
    size_t n = 0;
    for (size_t i = 0; i < mixes->n_items; i++) {
        const struct mix_summary *mix = &mixes->items[i];
        if (!mix->percent_lighter.available || mix->mix == source->answer->reference)
            continue;
        const struct set_mix *row = &source->set->mixes[mix->mix];
        chart_row_name(row->name, rows[n].name);
        rows[n].value = mix->percent_lighter.estimate;
        rows[n].lower = mix->percent_lighter.bounded ? mix->percent_lighter.lower : NAN;
        rows[n].upper = mix->percent_lighter.bounded ? mix->percent_lighter.upper : NAN;
        rows[n].slot = chart_slot(source, row->aggregate);
        number_show(rows[n].value, 0.1, "", rows[n].note, sizeof rows[n].note);
        n++;
    }
    qsort(rows, n, sizeof *rows, larger_first);
    return n;
}

enum status chart_percent_lighter(const struct chart_source *source, struct chart *out, struct drawing *drawing)
{
    char subtitle[1024], shapes[400], lightest[WORDS_MAX];
    struct interval_row *rows = memory_new(source->answer->mixes.n_items + 1, sizeof *rows);
    if (!rows)
        return STATUS_MEMORY;
    size_t n = lighter_rows(source, rows);
    struct interval_chart chart = { .rows = rows, .n_rows = n < CHART_ROWS_MAX ? n : CHART_ROWS_MAX,
                                    .x_title = "percent lighter than the reference mix", .subtitle = subtitle, .line = 0 };
    chart_shapes(source, shapes, sizeof shapes);
    snprintf(out->title, sizeof out->title, "How much lighter each mix is");
    snprintf(subtitle, sizeof subtitle, "Against reference mix %s, with %g %% confidence interval (Fieller).%s%s",
             words_mix(source->set, source->answer->reference), 100 * source->request->assurance.confidence, shapes,
             n > CHART_ROWS_MAX ? " Only the 40 lightest mixes are shown." : "");
    words_lighter(n ? rows[0].value : NAN, lightest);
    snprintf(out->alternative, sizeof out->alternative, "Percent lighter than the reference mix for %zu mixes, lightest first, each with its interval. The first, %s, is %.60s.",
             n, n ? rows[0].name : "", lightest);
    enum status status = n ? interval_chart_draw(&chart, out, drawing) : STATUS_ANSWER_NO;
    memory_free(rows);
    return status;
}

/* The assured value of the first demand it fails, or of the first demand. */
static void candidate_note(const struct chart_source *source, const struct candidate *candidate, char out[64])
{
    const struct demand_outcome *outcome = candidate->n_outcomes ? &candidate->outcomes[0] : NULL;
    for (size_t i = candidate->n_outcomes; i-- > 0;)
        if (!candidate->outcomes[i].met)
            outcome = &candidate->outcomes[i];
    char value[WORDS_MAX] = "";
    if (outcome)
        words_outcome(outcome, outcome->assured, source->us, value);
    snprintf(out, 64, "%.60s", value);
}

enum status chart_candidates(const struct chart_source *source, struct chart *out, struct drawing *drawing)
{
    const struct recommendation *answer = source->answer;
    char subtitle[1024], x_title[96], shapes[400], meaning[WORDS_MAX];
    size_t n = answer->n_candidates < CHART_ROWS_MAX ? answer->n_candidates : CHART_ROWS_MAX;
    struct interval_row *rows = memory_new(n + 1, sizeof *rows);
    if (!rows)
        return STATUS_MEMORY;
    for (size_t i = 0; i < n; i++) {
        const struct candidate *candidate = &answer->candidates[i];
        chart_recipe_name(source, candidate, rows[i].name);
        candidate_note(source, candidate, rows[i].note);
        rows[i].value = words_shown(PROPERTY_DENSITY, candidate->density_kg_m3, source->us);
        rows[i].lower = words_shown(PROPERTY_DENSITY, candidate->density_lower, source->us);
        rows[i].upper = words_shown(PROPERTY_DENSITY, candidate->density_upper, source->us);
        rows[i].slot = chart_slot(source, candidate->aggregate);
        rows[i].hollow = !candidate->feasible;
    }
    bool is_limit;
    const struct demand *demand = chart_demand(source, PROPERTY_DENSITY, &is_limit);
    chart_axis_title(PROPERTY_DENSITY, source->us, x_title, sizeof x_title);
    chart_shapes(source, shapes, sizeof shapes);
    words_assurance(source->set, &source->request->assurance, meaning);
    struct interval_chart chart = { .rows = rows, .n_rows = n, .x_title = x_title, .subtitle = subtitle,
                                    .line = demand && is_limit ? words_shown(PROPERTY_DENSITY, demand->value, source->us) : NAN };
    snprintf(out->title, sizeof out->title, "Candidates, best first");
    snprintf(subtitle, sizeof subtitle, "Density with its interval; beside it the assured value (%s) of the first demand that fails, or of the first. Filled: meets all; hollow: fails.%s", meaning, shapes);
    snprintf(out->alternative, sizeof out->alternative, "Ranking of %zu candidates by density, with intervals; filled marks meet every demand.", n);
    enum status status = n ? interval_chart_draw(&chart, out, drawing) : STATUS_ANSWER_NO;
    memory_free(rows);
    return status;
}

/* "9.6 MPa", with the demand's name where several are moved. */
static void point_name(const struct chart_source *source, const struct sensitivity_point *point, char out[48])
{
    const struct recommend_request *request = source->request;
    bool is_limit = point->demand >= request->n_targets;
    struct demand demand = is_limit ? request->limits[point->demand - request->n_targets] : request->targets[point->demand];
    char value[WORDS_MAX], name[2 * WORDS_MAX];
    demand.value = point->value;
    demand_value_words(&demand, source->us, value, sizeof value);
    const char *what = demand.kind == DEMAND_PROPERTY ? words_short(demand.property) : demand_words(&demand);
    snprintf(name, sizeof name, "%s %s", source->answer->n_sensitivity > SENSITIVITY_POINTS ? what : is_limit ? "limit" : "target", value);
    chart_row_name(name, out);
}

enum status chart_sensitivity(const struct chart_source *source, struct chart *out, struct drawing *drawing)
{
    const struct recommendation *answer = source->answer;
    char x_title[96], recipe[48];
    size_t n = answer->n_sensitivity < CHART_ROWS_MAX ? answer->n_sensitivity : CHART_ROWS_MAX;
    struct interval_row *rows = memory_new(n + 1, sizeof *rows);
    if (!rows)
        return STATUS_MEMORY;
    for (size_t i = 0; i < n; i++) {
        const struct sensitivity_point *point = &answer->sensitivity[i];
        rows[i] = (struct interval_row){ .note = "no recipe", .value = NAN, .lower = NAN, .upper = NAN };
        point_name(source, point, rows[i].name);
        if (!point->found)
            continue;
        chart_recipe_name(source, &point->winner, recipe);
        snprintf(rows[i].note, sizeof rows[i].note, "%s", recipe);
        rows[i].value = words_shown(PROPERTY_DENSITY, point->winner.density_kg_m3, source->us);
        rows[i].lower = words_shown(PROPERTY_DENSITY, point->winner.density_lower, source->us);
        rows[i].upper = words_shown(PROPERTY_DENSITY, point->winner.density_upper, source->us);
        rows[i].slot = chart_slot(source, point->winner.aggregate);
    }
    chart_axis_title(PROPERTY_DENSITY, source->us, x_title, sizeof x_title);
    struct interval_chart chart = { .rows = rows, .n_rows = n, .x_title = x_title, .line = NAN,
        .subtitle = "The first choice for each demand, the others as they are: its density with its interval, and the recipe." };
    snprintf(out->title, sizeof out->title, "How the answer moves with the demand");
    snprintf(out->alternative, sizeof out->alternative, "The recommended recipe and its density when the demand is set from %g to %g times what is asked.",
             n ? answer->sensitivity[0].factor : 1, n ? answer->sensitivity[n - 1].factor : 1);
    enum status status = interval_chart_draw(&chart, out, drawing);
    memory_free(rows);
    return status;
}
