#include "advise/search.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>

#define LACK_OF_FIT_LEVEL 0.05
#define FEW_BATCHES 3
#define EARLY_AGE_DAYS 28.0
#define NO_SCATTER 1e-9 /* of the value: below it scatter is rounding */

void candidate_caution(struct candidate *candidate, const char *format, ...)
{
    va_list arguments;
    if (candidate->n_cautions == CANDIDATE_CAUTIONS)
        return;
    va_start(arguments, format);
    vsnprintf(candidate->cautions[candidate->n_cautions++], sizeof candidate->cautions[0], format, arguments);
    va_end(arguments);
}

/* The best tested mix that meets everything; NULL without one. */
static const struct candidate *tested_fallback(const struct search *search)
{
    const struct recommendation *answer = search->answer;
    for (size_t i = 0; i < answer->n_candidates; i++)
        if (answer->candidates[i].feasible && !answer->candidates[i].interpolated)
            return &answer->candidates[i];
    return NULL;
}

static void caution_not_cast(const struct search *search, struct candidate *candidate)
{
    if (!candidate->interpolated)
        return;
    if (candidate->at_mix != SAMPLE_ALL)
        candidate_caution(candidate, "judged by the curve of its aggregate, not by mix '%.60s' alone: cast a confirming batch first",
                          search->set->mixes[candidate->at_mix].name);
    else
        candidate_caution(candidate, "not yet cast: make a confirming batch first");
    const struct candidate *fallback = tested_fallback(search);
    char density[64];
    if (!fallback)
        return;
    value_words(PROPERTY_DENSITY, fallback->density_kg_m3, search->us, density, sizeof density);
    candidate_caution(candidate, "the best mix already cast that meets all demands is '%.60s' (%s)",
                      search->set->mixes[fallback->mix].name, density);
}

static bool property_used(const struct candidate *candidate, enum property property)
{
    for (size_t i = 0; i < candidate->n_outcomes; i++)
        if (demand_property(&candidate->outcomes[i].demand) == property)
            return true;
    return property == PROPERTY_DENSITY;
}

/* Rows that tell no batch, of the mixes that the candidate stands on. */
static void caution_assumed_batches(const struct specimen_set *set, struct candidate *candidate)
{
    size_t n = 0;
    for (size_t i = 0; set->n_batch_assumed > 0 && i < set->n; i++) {
        const uint32_t mix = specimen_set_mix(set, i);
        const bool its_own = candidate->interpolated ? set->mixes[mix].aggregate == candidate->aggregate : mix == candidate->mix;
        n += its_own && (set->flags[i] & FLAG_BATCH_ASSUMED);
    }
    if (n > 0)
        candidate_caution(candidate, "the batch of %zu specimen%s is not told: counted with the nearest batch told of its mix",
                          n, n == 1 ? "" : "s");
}

static void caution_batches(const struct search *search, struct candidate *candidate)
{
    bool none = false;
    size_t fewest = SIZE_MAX;
    for (enum property property = 0; property < PROPERTY_COUNT; property++) {
        const struct curve *curve = property_used(candidate, property) ? candidate_curve(search->answer, candidate, property) : NULL;
        if (!curve)
            continue;
        none = none || curve->all_no_batch;
        if (curve->n_batches < fewest && !curve->all_no_batch)
            fewest = curve->n_batches;
    }
    caution_assumed_batches(search->set, candidate);
    if (none)
        candidate_caution(candidate, "no batches are told: each specimen counts as its own batch, which is optimistic");
    if (!candidate->interpolated && fewest < FEW_BATCHES)
        candidate_caution(candidate, "%s: %zu more would make the bound worth more", fewest == 1 ? "cast in 1 batch only" : "cast in 2 batches only",
                          FEW_BATCHES - fewest);
}

/* Rounded results may all agree. How far others will lie is then not known, which no bound can make good. */
static void caution_no_scatter(const struct search *search, struct candidate *candidate)
{
    for (size_t i = 0; i < candidate->n_outcomes; i++) {
        enum property property = demand_property(&candidate->outcomes[i].demand);
        const struct curve *curve = property == PROPERTY_COUNT ? NULL : candidate_curve(search->answer, candidate, property);
        if (!curve || !curve->fitted)
            continue;
        double mean = curve_value(curve, candidate->aggregate_fraction), scale = law_is_log(curve->law) ? 1 : fabs(mean);
        if (curve->residual_sd <= NO_SCATTER * scale)
            candidate_caution(candidate, "the results of %s agree to the last digit, so nothing tells how others scatter: "
                              "its assured value is no surer than a mean", property_row(property)->words);
    }
}

static bool curve_misses(const struct curve *curve)
{
    return curve->lack_of_fit.available && curve->lack_of_fit.p < LACK_OF_FIT_LEVEL;
}

const struct curve *candidate_missing_curve(const struct recommendation *answer, const struct candidate *candidate)
{
    for (enum property property = 0; candidate->interpolated && property < PROPERTY_COUNT; property++) {
        const struct curve *curve = property_used(candidate, property) ? candidate_curve(answer, candidate, property) : NULL;
        if (curve && curve_misses(curve) && property != PROPERTY_DENSITY)
            return curve;
    }
    return NULL;
}

const struct curve *candidate_untested_curve(const struct recommendation *answer, const struct candidate *candidate)
{
    for (enum property property = 0; candidate->interpolated && property < PROPERTY_COUNT; property++) {
        const struct curve *curve = property_used(candidate, property) ? candidate_curve(answer, candidate, property) : NULL;
        if (curve && curve->shape_untested)
            return curve;
    }
    return NULL;
}

void untested_curve_words(const struct specimen_set *set, const struct curve *curve, char *out, size_t size)
{
    snprintf(out, size, "with %zu fractions of %.60s only, nothing tests the shape of its curve of %s between them: take this as a guide only",
             curve->fit.n_terms, set->aggregates[curve->aggregate], property_row(curve->property)->words);
}

static void caution_curve(const struct curve *curve, struct candidate *candidate)
{
    const char *words = property_row(curve->property)->words;
    if (curve->doubtful)
        candidate_caution(candidate, "the %s law of %s turns within the tested range: doubtful", law_word(curve->law), words);
    if (curve_misses(curve))
        candidate_caution(candidate, "the %s law misses the mean %s of the mixes by more than their batches explain (p = %.2g)",
                          law_word(curve->law), words, curve->lack_of_fit.p);
}

static void caution_curves(const struct search *search, struct candidate *candidate)
{
    char words[200];
    const struct curve *untested = candidate_untested_curve(search->answer, candidate);
    if (untested) {
        untested_curve_words(search->set, untested, words, sizeof words);
        candidate_caution(candidate, "%s", words);
    }
    for (enum property property = 0; candidate->interpolated && property < PROPERTY_COUNT; property++) {
        const struct curve *curve = property_used(candidate, property) ? candidate_curve(search->answer, candidate, property) : NULL;
        if (curve)
            caution_curve(curve, candidate);
    }
}

static void caution_states(const struct search *search, struct candidate *candidate)
{
    const struct selection *selection = &search->answer->selection;
    enum moisture state = selection->property_moisture[PROPERTY_DENSITY];
    if (state == MOISTURE_AS_CAST || state == MOISTURE_SATURATED)
        candidate_caution(candidate, "density is that of %s specimens: dry pieces weigh less", moisture_word(state));
    else if (state == MOISTURE_UNKNOWN)
        candidate_caution(candidate, "no moisture state is told with the density: weigh pieces in the state they are carried in");
    if (!isnan(selection->age_days) && selection->age_days < EARLY_AGE_DAYS - 0.5)
        candidate_caution(candidate, "judged at %g days, before the usual 28", selection->age_days);
}

static void caution_load(const struct search *search, struct candidate *candidate)
{
    for (enum property property = PROPERTY_COMPRESSIVE_STRENGTH; property <= PROPERTY_SPLITTING_STRENGTH; property++) {
        if (!property_used(candidate, property) && !(search->request->seek == SEEK_STRONGEST && property == search->answer->strength))
            continue;
        candidate_caution(candidate, "trial results: load-bearing use needs the local code and a licensed engineer");
        return;
    }
}

void candidate_add_cautions(const struct search *search, struct candidate *candidate)
{
    caution_not_cast(search, candidate);
    caution_disagreement(search, candidate);
    caution_edge(search, candidate);
    caution_batches(search, candidate);
    caution_no_scatter(search, candidate);
    caution_curves(search, candidate);
    caution_states(search, candidate);
    caution_load(search, candidate);
}

void search_add_notices(const struct search *search)
{
    struct problem_list *notices = &search->answer->notices;
    const struct specimen_set *set = search->set;
    if (search->request->n_targets == 0 && search->request->n_limits == 0)
        problem_list_add(notices, SEVERITY_NOTICE, STATUS_OK, NULL,
                         "no target or limit is set: give one with --target or --limit, such as --target compressive_strength=10MPa");
    if (!set->has_batch_column && !search->answer->found) /* a winner's cautions say it */
        problem_list_add(notices, SEVERITY_NOTICE, STATUS_OK, NULL,
                         "there is no batch column: each specimen counts as its own batch, which makes every bound optimistic");
    if (!set->has_fraction)
        problem_list_add(notices, SEVERITY_NOTICE, STATUS_OK, NULL,
                         "no aggregate fraction is known, so only tested mixes are compared: map a column with "
                         "--column aggregate_fraction=HEADING or give --mixes");
    else if (search->answer->n_curves == 0)
        problem_list_add(notices, SEVERITY_NOTICE, STATUS_OK, NULL,
                         "no aggregate has a curve over its fractions, so only tested mixes are compared");
    if (search->request->reference_mix == NULL && search->answer->reference == SAMPLE_ALL)
        problem_list_add(notices, SEVERITY_NOTICE, STATUS_OK, NULL,
                         "no mix has an aggregate fraction of 0 to count from: name one with --reference");
}
