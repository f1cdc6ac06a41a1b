#include "advise/search.h"

#include <math.h>
#include <stdio.h>

#define BEYOND_SHARE 0.5

/* Batches behind the aggregate's curve of what was demanded first; 0 without one. */
static size_t curve_batches(const struct search *search, uint32_t aggregate)
{
    for (size_t i = 0; i < search_demands(search); i++) {
        bool is_limit;
        const enum property property = demand_property(search_demand(search, i, &is_limit));
        const struct curve *curve = property == PROPERTY_COUNT ? NULL : recommendation_curve(search->answer, aggregate, property);
        if (curve)
            return curve->n_batches;
    }
    return 0;
}

static const char *plural(size_t n)
{
    return n == 1 ? "" : "es";
}

void disagreement_words(const struct search *search, const struct candidate *candidate, char *out, size_t size)
{
    out[0] = '\0';
    if (candidate->interpolated || curve_verdict(search, candidate->aggregate, candidate->aggregate_fraction) != VERDICT_MEETS)
        return;
    snprintf(out, size, "the curve of its aggregate meets the demands at this fraction, since it rests on %zu batches and this mix on %zu",
             curve_batches(search, candidate->aggregate), candidate->n_batches);
}

void caution_disagreement(const struct search *search, struct candidate *candidate)
{
    const struct specimen_set *set = search->set;
    if (candidate->interpolated && candidate->feasible && candidate->at_mix != SAMPLE_ALL) {
        const struct candidate *tested = tested_candidate(search->answer, candidate->at_mix);
        if (tested && !tested->feasible)
            candidate_caution(candidate, "mix '%.40s' was cast at this fraction and fails by its own %zu batch%s; the curve passes, since it rests on "
                              "all %zu of its aggregate, and errs if its law does", set->mixes[tested->mix].name, tested->n_batches,
                              plural(tested->n_batches), curve_batches(search, candidate->aggregate));
    } else if (!candidate->interpolated && candidate->feasible
               && curve_verdict(search, candidate->aggregate, candidate->aggregate_fraction) == VERDICT_FAILS) {
        candidate_caution(candidate, "meets the demands by its own %zu batch%s, but the curve of its aggregate (%zu batches) does not at this "
                          "fraction: its batches may have been lucky, so cast one more", candidate->n_batches, plural(candidate->n_batches),
                          curve_batches(search, candidate->aggregate));
    }
}

void caution_edge(const struct search *search, struct candidate *candidate)
{
    char fraction[32];
    if (!candidate->feasible || candidate->edge == 0)
        return;
    fraction_words(candidate->shown_fraction, fraction, sizeof fraction);
    candidate_caution(candidate, "%s is the %s fraction of %.60s that was tested: nothing tells what lies beyond, where a better recipe may be",
                      fraction, candidate->edge > 0 ? "largest" : "smallest", search->set->aggregates[candidate->aggregate]);
}

double fraction_beyond(const struct search *search, const struct candidate *candidate)
{
    const struct specimen_set *set = search->set;
    const double x = candidate->aggregate_fraction;
    double nearest = INFINITY;
    for (size_t i = 0; i < set->n_mixes; i++) {
        const double back = (x - set->mixes[i].aggregate_fraction) * candidate->edge;
        if (set->mixes[i].aggregate == candidate->aggregate && back > FRACTION_SAME)
            nearest = fmin(nearest, back);
    }
    return fmin(1, fmax(0, x + candidate->edge * BEYOND_SHARE * nearest));
}
