#include "advise/plan_parts.h"

#include "base/memory.h"

#include <math.h>
#include <stdio.h>
#include <string.h>


/* Scatter about a curve, at a fraction. */
struct plan_scatter plan_scatter_of_curve(const struct curve *curve, double x)
{
    bool apart = curve->fit.has_batch_effect, log_scale = law_is_log(curve->law);
    double mean = curve_value(curve, x);
    return (struct plan_scatter){
        .mean = log_scale ? log(mean) : mean, .var_batch = apart ? curve->fit.var_batch : 0, .var_specimen = curve->fit.var_specimen,
        .log_scale = log_scale, .apart = apart,
    };
}

/* A mix of one batch shows no scatter between batches; that about the curve of its aggregate stands in for it. */
static bool scatter_of_mix(const struct recommendation *answer, const struct candidate *candidate, enum property property,
                           struct plan_scatter *scatter, bool *borrowed)
{
    const struct mix_property *result = &answer->mixes.items[candidate->mix].property[property];
    const struct curve *curve = recommendation_curve(answer, candidate->aggregate, property);
    if (!result->available)
        return false;
    *borrowed = result->n_batches < 2;
    if (!*borrowed) {
        bool apart = !isnan(result->sd_batch);
        *scatter = (struct plan_scatter){
            .mean = result->mean, .var_batch = apart ? result->sd_batch * result->sd_batch : 0,
            .var_specimen = result->sd_specimen * result->sd_specimen, .apart = apart,
        };
        return true;
    }
    if (!curve || isnan(candidate->aggregate_fraction))
        return false;
    *scatter = plan_scatter_of_curve(curve, fmin(curve->x_max, fmax(curve->x_min, candidate->aggregate_fraction)));
    scatter->mean = scatter->log_scale ? log(result->mean) : result->mean;
    return true;
}

static bool scatter_of(const struct recommendation *answer, const struct candidate *candidate, enum property property,
                       struct plan_scatter *scatter, bool *borrowed)
{
    *borrowed = false;
    if (!candidate->interpolated)
        return scatter_of_mix(answer, candidate, property, scatter, borrowed);
    const struct curve *curve = recommendation_curve(answer, candidate->aggregate, property);
    if (curve)
        *scatter = plan_scatter_of_curve(curve, candidate->aggregate_fraction);
    return curve != NULL;
}

/* The reference mix is a candidate too, but not to be cast when its aggregate was not asked for. */
static bool to_be_cast(const struct search *search, size_t candidate)
{
    uint32_t aggregate = search->answer->candidates[candidate].aggregate;
    return selection_wants(&search->answer->selection, search->set->aggregates[aggregate]);
}

/* Without batches only single specimens can be planned. */
static bool size_makes_sense(const struct plan_scatter *scatter, size_t size)
{
    return scatter->apart || plan_sizes[size] == 1;
}

static size_t batches_so_far(const struct recommendation *answer, const struct candidate *candidate, enum property property)
{
    return candidate->interpolated ? 0 : answer->mixes.items[candidate->mix].property[property].n_batches;
}

static void fill_line(const struct search *search, const struct plan_request *plan_request, struct plan_line *line)
{
    const struct recommendation *answer = search->answer;
    const struct candidate *candidate = &answer->candidates[line->candidate];
    const struct demand_outcome *outcome = &candidate->outcomes[line->demand];
    enum property property = demand_property(&outcome->demand);
    int side = outcome->is_limit ? 1 : -1;
    line->estimate = outcome->estimate;
    line->assured = outcome->assured;
    line->met = outcome->met;
    line->n_batches = batches_so_far(answer, candidate, property);
    line->specimens = 1;
    line->wanted = demand_property_value(search, &outcome->demand);
    line->known = scatter_of(answer, candidate, property, &line->scatter, &line->borrowed);
    if (!line->known) {
        snprintf(line->reason, sizeof line->reason, isnan(outcome->estimate) ? "no result" : "one batch shows no scatter: cast two more");
        return;
    }
    if (isnan(line->wanted) || (line->scatter.log_scale && !(line->wanted > 0))) {
        line->known = false;
        snprintf(line->reason, sizeof line->reason, "the demand cannot be met by any %s", property_row(property)->words);
        return;
    }
    for (size_t size = 0; size < PLAN_SIZES; size++)
        if (size_makes_sense(&line->scatter, size))
            line->batches[size] = plan_batches(&line->scatter, line->wanted, side, &search->request->assurance, plan_sizes[size], plan_request->power);
    line->specimens = line->scatter.apart ? search->request->assurance.specimens_per_batch : 1;
    line->needed = plan_batches(&line->scatter, line->wanted, side, &search->request->assurance, line->specimens, plan_request->power);
    bool right_side = side < 0 ? outcome->estimate > outcome->demand.value : outcome->estimate < outcome->demand.value;
    if (!right_side)
        snprintf(line->reason, sizeof line->reason, "its mean misses the demand: no number of batches will do");
}

static void fill_grid(const struct search *search, const struct plan_line *line, struct plan_grid *grid)
{
    int side = search->answer->candidates[line->candidate].outcomes[line->demand].is_limit ? 1 : -1;
    for (size_t n = 0; n < PLAN_GRID_BATCHES; n++)
        for (size_t size = 0; size < PLAN_SIZES; size++)
            grid->chance[n][size] = size_makes_sense(&line->scatter, size)
                ? plan_chance(&line->scatter, line->wanted, side, &search->request->assurance, (double)(n + 2), plan_sizes[size]) : NAN;
}

/* Batches that a line asks for; more than any when it is out of reach. */
static size_t hardness(const struct plan_line *line)
{
    return line->known && line->needed > 0 ? line->needed : PLAN_BATCHES_MOST + 1;
}

/* The hardest line of a candidate; n_lines when it has none. */
static size_t hardest_line(const struct plan *plan, size_t candidate)
{
    size_t hardest = plan->n_lines;
    for (size_t i = 0; i < plan->n_lines; i++)
        if (plan->lines[i].candidate == candidate && (hardest == plan->n_lines || hardness(&plan->lines[i]) > hardness(&plan->lines[hardest])))
            hardest = i;
    return hardest;
}

static void settle_focus(const struct search *search, double power, struct plan *plan)
{
    const struct recommendation *answer = search->answer;
    plan->focus = answer->found ? hardest_line(plan, answer->winner) : plan->n_lines;
    for (size_t i = 0; !answer->found && plan->focus == plan->n_lines && i < answer->n_candidates; i++) {
        size_t line = hardest_line(plan, i);
        if (line < plan->n_lines && hardness(&plan->lines[line]) <= PLAN_BATCHES_MOST)
            plan->focus = line;
    }
    if (plan->focus == plan->n_lines || !plan->lines[plan->focus].known)
        return;
    const struct candidate *candidate = &answer->candidates[plan->lines[plan->focus].candidate];
    fill_grid(search, &plan->lines[plan->focus], &plan->grid);
    if (candidate->interpolated)
        plan_reach_make(search, candidate, power, plan);
}

static enum status make_lines(const struct search *search, const struct plan_request *plan_request, struct plan *plan)
{
    const struct recommendation *answer = search->answer;
    size_t n_demands = search_demands(search);
    plan->lines = memory_new(answer->n_candidates * n_demands, sizeof *plan->lines);
    if (!plan->lines)
        return STATUS_MEMORY;
    for (size_t demand = 0; demand < n_demands; demand++) {
        bool is_limit;
        if (demand_property(search_demand(search, demand, &is_limit)) == PROPERTY_COUNT)
            continue;
        for (size_t i = 0; i < answer->n_candidates; i++) {
            if (!to_be_cast(search, i))
                continue;
            plan->lines[plan->n_lines] = (struct plan_line){ .candidate = i, .demand = demand };
            fill_line(search, plan_request, &plan->lines[plan->n_lines++]);
        }
    }
    settle_focus(search, plan_request->power, plan);
    return STATUS_OK;
}

static enum status make_differences(const struct search *search, const struct plan_request *plan_request, struct plan *plan)
{
    const struct recommendation *answer = search->answer;
    plan->difference_lines = memory_new(answer->n_candidates * plan_request->n_differences, sizeof *plan->difference_lines);
    if (!plan->difference_lines)
        return STATUS_MEMORY;
    for (size_t i = 0; i < plan_request->n_differences; i++)
        for (size_t c = 0; c < answer->n_candidates; c++) {
            const struct plan_difference *difference = &plan_request->differences[i];
            bool borrowed;
            if (!to_be_cast(search, c))
                continue;
            struct plan_difference_line *line = &plan->difference_lines[plan->n_difference_lines++];
            *line = (struct plan_difference_line){ .candidate = c, .difference = i };
            line->known = scatter_of(answer, &answer->candidates[c], difference->property, &line->scatter, &borrowed);
            for (size_t size = 0; line->known && size < PLAN_SIZES; size++)
                if (size_makes_sense(&line->scatter, size))
                    line->batches[size] = plan_difference_batches(&line->scatter, difference->value, search->request->assurance.confidence,
                                                                  plan_sizes[size], plan_request->power);
        }
    return STATUS_OK;
}

enum status plan_make(const struct specimen_set *set, const struct recommend_request *request, const struct recommendation *answer,
                      const struct plan_request *plan_request, struct plan *plan, struct problem *problem)
{
    struct recommendation lent = *answer; /* only read */
    const struct search search = { .set = set, .request = request, .answer = &lent, .piece_m3 = request->piece.volume_l / L_PER_M3 };
    memset(plan, 0, sizeof *plan);
    enum status status = make_lines(&search, plan_request, plan);
    if (status == STATUS_OK)
        status = make_differences(&search, plan_request, plan);
    plan_trial_make(&search, &plan->trial);
    if (status == STATUS_OK)
        return status;
    plan_release(plan);
    return problem_set(problem, status, NULL, "no memory left for the plan");
}

void plan_release(struct plan *plan)
{
    memory_free(plan->lines);
    memory_free(plan->difference_lines);
    memset(plan, 0, sizeof *plan);
}
