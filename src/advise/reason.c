#include "advise/search.h"

#include "base/number.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* Adds to a reason, parts set apart by "; ". */
__attribute__((format(printf, 2, 3)))
static void reason_add(struct candidate *candidate, const char *format, ...)
{
    va_list arguments;
    size_t used = strlen(candidate->why_not), size = sizeof candidate->why_not;
    if (used > 0 && used + 3 < size)
        used += (size_t)snprintf(candidate->why_not + used, size - used, "; ");
    va_start(arguments, format);
    vsnprintf(candidate->why_not + used, size - used, format, arguments);
    va_end(arguments);
}

/* Only a tested mix has results that more batches would add to. */
static void add_more_batches(const struct search *search, const struct demand_outcome *outcome, struct candidate *candidate)
{
    enum property property = demand_property(&outcome->demand);
    if (candidate->interpolated || property == PROPERTY_COUNT || outcome->assured < 0)
        return; /* a bound below zero says that the scatter itself is not known yet: no count can be promised */
    const struct mix_property *result = &search->answer->mixes.items[candidate->mix].property[property];
    size_t more = batches_wanting(search, result, demand_property_value(search, &outcome->demand), outcome->is_limit ? 1 : -1);
    if (more > 0)
        reason_add(candidate, "about %zu more batch%s would do if mean and scatter stay", more, more == 1 ? "" : "es");
}

void outcome_fail_words(const struct demand_outcome *outcome, bool us, char *out, size_t size)
{
    char assured[80], demanded[80], estimate[80], mean[100] = "";
    bool cost = outcome->demand.kind == DEMAND_COST;
    outcome_words(outcome, outcome->assured, us, assured, sizeof assured);
    outcome_words(outcome, outcome->estimate, us, estimate, sizeof estimate);
    demand_value_words(&outcome->demand, us, demanded, sizeof demanded);
    if (!cost)
        snprintf(mean, sizeof mean, " (mean %s)", estimate);
    if (outcome->assured < 0)
        snprintf(out, size, "no %s is assured against the %s of %s%s", demand_words(&outcome->demand),
                 outcome->is_limit ? "limit" : "target", demanded, mean);
    else
        snprintf(out, size, "%s%s of %s is %s the %s of %s%s", cost ? "" : "assured ", demand_words(&outcome->demand), assured,
                 outcome->is_limit ? "above" : "below", outcome->is_limit ? "limit" : "target", demanded, mean);
}

static void add_fails(const struct search *search, const struct demand_outcome *outcome, struct candidate *candidate)
{
    char words[300];
    outcome_fail_words(outcome, search->us, words, sizeof words);
    reason_add(candidate, "%s", words);
    add_more_batches(search, outcome, candidate);
}

static void add_unknown(const struct search *search, const struct demand_outcome *outcome, struct candidate *candidate)
{
    const char *words = demand_words(&outcome->demand);
    if (outcome->demand.kind == DEMAND_COST)
        reason_add(candidate, "its cost cannot be told: %s", search->costs.reason);
    else if (isnan(outcome->estimate))
        reason_add(candidate, "no result of %s", demand_property(&outcome->demand) == PROPERTY_DENSITY
                   ? property_row(PROPERTY_DENSITY)->words : words);
}

/* Its results are there, but not enough to tell how batches differ. */
static bool is_unassured(const struct demand_outcome *outcome)
{
    return !outcome->met && isnan(outcome->assured) && !isnan(outcome->estimate) && outcome->demand.kind != DEMAND_COST;
}

/* One sentence for all of them: "1 batch cannot assure its compressive strength or absorption: cast 2 more, for 3 in all" */
static void add_unassured(struct candidate *candidate)
{
    char named[160] = "";
    for (size_t i = 0; i < candidate->n_outcomes; i++) {
        const size_t used = strlen(named);
        if (is_unassured(&candidate->outcomes[i]))
            snprintf(named + used, sizeof named - used, "%s%s", used > 0 ? " or " : "", demand_words(&candidate->outcomes[i].demand));
    }
    if (named[0])
        reason_add(candidate, candidate->interpolated ? "too few batches to assure its %s" : "1 batch cannot assure its %s: cast 2 more, for 3 in all",
                   named);
}

static void add_unmet(const struct search *search, struct candidate *candidate)
{
    add_unassured(candidate);
    for (size_t i = 0; i < candidate->n_outcomes; i++) {
        const struct demand_outcome *outcome = &candidate->outcomes[i];
        if (outcome->met || is_unassured(outcome))
            continue;
        if (isnan(outcome->assured))
            add_unknown(search, outcome, candidate);
        else
            add_fails(search, outcome, candidate);
    }
    char words[160];
    disagreement_words(search, candidate, words, sizeof words);
    if (words[0])
        reason_add(candidate, "%s", words);
    if (isnan(candidate->sought) && search->request->seek == SEEK_LIGHTEST)
        reason_add(candidate, "no result of density");
    else if (isnan(candidate->sought) && search->request->seek == SEEK_STRONGEST)
        reason_add(candidate, "its %s cannot be assured", property_row(search->answer->strength)->words);
    else if (isnan(candidate->sought))
        reason_add(candidate, "its cost cannot be told: %s", search->costs.reason);
    if (!search->aggregate_wanted[candidate->aggregate])
        reason_add(candidate, "shown for reference: its aggregate is not among those asked for");
}

/* "0 lb/ft3" or "0.00": a difference that rounding hides. */
static bool is_hidden(const char *words)
{
    char end = words[strspn(words, "0.")];
    return end == ' ' || end == '\0';
}

/*
 * A feasible one that is not first: by how much it is worse. "The same to the
 * rounding" would stand beside 1500 and 1510 when they are 1504.9 and 1505.1:
 * the step is named, which two such values never differ by more than.
 */
static void add_worse(const struct search *search, struct candidate *candidate)
{
    const struct candidate *winner = &search->answer->candidates[search->answer->winner];
    enum seek seek = search->request->seek;
    enum property property = seek == SEEK_LIGHTEST ? PROPERTY_DENSITY : search->answer->strength;
    double by = fabs(candidate->sought - winner->sought);
    char words[80], step[40] = "";
    if (seek == SEEK_CHEAPEST) {
        cost_words(by, search->us, words, sizeof words);
    } else {
        value_words(property, by, search->us, words, sizeof words);
        step_words(property, search->us, step, sizeof step);
    }
    bool same = is_hidden(words);
    if (seek == SEEK_CHEAPEST && same)
        reason_add(candidate, "meets all demands, and costs the same within 0.01 %s", cost_unit_words(search->us));
    else if (seek == SEEK_CHEAPEST)
        reason_add(candidate, "meets all demands, but costs %s more %s", words, cost_unit_words(search->us));
    else if (seek == SEEK_LIGHTEST && same)
        reason_add(candidate, "meets all demands, and weighs the same within %s", step);
    else if (seek == SEEK_LIGHTEST)
        reason_add(candidate, "meets all demands, but is %s heavier", words);
    else if (same)
        reason_add(candidate, "meets all demands, and its assured %s is the same within %s", property_row(property)->words, step);
    else
        reason_add(candidate, "meets all demands, but its assured %s is %s less", property_row(property)->words, words);
}

void candidate_reason(const struct search *search, struct candidate *candidate, bool is_winner)
{
    candidate->why_not[0] = '\0';
    if (is_winner)
        return;
    if (candidate->feasible)
        add_worse(search, candidate);
    else
        add_unmet(search, candidate);
}
