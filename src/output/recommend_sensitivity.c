#include "output/recommend_tables.h"

#include "advise/words.h"
#include "base/number.h"
#include "output/words.h"

#include <math.h>
#include <stdio.h>

static bool any_cost(const struct recommendation *answer)
{
    for (size_t i = 0; i < answer->n_sensitivity; i++)
        if (answer->sensitivity[i].found && isfinite(answer->sensitivity[i].winner.cost))
            return true;
    return false;
}

static void add_winner(const struct specimen_set *set, const struct sensitivity_point *point, bool us, bool costs, struct table *table)
{
    const struct candidate *winner = &point->winner;
    char cell[WORDS_MAX];
    words_recipe(set, winner, cell);
    table_cell(table, cell);
    property_show(PROPERTY_DENSITY, winner->density_kg_m3, us, cell, sizeof cell);
    table_cell(table, cell);
    number_show(winner->percent_lighter, 0.1, "-", cell, sizeof cell);
    table_cell(table, cell);
    if (!costs)
        return;
    cost_words(winner->cost, us, cell, sizeof cell);
    table_cell(table, cell);
}

static void add_none(bool costs, struct table *table)
{
    table_cell(table, "none");
    for (int i = 0; i < (costs ? 3 : 2); i++)
        table_cell(table, "-");
}

static bool several_demands(const struct recommendation *answer)
{
    return answer->n_sensitivity > SENSITIVITY_POINTS;
}

static void add_point(const struct specimen_set *set, const struct recommend_request *request, const struct recommendation *answer,
                      const struct sensitivity_point *point, bool us, struct table *table)
{
    bool costs = any_cost(answer);
    bool is_limit = point->demand >= request->n_targets;
    struct demand demand = is_limit ? request->limits[point->demand - request->n_targets] : request->targets[point->demand];
    char value[WORDS_MAX];
    demand.value = point->value;
    demand_value_words(&demand, us, value, sizeof value);
    if (several_demands(answer))
        table_cell(table, demand_words(&demand));
    table_cellf(table, "%s%s", value, point->factor == 1 ? " (as asked)" : "");
    if (point->found)
        add_winner(set, point, us, costs, table);
    else
        add_none(costs, table);
}

bool recommend_sensitivity_table(const struct specimen_set *set, const struct recommend_request *request,
                                 const struct recommendation *answer, bool us, struct table *table)
{
    if (answer->n_sensitivity == 0)
        return false;
    if (several_demands(answer))
        table_column(table, "demand", false);
    table_column(table, request->n_targets > 0 ? "target" : "limit", true);
    table_column(table, "recipe", false);
    table_column(table, us ? "density, lb/ft3" : "density, kg/m3", true);
    table_column(table, "% lighter", true);
    if (any_cost(answer))
        table_column(table, cost_heading_words(us), true);
    for (size_t i = 0; i < answer->n_sensitivity; i++)
        add_point(set, request, answer, &answer->sensitivity[i], us, table);
    return true;
}

void recommend_cost_words(const struct specimen_set *set, const struct recommend_request *request,
                          const struct recommendation *answer, bool us, char *out, size_t size)
{
    const char *unit = cost_unit_words(us);
    struct weight_cost each;
    const struct candidate *winner = answer->found ? &answer->candidates[answer->winner] : NULL;
    out[0] = '\0';
    if (!winner || isnan(winner->cost))
        return;
    size_t used = (size_t)snprintf(out, size, "materials cost %.2f %s", cost_shown(winner->cost, us), unit);
    if (!recommendation_weight_cost(request, answer, winner, &each) || used >= size)
        return;
    used += (size_t)snprintf(out + used, size - used, ", reference mix '%.60s' %.2f: each per cent of weight saved %s %.2f %s",
                             words_mix(set, answer->reference), cost_shown(each.reference_per_m3, us),
                             each.per_m3 < 0 ? "also saves" : "costs", cost_shown(fabs(each.per_m3), us), unit);
    if (isfinite(each.per_piece) && used < size)
        snprintf(out + used, size - used, ", %.4f a piece", fabs(each.per_piece));
}

#define FRONT_SHOWN 15

static void add_front(const struct specimen_set *set, const struct recommendation *answer, const struct front_recipe *point, bool us,
                      bool costs, struct table *table)
{
    const struct candidate named = {
        .interpolated = point->interpolated, .aggregate = point->aggregate, .mix = point->mix,
        .aggregate_fraction = point->aggregate_fraction, .shown_fraction = point->aggregate_fraction,
    };
    char cell[WORDS_MAX];
    words_recipe(set, &named, cell);
    table_cell(table, cell);
    property_show(PROPERTY_DENSITY, point->density_kg_m3, us, cell, sizeof cell);
    table_cell(table, cell);
    property_show(answer->strength, point->strength_assured_mpa, us, cell, sizeof cell);
    table_cell(table, cell);
    if (!costs)
        return;
    cost_words(point->cost, us, cell, sizeof cell);
    table_cell(table, cell);
}

static bool front_costs(const struct recommendation *answer)
{
    return answer->n_front > 0 && isfinite(answer->front[0].cost);
}

const char *recommend_front_words(const struct recommendation *answer)
{
    return front_costs(answer) ? ", strength and cost" : " and strength";
}

bool recommend_front_table(const struct specimen_set *set, const struct recommendation *answer, bool us, struct table *table)
{
    const bool costs = front_costs(answer);
    size_t n = 0, shown = 0;
    for (size_t i = 0; i < answer->n_front; i++)
        n += answer->front[i].meets;
    if (n < 2)
        return false;
    table_column(table, "recipe", false);
    table_column(table, us ? "density, lb/ft3" : "density, kg/m3", true);
    table_column(table, us ? "assured strength, psi" : "assured strength, MPa", true);
    if (costs)
        table_column(table, cost_heading_words(us), true);
    for (size_t i = 0; i < answer->n_front && shown < FRONT_SHOWN; i++) {
        if (!answer->front[i].meets)
            continue;
        add_front(set, answer, &answer->front[i], us, costs, table);
        shown++;
    }
    return true;
}
