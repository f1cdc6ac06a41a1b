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

struct maker {
    struct random_stream *random;
    struct invented *study;
    struct recommend_request request;
};

static double between(struct maker *maker, double low, double high)
{
    return low + (high - low) * random_uniform(maker->random);
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
    for (size_t i = 0; i < n_mixes; i++)
        for (size_t j = 0; j < n_batches; j++) {
            struct invented_row row = { mix_names[5 * aggregate + i], aggregates[aggregate], batch_names[j],
                                        (double)i * 0.2 + 0.05 * (double)aggregate, 28, MOISTURE_OVEN_DRY };
            make_batch(maker, &nature, &row, n_specimens);
        }
}

static void make_request(struct maker *maker)
{
    struct recommend_request *request = &maker->request;
    *request = (struct recommend_request){
        .selection = selection_all(), .law = (enum law)random_below(maker->random, LAW_COUNT), .piece_mm = { 400, 400, 40 }, .inserts_mass_kg = 0.5,
        .assurance = { random_below(maker->random, 100) == 0 ? ASSURANCE_FRACTILE : (enum assurance_kind)random_below(maker->random, 2), 0.9, 0.1, 3 },
        .seek = random_below(maker->random, 3) ? SEEK_LIGHTEST : SEEK_STRONGEST,
    };
    if (random_below(maker->random, 3) == 0)
        request->law = LAW_AUTO;
    if (request->law == LAW_POWER) /* one aggregate starts at 0, which has no logarithm */
        request->law = LAW_QUADRATIC;
    request->targets[request->n_targets++] = (struct demand){ DEMAND_PROPERTY, PROPERTY_COMPRESSIVE_STRENGTH, between(maker, 3, 22) };
    if (random_below(maker->random, 3) == 0)
        request->targets[request->n_targets++] = (struct demand){ DEMAND_PROPERTY, PROPERTY_FLEXURAL_STRENGTH, between(maker, 1, 6) };
    if (random_below(maker->random, 3) == 0)
        request->limits[request->n_limits++] = (struct demand){ DEMAND_PROPERTY, PROPERTY_ABSORPTION, between(maker, 12, 25) };
    if (random_below(maker->random, 2))
        request->limits[request->n_limits++] = (struct demand){ DEMAND_PROPERTY, PROPERTY_DENSITY, between(maker, 1000, 2300) };
    if (random_below(maker->random, 3) == 0)
        request->limits[request->n_limits++] = (struct demand){ DEMAND_PIECE_MASS, PROPERTY_DENSITY, between(maker, 8, 15) };
}

/* What a recipe is judged by: a curve of each property, NULL without results. */
struct judge { const struct curve *of[PROPERTY_COUNT]; };

static struct judge judge_of_aggregate(const struct recommendation *answer, uint32_t aggregate)
{
    struct judge judge = { { NULL } };
    for (enum property p = 0; p < PROPERTY_COUNT; p++) {
        const struct curve_set *curves = recommendation_curves(answer, aggregate, p);
        judge.of[p] = curves ? curve_set_chosen(curves) : NULL;
    }
    return judge;
}

static struct judge judge_of_mix(const struct mix_summary *mix)
{
    struct judge judge;
    for (enum property p = 0; p < PROPERTY_COUNT; p++)
        judge.of[p] = &mix->property[p].curve;
    return judge;
}

/* The bound that a demand is held against, straight from the definitions; NaN when it cannot be told. */
static double bound_of(const struct recommend_request *request, const struct judge *judge, const struct demand *demand, double x, int side)
{
    bool piece = demand->kind == DEMAND_PIECE_MASS;
    const struct curve *curve = judge->of[piece ? PROPERTY_DENSITY : demand->property];
    double bound = curve ? curve_bound(curve, x, &request->assurance, side) : NAN;
    return piece ? bound * 0.0064 + 0.5 : bound;
}

static bool all_met(const struct recommend_request *request, const struct judge *judge, double x)
{
    for (size_t i = 0; i < request->n_targets; i++)
        if (!(bound_of(request, judge, &request->targets[i], x, -1) >= request->targets[i].value))
            return false;
    for (size_t i = 0; i < request->n_limits; i++)
        if (!(bound_of(request, judge, &request->limits[i], x, 1) <= request->limits[i].value))
            return false;
    return true;
}

/* Less is better. */
static double worth(const struct recommend_request *request, const struct judge *judge, double density, double x)
{
    return request->seek == SEEK_LIGHTEST ? density : -curve_bound(judge->of[PROPERTY_COMPRESSIVE_STRENGTH], x, &request->assurance, -1);
}

static double best_on_curves(const struct recommend_request *request, const struct recommendation *answer, size_t n_aggregates)
{
    double best = INFINITY;
    for (uint32_t a = 0; a < n_aggregates; a++) {
        const struct judge judge = judge_of_aggregate(answer, a);
        const struct curve *strength = judge.of[PROPERTY_COMPRESSIVE_STRENGTH], *density = judge.of[PROPERTY_DENSITY];
        if (!strength || !density)
            continue;
        size_t comb = request->assurance.kind == ASSURANCE_FRACTILE ? COMB / 8 : COMB;
        for (size_t i = 0; i <= comb; i++) {
            double x = strength->x_min + (strength->x_max - strength->x_min) * (double)i / (double)comb;
            if (all_met(request, &judge, x))
                best = fmin(best, worth(request, &judge, curve_value(density, x), x));
        }
    }
    return best;
}

static double best_tested(const struct recommend_request *request, const struct recommendation *answer)
{
    double best = INFINITY;
    for (size_t i = 0; i < answer->mixes.n_items; i++) {
        const struct judge judge = judge_of_mix(&answer->mixes.items[i]);
        if (all_met(request, &judge, NAN))
            best = fmin(best, worth(request, &judge, answer->mixes.items[i].property[PROPERTY_DENSITY].mean, NAN));
    }
    return best;
}

static bool demands_truly_met(const struct recommend_request *request, const struct recommendation *answer)
{
    const struct candidate *winner = &answer->candidates[answer->winner];
    double x = winner->aggregate_fraction;
    const struct judge judge = winner->interpolated ? judge_of_aggregate(answer, winner->aggregate) : judge_of_mix(&answer->mixes.items[winner->mix]);
    if (!winner->interpolated)
        return all_met(request, &judge, NAN);
    const struct curve *strength = judge.of[PROPERTY_COMPRESSIVE_STRENGTH];
    return x >= strength->x_min && x <= strength->x_max && all_met(request, &judge, x) && all_met(request, &judge, winner->shown_fraction);
}

struct tally { size_t found, none, too_few, interpolated, missed, worse, untrue, disordered; };

static void check_order(const struct recommend_request *request, const struct recommendation *answer, struct tally *tally)
{
    for (size_t i = 1; i < answer->n_candidates; i++) {
        const struct candidate *before = &answer->candidates[i - 1], *here = &answer->candidates[i];
        double gain = request->seek == SEEK_LIGHTEST ? before->sought - here->sought : here->sought - before->sought;
        if ((here->feasible && !before->feasible) || (here->feasible && gain > 1e-6))
            tally->disordered++;
    }
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
    double best = fmin(best_on_curves(&maker->request, &answer, n_aggregates), best_tested(&maker->request, &answer));
    if (!answer.found) {
        tally->none++;
        tally->missed += isfinite(best);
    } else {
        const struct candidate *winner = &answer.candidates[answer.winner];
        double sought = maker->request.seek == SEEK_LIGHTEST ? winner->sought : -winner->sought;
        tally->found++;
        tally->interpolated += winner->interpolated;
        tally->worse += sought > best + 1e-9 * fabs(best);
        tally->untrue += !demands_truly_met(&maker->request, &answer);
        check_order(&maker->request, &answer, tally);
    }
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
        for (size_t a = 0; a < n_aggregates; a++)
            make_aggregate(&maker, a);
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
    CU_ASSERT(tally.interpolated > STUDIES / 10 && tally.found - tally.interpolated > STUDIES / 50);
}

int main(void)
{
    static const struct check_case cases[] = { { "random studies against brute force", random_studies } };
    return check_run("brute_force", cases, sizeof cases / sizeof cases[0]);
}
