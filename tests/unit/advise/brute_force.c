#include "support/check.h"

#include "advise/recommend.h"
#include "stats/random.h"
#include "support/invented.h"

/*
 * Thousands of random studies: what the search says is held against a dumb
 * look at every tested mix and at a fine comb of points on every curve. A
 * solution that exists must be found, none better may be on the comb, and no
 * demand may be missed by however little.
 */
#define STUDIES 2000
#define COMB 331 /* shares no point but the ends with the search's own grid */

static const char *const aggregates[] = { "clay", "pumice" };
static const char *const mix_names[] = { "c0", "c1", "c2", "c3", "c4", "p0", "p1", "p2", "p3", "p4" };
static const char *const batch_names[] = { "1", "2", "3", "4" };

enum { CEMENT, LIGHT, SAND, INGREDIENTS, MIXES = 10 };

/* A recipe by shares of the loose volume, from which its cost is reckoned anew here. */
struct shares { double fraction, of[INGREDIENTS], yield; };

struct maker {
    struct random_stream *random;
    struct invented *study;
    struct recommend_request request;
    size_t n_mixes, first_mix[3];     /* of the recipes, and where each aggregate's begin */
    struct shares shares[MIXES];
    struct mix mixes[MIXES];
    struct material materials[4];     /* cement, sand, and each aggregate */
    struct mix_list mix_list;
    struct material_list material_list;
};

static double between(struct maker *maker, double low, double high)
{
    return low + (high - low) * random_uniform(maker->random);
}

/* Cement, light aggregate at its fraction, and sand for the rest, told in parts of any size. */
static void make_recipe(struct maker *maker, const struct invented_row *row)
{
    double cement = between(maker, 0.08, 0.15), total = between(maker, 1, 10);
    struct shares *shares = &maker->shares[maker->n_mixes];
    *shares = (struct shares){ row->fraction, { cement, row->fraction, 1 - cement - row->fraction }, between(maker, 0.6, 0.9) };
    maker->mixes[maker->n_mixes++] = (struct mix){
        .name = (char *)(uintptr_t)row->mix, .aggregate = (char *)(uintptr_t)row->aggregate, .binder = (char *)(uintptr_t)"cement",
        .binder_parts = total * shares->of[CEMENT], .light_parts = total * shares->of[LIGHT], .sand_parts = total * shares->of[SAND],
        .gravel_parts = NAN, .water_binder = 0.5, .fibre_kg_m3 = NAN, .pigment_pct = NAN, .yield = shares->yield,
    };
}

static void make_materials(struct maker *maker)
{
    static const char *const names[] = { "cement", "sand", "clay", "pumice" };
    for (size_t i = 0; i < 4; i++)
        maker->materials[i] = (struct material){ .name = (char *)(uintptr_t)names[i], .bulk_density_kg_m3 = between(maker, 300, 1600),
                                                 .price_per_kg = between(maker, 0.01, 0.5) };
    maker->mix_list = (struct mix_list){ maker->mixes, maker->n_mixes, NULL };
    maker->material_list = (struct material_list){ maker->materials, 4, NULL };
}

/* Money per m3, where a litre of loose ingredients makes `yield` of concrete; shares and yield run straight from mix to mix. */
static double cost_at(const struct maker *maker, size_t aggregate, double x)
{
    const struct material *cement = &maker->materials[0], *sand = &maker->materials[1], *light = &maker->materials[2 + aggregate];
    size_t above = maker->first_mix[aggregate] + 1;
    while (above + 1 < maker->first_mix[aggregate + 1] && maker->shares[above].fraction < x)
        above++;
    const struct shares *a = &maker->shares[above - 1], *b = &maker->shares[above];
    double way = (x - a->fraction) / (b->fraction - a->fraction), share[INGREDIENTS];
    for (size_t i = 0; i < INGREDIENTS; i++)
        share[i] = a->of[i] + way * (b->of[i] - a->of[i]);
    double money = share[CEMENT] * cement->bulk_density_kg_m3 * cement->price_per_kg + share[LIGHT] * light->bulk_density_kg_m3 * light->price_per_kg
        + share[SAND] * sand->bulk_density_kg_m3 * sand->price_per_kg;
    return money / (a->yield + way * (b->yield - a->yield));
}

/* Strengths and density along x, absorption the other way; every third study has a hump in its compressive strength. */
struct nature { double strength, fall, hump, density, lightness, batch_sd, specimen_sd; };

static void make_batch(struct maker *maker, const struct nature *nature, const struct invented_row *row, size_t n_specimens)
{
    double x = row->fraction;
    double strength = nature->strength * exp(-nature->fall * x) + nature->hump * x * (1 - x) + nature->batch_sd * random_normal(maker->random);
    double density = nature->density - nature->lightness * x + 40 * nature->batch_sd * random_normal(maker->random);
    for (size_t k = 0; k < n_specimens; k++) {
        size_t at = invented_add(maker->study, row);
        invented_value(maker->study, at, PROPERTY_COMPRESSIVE_STRENGTH, fmax(0.1, strength + nature->specimen_sd * random_normal(maker->random)));
        invented_value(maker->study, at, PROPERTY_DENSITY, density + 20 * nature->specimen_sd * random_normal(maker->random));
        invented_value(maker->study, at, PROPERTY_FLEXURAL_STRENGTH, fmax(0.1, 0.3 * strength - x + 0.3 * nature->specimen_sd * random_normal(maker->random)));
        invented_value(maker->study, at, PROPERTY_SPLITTING_STRENGTH, fmax(0.1, 0.1 * strength - 0.5 * x + 0.1 * nature->specimen_sd * random_normal(maker->random)));
        invented_value(maker->study, at, PROPERTY_ABSORPTION, 25000 / density + 0.5 * nature->specimen_sd * random_normal(maker->random));
    }
}

static void make_aggregate(struct maker *maker, size_t aggregate)
{
    struct nature nature = {
        between(maker, 10, 30), between(maker, 0.2, 2.5), random_below(maker->random, 3) ? 0 : between(maker, 5, 40),
        between(maker, 1500, 2300), between(maker, 300, 1100), between(maker, 0.05, 1), between(maker, 0.05, 1)
    };
    size_t n_mixes = 3 + random_below(maker->random, 3), n_batches = 1 + random_below(maker->random, 4), n_specimens = 1 + random_below(maker->random, 3);
    maker->first_mix[aggregate] = maker->n_mixes;
    for (size_t i = 0; i < n_mixes; i++) {
        struct invented_row row = { mix_names[5 * aggregate + i], aggregates[aggregate], NULL,
                                    (double)i * 0.2 + 0.05 * (double)aggregate, 28, MOISTURE_OVEN_DRY };
        make_recipe(maker, &row);
        for (size_t j = 0; j < n_batches; j++) {
            row.batch = batch_names[j];
            make_batch(maker, &nature, &row, n_specimens);
        }
    }
    maker->first_mix[aggregate + 1] = maker->n_mixes;
}

static bool one_in(struct maker *maker, size_t n)
{
    return random_below(maker->random, n) == 0;
}

static void add_demand(struct maker *maker, bool is_limit, enum demand_kind kind, enum property property, double low, double high)
{
    struct recommend_request *request = &maker->request;
    struct demand demand = { kind, property, between(maker, low, high) };
    if (is_limit)
        request->limits[request->n_limits++] = demand;
    else
        request->targets[request->n_targets++] = demand;
}

static void make_request(struct maker *maker)
{
    struct recommend_request *request = &maker->request;
    *request = (struct recommend_request){
        .selection = selection_all(), .law = (enum law)random_below(maker->random, LAW_COUNT), .piece = { { 400, 400, 40 }, 6.4 }, .inserts_mass_kg = 0.5,
        .assurance = { random_below(maker->random, 100) == 0 ? ASSURANCE_FRACTILE : (enum assurance_kind)random_below(maker->random, 2), 0.9, 0.1, 3 },
        .seek = (enum seek)random_below(maker->random, SEEK_COUNT), .mixes = &maker->mix_list, .materials = &maker->material_list,
    };
    if (one_in(maker, 3))
        request->law = LAW_AUTO;
    if (request->law == LAW_POWER) /* one aggregate starts at 0, which has no logarithm */
        request->law = LAW_QUADRATIC;
    add_demand(maker, false, DEMAND_PROPERTY, PROPERTY_COMPRESSIVE_STRENGTH, 3, 22);
    if (one_in(maker, 3))
        add_demand(maker, false, DEMAND_PROPERTY, PROPERTY_FLEXURAL_STRENGTH, 1, 6);
    if (one_in(maker, 3))
        add_demand(maker, false, DEMAND_PROPERTY, PROPERTY_SPLITTING_STRENGTH, 0.3, 2);
    if (one_in(maker, 8))
        add_demand(maker, false, DEMAND_PROPERTY, PROPERTY_DENSITY, 800, 1500);
    if (one_in(maker, 3))
        add_demand(maker, true, DEMAND_PROPERTY, PROPERTY_ABSORPTION, 12, 25);
    if (one_in(maker, 2))
        add_demand(maker, true, DEMAND_PROPERTY, PROPERTY_DENSITY, 1500, 2300);
    if (one_in(maker, 3))
        add_demand(maker, true, DEMAND_PIECE_MASS, PROPERTY_DENSITY, 8, 15);
    if (one_in(maker, 3))
        add_demand(maker, true, DEMAND_COST, PROPERTY_COUNT, 50, 600);
}

/* What a recipe is judged by: a curve of each property, NULL without results; a mix's cost is that at its own fraction. */
struct judge {
    const struct maker *maker;
    const struct curve *of[PROPERTY_COUNT];
    uint32_t aggregate;
    double mix_fraction; /* NaN on the curves */
};

static struct judge judge_of_aggregate(const struct maker *maker, const struct recommendation *answer, uint32_t aggregate)
{
    struct judge judge = { .maker = maker, .aggregate = aggregate, .mix_fraction = NAN };
    for (enum property p = 0; p < PROPERTY_COUNT; p++) {
        const struct curve_set *curves = recommendation_curves(answer, aggregate, p);
        judge.of[p] = curves ? curve_set_chosen(curves) : NULL;
    }
    return judge;
}

static struct judge judge_of_mix(const struct maker *maker, const struct recommendation *answer, size_t index)
{
    const struct mix_summary *mix = &answer->mixes.items[index];
    const struct set_mix *told = &maker->study->mixes[index];
    struct judge judge = { .maker = maker, .aggregate = told->aggregate, .mix_fraction = told->aggregate_fraction };
    for (enum property p = 0; p < PROPERTY_COUNT; p++)
        judge.of[p] = &mix->property[p].curve;
    return judge;
}

static double cost_of(const struct judge *judge, double x)
{
    return cost_at(judge->maker, judge->aggregate, isnan(judge->mix_fraction) ? x : judge->mix_fraction);
}

/* The bound that a demand is held against, straight from the definitions; NaN when it cannot be told. */
static double bound_of(const struct judge *judge, const struct demand *demand, double x, int side)
{
    if (demand->kind == DEMAND_COST)
        return cost_of(judge, x);
    bool piece = demand->kind == DEMAND_PIECE_MASS;
    const struct curve *curve = judge->of[piece ? PROPERTY_DENSITY : demand->property];
    double bound = curve ? curve_bound(curve, x, &judge->maker->request.assurance, side) : NAN;
    return piece ? bound * 0.0064 + 0.5 : bound;
}

/* Two ways to add up money may differ in the last bits. */
#define MONEY_BITS 1e-12

static bool all_met(const struct judge *judge, double x)
{
    const struct recommend_request *request = &judge->maker->request;
    for (size_t i = 0; i < request->n_targets; i++)
        if (!(bound_of(judge, &request->targets[i], x, -1) >= request->targets[i].value))
            return false;
    for (size_t i = 0; i < request->n_limits; i++)
        if (!(bound_of(judge, &request->limits[i], x, 1) <= request->limits[i].value * (request->limits[i].kind == DEMAND_COST ? 1 + MONEY_BITS : 1)))
            return false;
    return true;
}

/* Less is better. */
static double worth(const struct judge *judge, double density, double x)
{
    const struct recommend_request *request = &judge->maker->request;
    if (request->seek == SEEK_CHEAPEST)
        return cost_of(judge, x);
    return request->seek == SEEK_LIGHTEST ? density : -curve_bound(judge->of[PROPERTY_COMPRESSIVE_STRENGTH], x, &request->assurance, -1);
}

/* The best, and how much the cost changes at most from one tooth of the comb to the next. */
struct best { double worth, cost_step; };

static void comb_curves(const struct maker *maker, const struct recommendation *answer, uint32_t aggregate, struct best *best)
{
    const struct judge judge = judge_of_aggregate(maker, answer, aggregate);
    const struct curve *strength = judge.of[PROPERTY_COMPRESSIVE_STRENGTH], *density = judge.of[PROPERTY_DENSITY];
    if (!strength || !density)
        return;
    size_t comb = maker->request.assurance.kind == ASSURANCE_FRACTILE ? COMB / 8 : COMB;
    for (size_t i = 0; i <= comb; i++) {
        double tooth = (strength->x_max - strength->x_min) / (double)comb, x = strength->x_min + tooth * (double)i;
        if (all_met(&judge, x))
            best->worth = fmin(best->worth, worth(&judge, curve_value(density, x), x));
        if (i > 0)
            best->cost_step = fmax(best->cost_step, fabs(cost_of(&judge, x) - cost_of(&judge, x - tooth)));
    }
}

static struct best find_best(const struct maker *maker, const struct recommendation *answer, size_t n_aggregates)
{
    struct best best = { INFINITY, 0 };
    for (uint32_t a = 0; a < n_aggregates; a++)
        comb_curves(maker, answer, a, &best);
    for (size_t i = 0; i < answer->mixes.n_items; i++) {
        const struct judge judge = judge_of_mix(maker, answer, i);
        if (all_met(&judge, NAN))
            best.worth = fmin(best.worth, worth(&judge, answer->mixes.items[i].property[PROPERTY_DENSITY].mean, NAN));
    }
    return best;
}

static bool demands_truly_met(const struct maker *maker, const struct recommendation *answer)
{
    const struct candidate *winner = &answer->candidates[answer->winner];
    double x = winner->aggregate_fraction;
    const struct judge judge = winner->interpolated ? judge_of_aggregate(maker, answer, winner->aggregate) : judge_of_mix(maker, answer, winner->mix);
    if (!winner->interpolated)
        return all_met(&judge, NAN);
    const struct curve *strength = judge.of[PROPERTY_COMPRESSIVE_STRENGTH];
    return x >= strength->x_min && x <= strength->x_max && all_met(&judge, x) && all_met(&judge, winner->shown_fraction);
}

struct tally { size_t found, none, cheapest, cost_fails, too_few, interpolated, missed, worse, untrue, disordered; };

static void check_order(const struct recommend_request *request, const struct recommendation *answer, struct tally *tally)
{
    for (size_t i = 1; i < answer->n_candidates; i++) {
        const struct candidate *before = &answer->candidates[i - 1], *here = &answer->candidates[i];
        double gain = request->seek == SEEK_STRONGEST ? here->sought - before->sought : before->sought - here->sought;
        if ((here->feasible && !before->feasible) || (here->feasible && gain > 1e-6))
            tally->disordered++;
    }
}

static void count_cost_fails(const struct recommendation *answer, struct tally *tally)
{
    const struct candidate *first = &answer->candidates[0];
    for (size_t i = 0; answer->n_candidates > 0 && i < first->n_outcomes; i++)
        tally->cost_fails += first->outcomes[i].demand.kind == DEMAND_COST && !first->outcomes[i].met;
}

static void check_study(const struct maker *maker, size_t n_aggregates, struct tally *tally)
{
    struct recommendation answer;
    struct problem problem;
    enum status status = recommend_search(&maker->study->set, &maker->request, &answer, &problem);
    if (status != STATUS_OK && status != STATUS_ANSWER_NO) {
        tally->too_few += status == STATUS_TOO_FEW;
        tally->untrue += status != STATUS_TOO_FEW;
        return;
    }
    const struct best best = find_best(maker, &answer, n_aggregates);
    if (!answer.found) {
        tally->none++;
        tally->missed += isfinite(best.worth);
    } else {
        const struct candidate *winner = &answer.candidates[answer.winner];
        bool cheapest = maker->request.seek == SEEK_CHEAPEST;
        double sought = maker->request.seek == SEEK_STRONGEST ? -winner->sought : winner->sought;
        tally->found++;
        tally->interpolated += winner->interpolated;
        tally->cheapest += cheapest;
        /* Cast is a fraction of thousandths, and the cost is of what is cast. */
        tally->worse += sought > best.worth + 1e-9 * fabs(best.worth) + (cheapest ? best.cost_step : 0);
        tally->untrue += !demands_truly_met(maker, &answer);
        check_order(&maker->request, &answer, tally);
    }
    count_cost_fails(&answer, tally);
    recommendation_release(&answer);
}

static void random_studies(void)
{
    struct tally tally = { 0 };
    struct maker maker = { .random = random_stream_new(20240229, 0) };
    CU_ASSERT_PTR_NOT_NULL_FATAL(maker.random);
    for (size_t i = 0; i < STUDIES; i++) {
        random_stream_restart(maker.random, 20240229, i);
        size_t n_aggregates = 1 + random_below(maker.random, 2);
        maker.study = invented_new();
        maker.n_mixes = 0;
        for (size_t a = 0; a < n_aggregates; a++)
            make_aggregate(&maker, a);
        make_materials(&maker);
        make_request(&maker);
        check_study(&maker, n_aggregates, &tally);
        free(maker.study);
    }
    random_stream_free(maker.random);
    printf("%zu found (%zu between mixes), %zu with no recipe, %zu that cannot be judged ", tally.found, tally.interpolated, tally.none, tally.too_few);
    CU_ASSERT_EQUAL(tally.missed, 0);
    CU_ASSERT_EQUAL(tally.worse, 0);
    CU_ASSERT_EQUAL(tally.untrue, 0);
    CU_ASSERT_EQUAL(tally.disordered, 0);
    /* The studies must be of all kinds, or the test says little. */
    CU_ASSERT(tally.found > STUDIES / 5 && tally.none > STUDIES / 5);
    CU_ASSERT(tally.cheapest > STUDIES / 10 && tally.cost_fails > STUDIES / 50);
    CU_ASSERT(tally.interpolated > STUDIES / 10 && tally.found - tally.interpolated > STUDIES / 50);
}

int main(void)
{
    static const struct check_case cases[] = { { "random studies against brute force", random_studies } };
    return check_run("brute_force", cases, sizeof cases / sizeof cases[0]);
}
