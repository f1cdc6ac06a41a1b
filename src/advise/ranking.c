#include "advise/search.h"

#include "base/memory.h"

#include <math.h>
#include <stdlib.h>

#define TIE_RELATIVE 1e-9

/* What one candidate is sorted by. */
struct rank {
    double key;     /* feasible: what is sought, less being better; else how far from meeting, less being nearer */
    bool feasible, interpolated;
    size_t at;      /* index before sorting */
};

static double worst_margin(const struct candidate *candidate)
{
    double worst = INFINITY;
    for (size_t i = 0; i < candidate->n_outcomes; i++) {
        const struct demand_outcome *outcome = &candidate->outcomes[i];
        double margin = demand_margin(&outcome->demand, outcome->is_limit, outcome->assured);
        worst = isnan(margin) ? -INFINITY : fmin(worst, margin);
    }
    return worst;
}

static struct rank rank_of(const struct search *search, size_t i)
{
    const struct candidate *candidate = &search->answer->candidates[i];
    double sought = search->request->seek == SEEK_STRONGEST ? -candidate->sought : candidate->sought;
    return (struct rank){
        .key = candidate->feasible ? sought : -worst_margin(candidate),
        .feasible = candidate->feasible, .interpolated = candidate->interpolated, .at = i,
    };
}

/* Feasible first, then the better, then tested before interpolated, then as found. */
static int compare_ranks(const void *left, const void *right)
{
    const struct rank *a = left, *b = right;
    if (a->feasible != b->feasible)
        return a->feasible ? -1 : 1;
    if (a->key != b->key)
        return a->key < b->key ? -1 : 1;
    if (a->interpolated != b->interpolated)
        return a->interpolated ? 1 : -1;
    return (a->at > b->at) - (a->at < b->at);
}

/* A tested mix as good as the first but for rounding errors goes before it. */
static void prefer_tested(struct rank *ranks, size_t n)
{
    for (size_t i = 1; i < n && ranks[0].interpolated && ranks[i].feasible; i++) {
        if (ranks[i].key - ranks[0].key > TIE_RELATIVE * fabs(ranks[0].key))
            return;
        if (ranks[i].interpolated)
            continue;
        struct rank tested = ranks[i];
        for (size_t k = i; k > 0; k--)
            ranks[k] = ranks[k - 1];
        ranks[0] = tested;
    }
}

/* Candidates are large: they go into order in place, one round of those that take each other's places after another. */
static void reorder(struct candidate *candidates, size_t n, struct rank *ranks)
{
    for (size_t i = 0; i < n; i++) {
        if (ranks[i].at == i)
            continue;
        struct candidate first = candidates[i];
        size_t to = i;
        for (size_t from; (from = ranks[to].at) != i; to = from) {
            candidates[to] = candidates[from];
            ranks[to].at = to;
        }
        candidates[to] = first;
        ranks[to].at = to;
    }
}

enum status rank_candidates(struct search *search, struct problem *problem)
{
    struct recommendation *answer = search->answer;
    size_t n = answer->n_candidates;
    struct rank *ranks = memory_new(n, sizeof *ranks);
    if (!ranks)
        return problem_set(problem, STATUS_MEMORY, NULL, "no memory left to rank %zu candidates", n);
    for (size_t i = 0; i < n; i++)
        ranks[i] = rank_of(search, i);
    qsort(ranks, n, sizeof *ranks, compare_ranks);
    prefer_tested(ranks, n);
    reorder(answer->candidates, n, ranks);
    answer->winner = 0;
    answer->found = n > 0 && answer->candidates[0].feasible;
    memory_free(ranks);
    return STATUS_OK;
}
