#include "output/recommend_tables.h"

#include "advise/words.h"
#include "base/number.h"
#include "output/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static bool is_limited(const struct recommend_request *request, enum property property)
{
    for (size_t i = 0; i < request->n_limits; i++)
        if (request->limits[i].kind == DEMAND_PROPERTY && request->limits[i].property == property)
            return true;
    return false;
}

/* Without one there is nothing to be lighter than, and no column for it. */
static bool has_reference(const struct recommendation *answer)
{
    return answer->reference != SAMPLE_ALL;
}

/* Whenever a cost is known; a column of its own already when it is demanded. */
static bool shows_costs(const struct recommendation *answer)
{
    bool known = false;
    for (size_t i = 0; i < answer->n_candidates; i++) {
        known = known || isfinite(answer->candidates[i].cost);
        for (size_t j = 0; j < answer->candidates[i].n_outcomes; j++)
            if (answer->candidates[i].outcomes[j].demand.kind == DEMAND_COST)
                return false;
    }
    return known;
}

static void add_percent_cell(struct table *table, double value)
{
    char cell[64];
    number_show(value, 0.1, "-", cell, sizeof cell);
    table_cell(table, cell);
}

/* The demand columns hold assured values with a mark where they fail, so that a row can be read across. */
static void add_outcome_cell(const struct candidate *candidate, size_t demand, bool us, struct table *table)
{
    if (demand >= candidate->n_outcomes) {
        table_cell(table, "-");
        return;
    }
    const struct demand_outcome *outcome = &candidate->outcomes[demand];
    char value[WORDS_MAX];
    words_outcome(outcome, outcome->assured, us, value);
    table_cellf(table, "%s%s", value, outcome->met ? "" : isfinite(outcome->assured) ? " fails" : "");
}

static void add_candidate(const struct specimen_set *set, const struct recommendation *answer, size_t rank,
                          size_t n_demands, bool us, struct table *table)
{
    const struct candidate *candidate = &answer->candidates[rank];
    char recipe[WORDS_MAX], density[WORDS_MAX], range[WORDS_MAX];
    words_recipe(set, candidate, recipe);
    property_show(PROPERTY_DENSITY, candidate->density_kg_m3, us, density, sizeof density);
    words_range(PROPERTY_DENSITY, candidate->density_lower, candidate->density_upper, us, range);
    table_cellf(table, "%zu", rank + 1);
    table_cell(table, recipe);
    table_cell(table, words_kind(candidate));
    table_cellf(table, "%s (%s)", density, range);
    for (size_t j = 0; j < n_demands; j++)
        add_outcome_cell(candidate, j, us, table);
    if (has_reference(answer))
        add_percent_cell(table, candidate->percent_lighter);
    if (shows_costs(answer)) {
        char cost[64];
        cost_words(candidate->cost, us, cost, sizeof cost);
        table_cell(table, cost);
    }
    table_cell(table, candidate->feasible ? "yes" : "no");
}

/* Columns beside the demands. */
#define OTHER_COLUMNS 7
void recommend_candidates_table(const struct specimen_set *set, const struct recommend_request *request,
                                const struct recommendation *answer, bool us, struct table *table)
{
    size_t n_demands = request->n_targets + request->n_limits;
    size_t most = TABLE_COLUMNS - OTHER_COLUMNS;
    table_column(table, "#", true);
    table_column(table, "recipe", false);
    table_column(table, "kind", false);
    table_column(table, us ? "density, lb/ft3" : "density, kg/m3", true);
    n_demands = n_demands < most ? n_demands : most;
    for (size_t j = 0; j < n_demands; j++) {
        const struct demand *demand = j < request->n_targets ? &request->targets[j] : &request->limits[j - request->n_targets];
        table_column(table, demand->kind == DEMAND_PROPERTY ? words_short(demand->property) : demand_words(demand), true);
    }
    if (has_reference(answer))
        table_column(table, "% lighter", true);
    if (shows_costs(answer))
        table_column(table, cost_heading_words(us), true);
    table_column(table, "meets", false);
    for (size_t i = 0; i < answer->n_candidates; i++)
        add_candidate(set, answer, i, n_demands, us, table);
}

void recommend_demands_table(const struct recommendation *answer, bool us, struct table *table)
{
    table_column(table, "demand", false);
    table_column(table, "wanted", true);
    table_column(table, "expected", true);
    table_column(table, "assured", true);
    table_column(table, "chance of the next batch", true);
    table_column(table, "met", false);
    if (!answer->found)
        return;
    const struct candidate *winner = &answer->candidates[answer->winner];
    for (size_t i = 0; i < winner->n_outcomes; i++) {
        const struct demand_outcome *outcome = &winner->outcomes[i];
        char wanted[WORDS_MAX], estimate[WORDS_MAX], assured[WORDS_MAX], chance[64];
        demand_value_words(&outcome->demand, us, wanted, sizeof wanted);
        words_outcome(outcome, outcome->estimate, us, estimate);
        words_outcome(outcome, outcome->assured, us, assured);
        number_show(100 * outcome->chance, 1, "-", chance, sizeof chance);
        table_cell(table, demand_words(&outcome->demand));
        table_cellf(table, "%s %s", outcome->is_limit ? "at most" : "at least", wanted);
        table_cell(table, estimate);
        table_cell(table, assured);
        table_cellf(table, isfinite(outcome->chance) ? "%s %%" : "%s", chance);
        table_cell(table, outcome->met ? "yes" : "no");
    }
}

static void add_law(const struct recommend_request *request, const struct curve *curve, double fraction, bool us, struct table *table)
{
    char estimate[WORDS_MAX], assured[WORDS_MAX], aicc[64];
    bool limited = curve->property == PROPERTY_DENSITY || is_limited(request, curve->property);
    words_value(curve->property, curve_value(curve, fraction), us, estimate);
    double bound = curve_bound(curve, fraction, &request->assurance, limited ? 1 : -1);
    words_value(curve->property, bound, us, assured);
    number_show(curve->aicc, 0.1, "-", aicc, sizeof aicc);
    table_cell(table, property_row(curve->property)->words);
    table_cell(table, law_word(curve->law));
    table_cell(table, estimate);
    table_cell(table, bound < 0 ? "none" : assured);
    table_cell(table, aicc);
    table_cell(table, curve->chosen ? "chosen" : curve->doubtful ? "doubtful: turns back" : "");
}

bool recommend_laws_table(const struct recommend_request *request, const struct recommendation *answer, bool us, struct table *table)
{
    table_column(table, "property", false);
    table_column(table, "law", false);
    table_column(table, "expected", true);
    table_column(table, "assured", true);
    table_column(table, "AICc", true);
    table_column(table, "note", false);
    const struct candidate *winner = answer->found ? &answer->candidates[answer->winner] : NULL;
    if (!winner || !isfinite(winner->aggregate_fraction))
        return false;
    for (size_t i = 0; i < answer->n_curves; i++)
        for (enum law law = 0; law < LAW_COUNT; law++) {
            const struct curve *curve = &answer->curves[i].curves[law];
            if (curve->fitted && curve->aggregate == winner->aggregate)
                add_law(request, curve, winner->aggregate_fraction, us, table);
        }
    return table->n_cells > 0;
}

static void add_property_cells(const struct mix_property *mean, enum property property, bool us, struct table *table)
{
    char cell[WORDS_MAX];
    property_show(property, mean->available ? mean->mean : NAN, us, cell, sizeof cell);
    table_cell(table, cell);
    number_show_significant(mean->available ? words_shown(property, mean->sd_batch, us) : NAN, 2, cell, sizeof cell);
    table_cell(table, cell);
    number_show_significant(mean->available ? words_shown(property, mean->sd_specimen, us) : NAN, 2, cell, sizeof cell);
    table_cell(table, cell);
}

void recommend_mixes_table(const struct specimen_set *set, const struct recommendation *answer, bool us, struct table *table)
{
    enum property strength = answer->strength;
    table_column(table, "mix", false);
    table_column(table, "aggregate", false);
    table_column(table, "fraction", true);
    table_column(table, "batches", true);
    table_column(table, us ? "density, lb/ft3" : "density, kg/m3", true);
    table_column(table, "between", true);
    table_column(table, "within", true);
    if (strength < PROPERTY_COUNT) {
        table_column(table, us ? "strength, psi" : "strength, MPa", true);
        table_column(table, "between", true);
        table_column(table, "within", true);
    }
    if (has_reference(answer))
        table_column(table, "% lighter", true);
    for (size_t i = 0; i < answer->mixes.n_items; i++) {
        const struct mix_summary *mix = &answer->mixes.items[i];
        const struct set_mix *row = &set->mixes[mix->mix];
        char fraction[64];
        number_show(row->aggregate_fraction, 0.001, "-", fraction, sizeof fraction);
        table_cell(table, row->name);
        table_cell(table, words_aggregate(set, row->aggregate));
        table_cell(table, fraction);
        table_cellf(table, "%u", row->n_batches);
        add_property_cells(&mix->property[PROPERTY_DENSITY], PROPERTY_DENSITY, us, table);
        if (strength < PROPERTY_COUNT)
            add_property_cells(&mix->property[strength], strength, us, table);
        if (has_reference(answer))
            add_percent_cell(table, mix->percent_lighter.available ? mix->percent_lighter.estimate : NAN);
    }
}
