#include "advise/search.h"

#include "base/number.h"
#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* "1540 kg/m3 (1510 to 1570, 95 %)" */
static void add_density(const struct candidate *candidate, double confidence, bool us, struct text *text)
{
    char value[64], lower[64], upper[64];
    if (isnan(candidate->density_kg_m3))
        return;
    value_words(PROPERTY_DENSITY, candidate->density_kg_m3, us, value, sizeof value);
    property_show(PROPERTY_DENSITY, candidate->density_lower, us, lower, sizeof lower);
    property_show(PROPERTY_DENSITY, candidate->density_upper, us, upper, sizeof upper);
    text_add(text, value);
    if (!isnan(candidate->density_lower))
        text_addf(text, " (%s to %s, %g %%)", lower, upper, 100 * confidence);
    else
        text_add(text, " (its uncertainty cannot be told from 1 batch)");
}

static void add_sought(const struct recommend_request *request, const struct recommendation *answer,
                       const struct candidate *candidate, bool us, struct text *text)
{
    char value[64];
    if (request->seek == SEEK_STRONGEST) {
        value_words(answer->strength, candidate->sought, us, value, sizeof value);
        text_addf(text, "%s %s assured (%g %%)", value, property_row(answer->strength)->words, 100 * request->assurance.confidence);
    } else if (request->seek == SEEK_CHEAPEST) {
        cost_words(candidate->sought, us, value, sizeof value);
        text_addf(text, "%s %s", value, cost_unit_words(us));
    }
    if (request->seek != SEEK_LIGHTEST && !isnan(candidate->density_kg_m3))
        text_add(text, ", ");
    add_density(candidate, request->assurance.confidence, us, text);
}

static void add_lighter(const struct specimen_set *set, const struct recommendation *answer, const struct candidate *candidate,
                        struct text *text)
{
    if (answer->reference == SAMPLE_ALL || isnan(candidate->percent_lighter))
        return;
    const char *name = set->mixes[answer->reference].name;
    if (!candidate->interpolated && candidate->mix == answer->reference)
        text_add(text, ", the reference mix itself");
    else if (fabs(candidate->percent_lighter) < 0.5)
        text_addf(text, ", to the rounding as heavy as the reference mix '%.60s'", name);
    else
        text_addf(text, ", %.0f %% %s than the reference mix '%.60s'", fabs(candidate->percent_lighter),
                  candidate->percent_lighter >= 0 ? "lighter" : "heavier", name);
}

/* "should reach a compressive strength of 12.3 MPa against the target of 12 MPa" */
static void add_outcome(const struct demand_outcome *outcome, bool us, struct text *text)
{
    char assured[80], demanded[80];
    outcome_words(outcome, outcome->assured, us, assured, sizeof assured);
    demand_value_words(&outcome->demand, us, demanded, sizeof demanded);
    const char *what = demand_words(&outcome->demand);
    text_addf(text, "%s %s %s of %s against the %s of %s", outcome->is_limit ? "not exceed" : "reach", article_words(what), what, assured, outcome->is_limit ? "limit" : "target", demanded);
}

/*
 * "; the next batch of 3 should reach a compressive strength of 12.3 MPa against the target of 12 MPa, and the next specimen
 * should reach a flexural strength of ... (95 % assured)". Each demand has the basis that its own results allow.
 */
static void add_assured(const struct recommend_request *request, const struct candidate *candidate, bool us, struct text *text)
{
    char subject[80], before[80] = "";
    for (size_t i = 0; i < candidate->n_outcomes; i++) {
        const struct demand_outcome *outcome = &candidate->outcomes[i];
        if (outcome->demand.kind == DEMAND_COST)
            continue;
        assured_subject_words(&request->assurance, outcome->batches_apart, subject, sizeof subject);
        if (strcmp(subject, before) != 0)
            text_addf(text, "%s%s should ", before[0] ? ", and " : "; ", subject);
        else
            text_add(text, " and ");
        add_outcome(outcome, us, text);
        snprintf(before, sizeof before, "%s", subject);
    }
    if (before[0])
        text_addf(text, " (%g %% assured)", 100 * request->assurance.confidence);
}

static void add_cost(const struct candidate *candidate, bool us, struct text *text)
{
    char cost[64], limit[64];
    for (size_t i = 0; i < candidate->n_outcomes; i++) {
        const struct demand_outcome *outcome = &candidate->outcomes[i];
        if (outcome->demand.kind != DEMAND_COST)
            continue;
        outcome_words(outcome, outcome->assured, us, cost, sizeof cost);
        demand_value_words(&outcome->demand, us, limit, sizeof limit);
        text_addf(text, "; it costs %s against the limit of %s", cost, limit);
    }
}

/* A curve that does not follow its mixes must not hide behind its bound. */
static void add_missing_curve(const struct recommendation *answer, const struct candidate *winner, struct text *text)
{
    const struct curve *curve = candidate_missing_curve(answer, winner);
    if (curve)
        text_addf(text, "; the curve of %s misses the mixes that were cast by more than their scatter (p = %.2g): take this as a guide only",
                  property_row(curve->property)->words, curve->lack_of_fit.p);
}

/* Nor may one that nothing could contradict. */
static void add_untested_curve(const struct specimen_set *set, const struct recommendation *answer, const struct candidate *winner, struct text *text)
{
    char words[240];
    const struct curve *curve = candidate_untested_curve(answer, winner);
    if (!curve)
        return;
    untested_curve_words(set, curve, words, sizeof words);
    text_addf(text, "; %s", words);
}

static void add_found(const struct specimen_set *set, const struct recommend_request *request,
                      const struct recommendation *answer, bool us, struct text *text)
{
    const struct candidate *winner = &answer->candidates[answer->winner];
    char recipe[256];
    recipe_words(set, winner, recipe, sizeof recipe);
    text_addf(text, "Cast %s: ", recipe);
    add_sought(request, answer, winner, us, text);
    add_lighter(set, answer, winner, text);
    add_assured(request, winner, us, text);
    add_cost(winner, us, text);
    add_missing_curve(answer, winner, text);
    add_untested_curve(set, answer, winner, text);
    if (winner->n_cautions > 0)
        text_addf(text, "; %s", winner->cautions[0]);
    text_add(text, ".");
}

/* The first demand that the nearest recipe misses, in the units asked for. */
static void add_miss(const struct candidate *nearest, bool us, struct text *text)
{
    char words[300];
    for (size_t i = 0; i < nearest->n_outcomes; i++) {
        if (nearest->outcomes[i].met || isnan(nearest->outcomes[i].assured))
            continue;
        outcome_fail_words(&nearest->outcomes[i], us, words, sizeof words);
        text_addf(text, nearest->outcomes[i].assured < 0 ? ": %s" : ": its %s", words);
        return;
    }
    text_addf(text, ": %s", nearest->why_not);
}

static void add_none(const struct specimen_set *set, const struct recommendation *answer, bool us, struct text *text)
{
    char recipe[256];
    text_add(text, "No recipe meets the demands");
    if (answer->n_candidates > 0) {
        recipe_words(set, &answer->candidates[0], recipe, sizeof recipe);
        text_addf(text, "; the nearest is %s", recipe);
        add_miss(&answer->candidates[0], us, text);
    }
    text_add(text, ".");
}

enum status recommendation_sentence(const struct specimen_set *set, const struct recommend_request *request,
                                    const struct recommendation *answer, bool us, char *out, size_t size)
{
    struct text text = { 0 };
    if (answer->found)
        add_found(set, request, answer, us, &text);
    else
        add_none(set, answer, us, &text);
    enum status status = text.failed ? STATUS_MEMORY : STATUS_OK;
    snprintf(out, size, "%s", text.bytes && !text.failed ? text.bytes : "");
    text_release(&text);
    return status;
}
