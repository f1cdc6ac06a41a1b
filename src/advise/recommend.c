#include "advise/recommend.h"

#include "advise/search.h"
#include "base/memory.h"

#include <math.h>
#include <string.h>

static enum status check_demand(const struct recommend_request *request, const struct demand *demand, struct problem *problem)
{
    if (!isfinite(demand->value))
        return problem_set(problem, STATUS_USAGE, NULL, "the %s asked for is no number", demand_words(demand));
    if (demand->kind == DEMAND_PIECE_MASS && !(request->piece.volume_l > 0))
        return problem_set(problem, STATUS_USAGE, NULL, "a limit on piece mass needs the piece: give --piece, such as 400x400x40mm");
    return STATUS_OK;
}

static enum status check_request(const struct search *search, struct problem *problem)
{
    const struct recommend_request *request = search->request;
    const struct assurance *assurance = &request->assurance;
    if (request->n_targets > DEMANDS_MAX || request->n_limits > DEMANDS_MAX)
        return problem_set(problem, STATUS_USAGE, NULL, "no more than %d targets and %d limits", DEMANDS_MAX, DEMANDS_MAX);
    if (!(assurance->confidence > 0 && assurance->confidence < 1))
        return problem_set(problem, STATUS_USAGE, NULL, "confidence must lie between 0 and 1, such as 0.95");
    if (assurance->kind == ASSURANCE_FRACTILE && !(assurance->fractile > 0 && assurance->fractile < 1))
        return problem_set(problem, STATUS_USAGE, NULL, "the fractile must lie between 0 and 1, such as 0.05");
    if (!(assurance->specimens_per_batch >= 1))
        return problem_set(problem, STATUS_USAGE, NULL, "a batch has at least 1 specimen");
    for (size_t i = 0; i < search_demands(search); i++) {
        bool is_limit;
        enum status status = check_demand(request, search_demand(search, i, &is_limit), problem);
        if (status != STATUS_OK)
            return status;
    }
    return STATUS_OK;
}

static enum property find_strength(const struct search *search)
{
    for (size_t i = 0; i < search_demands(search); i++) {
        bool is_limit;
        const struct demand *demand = search_demand(search, i, &is_limit);
        if (demand->kind == DEMAND_PROPERTY && property_is_strength(demand->property))
            return demand->property;
    }
    for (enum property property = 0; property < PROPERTY_COUNT; property++)
        if (property_is_strength(property) && search->set->value[property])
            return property;
    return PROPERTY_COUNT;
}

/* Every demanded property must have results, or the user asked of the wrong file or forgot to map a column. */
static enum status check_results(const struct search *search, struct problem *problem)
{
    for (size_t i = 0; i < search_demands(search); i++) {
        bool is_limit;
        enum property property = demand_property(search_demand(search, i, &is_limit));
        if (property != PROPERTY_COUNT && !search->set->value[property])
            return problem_set(problem, STATUS_TOO_FEW, NULL, "there is no result of %s: map its column with --column %s=HEADING",
                               property_row(property)->words, property_row(property)->name);
    }
    if (search->request->seek == SEEK_LIGHTEST && !search->set->value[PROPERTY_DENSITY])
        return problem_set(problem, STATUS_TOO_FEW, NULL, "there is no result of density: give masses and sizes, or a density column");
    if (search->request->seek == SEEK_STRONGEST && search->answer->strength == PROPERTY_COUNT)
        return problem_set(problem, STATUS_TOO_FEW, NULL, "there is no result of strength: give break loads, or a strength column");
    return STATUS_OK;
}

static enum status want_aggregates(struct search *search, struct problem *problem)
{
    const struct selection *selection = &search->answer->selection;
    search->aggregate_wanted = memory_new(search->set->n_aggregates, sizeof *search->aggregate_wanted);
    if (!search->aggregate_wanted)
        return problem_set(problem, STATUS_MEMORY, NULL, "no memory left for the list of aggregates");
    for (size_t i = 0; i < search->set->n_aggregates; i++)
        search->aggregate_wanted[i] = selection_wants(selection, search->set->aggregates[i]);
    return STATUS_OK;
}

enum status gather_candidates(const struct search *search, struct problem *problem)
{
    struct recommendation *answer = search->answer;
    const struct specimen_set *set = search->set;
    answer->candidates = memory_new(set->n_mixes + set->n_aggregates, sizeof *answer->candidates);
    if (!answer->candidates)
        return problem_set(problem, STATUS_MEMORY, NULL, "no memory left for the candidates");
    for (uint32_t mix = 0; mix < set->n_mixes; mix++) {
        bool wanted = search->aggregate_wanted[set->mixes[mix].aggregate] || mix == answer->reference;
        struct recipe recipe = recipe_of_mix(search, mix);
        if (wanted && mix_has_results(recipe.summary))
            candidate_fill(search, &recipe, &answer->candidates[answer->n_candidates++]);
    }
    for (uint32_t aggregate = 0; aggregate < set->n_aggregates; aggregate++) {
        struct candidate *next = &answer->candidates[answer->n_candidates];
        if (search->aggregate_wanted[aggregate] && interpolate_candidate(search, aggregate, next))
            answer->n_candidates++;
    }
    return STATUS_OK;
}

static bool nothing_judged(const struct recommendation *answer)
{
    for (size_t i = 0; i < answer->n_candidates; i++) {
        const struct candidate *candidate = &answer->candidates[i];
        if (candidate->feasible)
            return false;
        for (size_t k = 0; k < candidate->n_outcomes; k++)
            if (!isnan(candidate->outcomes[k].assured))
                return false;
    }
    return true;
}

/* Only the first point on a curve that meets the demands is worth the resampling. */
static enum status resample_best(const struct search *search, struct problem *problem)
{
    struct recommendation *answer = search->answer;
    for (size_t i = 0; search->request->n_resamples > 0 && i < answer->n_candidates; i++)
        if (answer->candidates[i].feasible && answer->candidates[i].interpolated)
            return interpolate_uncertainty(search, &answer->candidates[i], problem);
    return STATUS_OK;
}

static enum status conclude(struct search *search, struct problem *problem)
{
    struct recommendation *answer = search->answer;
    enum status status = rank_candidates(search, problem);
    if (status != STATUS_OK)
        return status;
    for (size_t i = 0; i < answer->n_candidates; i++) {
        candidate_reason(search, &answer->candidates[i], answer->found && i == answer->winner);
        candidate_add_cautions(search, &answer->candidates[i]);
    }
    search_add_notices(search);
    status = resample_best(search, problem);
    if (status != STATUS_OK || answer->found)
        return status;
    if (nothing_judged(answer))
        return problem_set(problem, STATUS_TOO_FEW, NULL, "no recipe can be judged: %s",
                           answer->n_candidates > 0 ? answer->candidates[0].why_not : "no mix has results");
    return STATUS_ANSWER_NO;
}

static enum status summarise_mixes(struct search *search, struct problem *problem)
{
    const struct recommend_request *request = search->request;
    struct recommendation *answer = search->answer;
    enum status status = property_sums_make(&search->sums, search->set, &answer->selection, problem);
    if (status == STATUS_OK)
        status = mix_summary_list_from(search->set, &answer->selection, &search->sums, request->reference_mix,
                                       request->assurance.confidence, &answer->mixes, problem);
    if (status == STATUS_OK)
        answer->reference = mix_reference(search->set, &answer->mixes, request->reference_mix);
    return status;
}

/* The stages in order; each leaves its part in the answer. */
static enum status search_run(struct search *search, struct problem *problem)
{
    const struct recommend_request *request = search->request;
    struct recommendation *answer = search->answer;
    enum status status = check_request(search, problem);
    if (request->selection_notices)
        problem_list_pass(request->selection_notices, &answer->notices);
    if (status == STATUS_OK)
        status = selection_settle(search->set, &answer->selection, &answer->notices);
    if (status == STATUS_USAGE && answer->notices.n_items > 0)
        *problem = answer->notices.items[answer->notices.n_items - 1];
    answer->strength = find_strength(search);
    if (status == STATUS_OK)
        status = check_results(search, problem);
    if (status == STATUS_OK)
        status = want_aggregates(search, problem);
    if (status == STATUS_OK)
        status = summarise_mixes(search, problem);
    if (status == STATUS_OK)
        status = cost_book_make(search, problem);
    if (status == STATUS_OK && bound_memo_make(&search->bounds) != STATUS_OK)
        status = problem_set(problem, STATUS_MEMORY, NULL, "no memory left to search");
    if (status == STATUS_OK)
        status = fit_curves(search, problem);
    if (status == STATUS_OK)
        status = gather_candidates(search, problem);
    return status == STATUS_OK ? conclude(search, problem) : status;
}

enum status recommend_search(const struct specimen_set *set, const struct recommend_request *request,
                             struct recommendation *answer, struct problem *problem)
{
    struct search search = {
        .set = set, .request = request, .answer = answer, .piece_m3 = request->piece.volume_l / L_PER_M3,
        .us = request->units == UNITS_AS_READ ? set->us_units : request->units == UNITS_US,
    };
    memset(answer, 0, sizeof *answer);
    answer->reference = SAMPLE_ALL;
    answer->selection = request->selection;
    enum status status = search_run(&search, problem);
    if (request->sensitivity && (status == STATUS_OK || status == STATUS_ANSWER_NO)
        && (sensitivity_make(&search, problem) != STATUS_OK || front_make(&search, problem) != STATUS_OK))
        status = STATUS_MEMORY;
    if (answer->notices.worst == STATUS_MEMORY) /* a notice found no room */
        status = problem_set(problem, STATUS_MEMORY, NULL, "no memory left for what must be known");
    memory_free(search.costs.per_m3);
    bound_memo_release(&search.bounds);
    property_sums_release(&search.sums);
    memory_free(search.aggregate_wanted);
    if (status != STATUS_OK && status != STATUS_ANSWER_NO)
        recommendation_release(answer);
    return status;
}

void recommendation_release(struct recommendation *answer)
{
    for (size_t i = 0; i < answer->n_curves; i++)
        curve_set_release(&answer->curves[i]);
    memory_free(answer->curves);
    memory_free(answer->candidates);
    memory_free(answer->sensitivity);
    memory_free(answer->front);
    memory_free(answer->draws.values);
    mix_summary_list_release(&answer->mixes);
    problem_list_release(&answer->notices);
    memset(answer, 0, sizeof *answer);
    answer->reference = SAMPLE_ALL;
}

const struct curve_set *recommendation_curves(const struct recommendation *answer, uint32_t aggregate, enum property property)
{
    for (size_t i = 0; i < answer->n_curves; i++)
        if (answer->curves[i].curves[0].aggregate == aggregate && answer->curves[i].curves[0].property == property)
            return &answer->curves[i];
    return NULL;
}

const struct curve *recommendation_curve(const struct recommendation *answer, uint32_t aggregate, enum property property)
{
    const struct curve_set *curves = recommendation_curves(answer, aggregate, property);
    return curves ? curve_set_chosen(curves) : NULL;
}
