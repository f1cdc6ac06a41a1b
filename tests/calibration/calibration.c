#include "advise/recommend.h"
#include "analysis/comparison.h"
#include "calibration/simulate.h"
#include "stats/distribution.h"

#include <stdio.h>

/*
 * Nominal against actual confidence of every bound that is claimed, on studies
 * made from a known truth. usage: calibration STUDIES-A-ROW
 * Prints Markdown rows and exits 1 when a bound falls short of what is claimed.
 */
#define NOMINAL 0.95
#define MARGIN 0.01          /* what a claimed bound may be off by */
#define CHANCE 3.0           /* standard errors of the simulation that are forgiven beside */

/* How often a bound held. */
struct tally { size_t held, all; };

static void count(struct tally *tally, bool held)
{
    tally->held += held;
    tally->all++;
}

/* What one study is asked; it counts into tallies, one for each bound. */
struct bench {
    const struct design *design;
    struct truth truth;
    struct invented *study;
    gsl_rng *random;
    struct tally *tallies;
};

typedef void ask_study(struct bench *bench);

struct bound { const char *words; bool claimed; }; /* claimed: within a point of the nominal confidence; else cautioned in the docs */

static bool all_held = true;

static void print_cell(const struct tally *tally, bool claimed)
{
    double share = tally->all ? (double)tally->held / (double)tally->all : NAN;
    double error = sqrt(NOMINAL * (1 - NOMINAL) / (double)(tally->all ? tally->all : 1));
    bool is_short = !(share >= NOMINAL - MARGIN - CHANCE * error);
    if (tally->all == 0)
        printf(" - |");
    else
        printf(" %.1f%s |", 100 * share, is_short ? claimed ? " SHORT" : " (short)" : "");
    all_held &= !(is_short && claimed && tally->all);
}

/* One block of rows: a design under each kind of luck. */
static void run(const struct design *design, enum law law, ask_study *ask, const struct bound *bounds, size_t n_bounds, size_t n_studies)
{
    struct tally tallies[LUCK_COUNT][8] = { 0 };
    struct bench bench = { .design = design, .study = invented_new(), .random = gsl_rng_alloc(gsl_rng_mt19937) };
    for (enum luck luck = 0; luck < LUCK_COUNT; luck++) {
        bench.truth = truth_of(law, luck);
        bench.tallies = tallies[luck];
        gsl_rng_set(bench.random, 1 + luck);
        for (size_t i = 0; i < n_studies; i++)
            ask(&bench);
    }
    for (size_t b = 0; b < n_bounds; b++) {
        printf("| %s | %s |", bounds[b].words, design->words);
        for (enum luck luck = 0; luck < LUCK_COUNT; luck++)
            print_cell(&tallies[luck][b], bounds[b].claimed);
        printf("\n");
        fflush(stdout);
    }
    gsl_rng_free(bench.random);
    free(bench.study);
}

/* ---- bounds of one mix and of a curve ---- */

#define SPECIMENS_NEXT 3

static void ask_bounds(struct bench *bench, const struct curve *curve, double x)
{
    const struct truth *truth = &bench->truth;
    const double middle = truth_value(truth, truth_at(truth, x));
    struct assurance assurance = { ASSURANCE_MEAN, NOMINAL, 0.05, SPECIMENS_NEXT };
    double lower, upper;
    count(&bench->tallies[0], curve_bound(curve, x, &assurance, -1) <= middle);
    curve_confidence(curve, x, NOMINAL, &lower, &upper);
    count(&bench->tallies[1], lower <= middle && middle <= upper);
    assurance.kind = ASSURANCE_NEXT_BATCH;
    count(&bench->tallies[2], curve_bound(curve, x, &assurance, -1) <= truth_next_batch(truth, x, SPECIMENS_NEXT, bench->random));
    count(&bench->tallies[3], curve_bound(curve, x, &assurance, 1) >= truth_next_batch(truth, x, SPECIMENS_NEXT, bench->random));
    assurance.kind = ASSURANCE_FRACTILE;
    count(&bench->tallies[4], curve_bound(curve, x, &assurance, -1) <= truth_fractile(truth, x, normal_quantile(0.05)));
}

static const struct bound curve_bounds[] = {
    { "mean, lower bound", true }, { "mean, interval", true }, { "next batch of 3, lower bound", true },
    { "next batch of 3, upper bound", true }, { "fractile of 5 %, lower bound", true },
};
enum { CURVE_BOUNDS = sizeof curve_bounds / sizeof curve_bounds[0] };

static void ask_mix(struct bench *bench)
{
    struct selection selection = selection_all();
    struct mix_summary_list list;
    struct problem problem;
    simulate(bench->study, bench->design, &bench->truth, bench->random);
    if (mix_summary_list_make(&bench->study->set, &selection, NULL, NOMINAL, &list, &problem) != STATUS_OK)
        return;
    const struct curve *curve = &list.items[0].property[PROPERTY_COMPRESSIVE_STRENGTH].curve;
    if (curve->fitted)
        ask_bounds(bench, curve, design_x(bench->design, 0));
    mix_summary_list_release(&list);
}

static void ask_curve(struct bench *bench)
{
    struct selection selection = selection_all();
    struct curve_set curves;
    struct problem problem;
    simulate(bench->study, bench->design, &bench->truth, bench->random);
    if (curve_set_fit(&bench->study->set, &selection, 0, PROPERTY_COMPRESSIVE_STRENGTH, PROPERTY_COUNT, bench->truth.law, &curves,
                      &problem) != STATUS_OK)
        return;
    ask_bounds(bench, &curves.curves[bench->truth.law], 0.53);
    curve_set_release(&curves);
}

/* ---- comparisons ---- */

static double true_density(const struct bench *bench, uint32_t mix)
{
    return bench->truth.density[0] + bench->truth.density[1] * bench->study->set.mixes[mix].aggregate_fraction;
}

static bool all_hold(const struct bench *bench, const struct comparison *pairs, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        double difference = true_density(bench, (uint32_t)pairs[i].a) - true_density(bench, (uint32_t)pairs[i].b);
        if (!(pairs[i].lower <= difference && difference <= pairs[i].upper))
            return false;
    }
    return true;
}

/* Where the true mean strength reaches the target, what the true density is there. */
static void ask_equal_strength(struct bench *bench, const struct mix_comparison *answer)
{
    const struct aggregate_at_target *at = &answer->targets[0].aggregates[0];
    const struct truth *truth = &bench->truth;
    double x = (answer->targets[0].value - truth->coefficient[0]) / truth->coefficient[1];
    double density = truth->density[0] + truth->density[1] * x;
    if (answer->n_targets && answer->targets[0].n_aggregates && at->reach == REACH_FOUND)
        count(&bench->tallies[3], at->lower <= density && density <= at->upper);
}

static void ask_comparison(struct bench *bench)
{
    struct comparison_question question = { .selection = selection_all(), .reference_mix = "M0", .confidence = NOMINAL, .law = LAW_LINEAR,
                                            .targets = { { PROPERTY_COMPRESSIVE_STRENGTH, 23 } }, .n_targets = 1 };
    struct mix_comparison answer;
    struct problem problem;
    simulate(bench->study, bench->design, &bench->truth, bench->random);
    if (mix_comparison_make(&bench->study->set, &question, &answer, &problem) != STATUS_OK)
        return;
    const struct property_comparison *family = &answer.property[PROPERTY_DENSITY];
    const struct mix_summary *last = &answer.means.items[bench->design->n_mixes - 1];
    count(&bench->tallies[0], all_hold(bench, family->pairs, family->n_pairs));
    count(&bench->tallies[1], all_hold(bench, family->against, family->n_against));
    double lighter = 100 * (1 - true_density(bench, last->mix) / true_density(bench, 0));
    count(&bench->tallies[2], last->percent_lighter.lower <= lighter && lighter <= last->percent_lighter.upper);
    ask_equal_strength(bench, &answer);
    mix_comparison_release(&answer);
}

static const struct bound comparison_bounds[] = {
    { "all differences at once", true }, { "all against the reference at once", true }, { "percent lighter, interval", true },
    { "density at equal strength, interval", true },
};

/* ---- the recommended fraction: what would such studies recommend on the whole? ---- */

#define FRACTIONS_MAX 20000
struct recommended { double fraction[FRACTIONS_MAX], lower[FRACTIONS_MAX], upper[FRACTIONS_MAX]; size_t n; };
static struct recommended recommended[LUCK_COUNT];

static void ask_recommendation(struct bench *bench, struct recommended *into)
{
    struct recommend_request request = {
        .selection = selection_all(), .targets = { { DEMAND_PROPERTY, PROPERTY_COMPRESSIVE_STRENGTH, 20 } }, .n_targets = 1,
        .seek = SEEK_LIGHTEST, .assurance = { ASSURANCE_NEXT_BATCH, NOMINAL, 0.05, SPECIMENS_NEXT }, .law = bench->truth.law,
        .piece = PIECE_NONE, .seed = 1 + into->n, .n_resamples = 999, .units = UNITS_SI,
    };
    struct recommendation answer;
    struct problem problem;
    simulate(bench->study, bench->design, &bench->truth, bench->random);
    enum status status = recommend_search(&bench->study->set, &request, &answer, &problem);
    if (status != STATUS_OK && status != STATUS_ANSWER_NO)
        return;
    for (size_t i = 0; i < answer.n_candidates && into->n < FRACTIONS_MAX; i++) {
        const struct candidate *candidate = &answer.candidates[i];
        if (!candidate->interpolated || isnan(candidate->fraction_lower))
            continue;
        into->fraction[into->n] = candidate->aggregate_fraction;
        into->lower[into->n] = candidate->fraction_lower;
        into->upper[into->n++] = candidate->fraction_upper;
        break;
    }
    recommendation_release(&answer);
}

static int by_value(const void *a, const void *b)
{
    const double *left = a, *right = b;
    return (*left > *right) - (*left < *right);
}

static void run_recommendation(const struct design *design, enum law law, size_t n_studies)
{
    struct bench bench = { .design = design, .study = invented_new(), .random = gsl_rng_alloc(gsl_rng_mt19937) };
    printf("| recommended fraction, resampled | %s |", design->words);
    for (enum luck luck = 0; luck < LUCK_COUNT; luck++) {
        struct recommended *into = &recommended[luck];
        struct tally tally = { 0, 0 };
        into->n = 0;
        bench.truth = truth_of(law, luck);
        gsl_rng_set(bench.random, 11 + luck);
        for (size_t i = 0; i < n_studies; i++)
            ask_recommendation(&bench, into);
        double *sorted = calloc(into->n + 1, sizeof *sorted);
        if (!sorted)
            abort();
        memcpy(sorted, into->fraction, into->n * sizeof *sorted);
        qsort(sorted, into->n, sizeof *sorted, by_value);
        for (size_t i = 0; i < into->n; i++)
            count(&tally, into->lower[i] <= sorted[into->n / 2] && sorted[into->n / 2] <= into->upper[i]);
        free(sorted);
        print_cell(&tally, false);
    }
    printf("\n");
    gsl_rng_free(bench.random);
    free(bench.study);
}

int main(int argc, char **argv)
{
    static const struct design mixes[] = {
        { "one mix, 3 batches of 2", 1, 3, 2 },  { "one mix, 3 batches of 4", 1, 3, 4 },
        { "one mix, 5 batches of 3", 1, 5, 3 },  { "one mix, 8 batches of 2", 1, 8, 2 },
        { "one mix, 5 batches of 1 to 4", 1, 5, 0 },
    };
    static const struct design whole = { "4 mixes, 2 batches of 3 each", 4, 2, 3 };
    static const struct design single = { "6 mixes, a batch of 3 each", 6, 1, 3 };
    static const struct design uneven = { "4 mixes, 2 batches of 1 to 4 each", 4, 2, 0 };
    static const struct design compared[] = { { "4 mixes, 3 batches of 3 each", 4, 3, 3 }, { "4 mixes, 5 batches of 2 each", 4, 5, 2 } };
    size_t n = argc == 2 ? strtoul(argv[1], NULL, 10) : 0;
    if (n == 0 || n > FRACTIONS_MAX) {
        fprintf(stderr, "usage: calibration STUDIES-A-ROW (1 to %d)\n", FRACTIONS_MAX);
        return 2;
    }
    printf("| bound, 95 %% | study | no luck | weak | strong |\n| --- | --- | ---: | ---: | ---: |\n");
    for (size_t i = 0; i < sizeof mixes / sizeof mixes[0]; i++)
        run(&mixes[i], LAW_LINEAR, ask_mix, curve_bounds, CURVE_BOUNDS, n);
    for (enum law law = 0; law < LAW_COUNT; law++) {
        struct bound named[CURVE_BOUNDS];
        char words[CURVE_BOUNDS][96];
        for (size_t b = 0; b < CURVE_BOUNDS; b++) {
            snprintf(words[b], sizeof words[b], "%s, %s", curve_bounds[b].words, law_word(law));
            named[b] = (struct bound){ words[b], curve_bounds[b].claimed };
        }
        run(&whole, law, ask_curve, named, CURVE_BOUNDS, n);
        run(&single, law, ask_curve, named, CURVE_BOUNDS, n);
        run(&uneven, law, ask_curve, named, CURVE_BOUNDS, n);
    }
    for (size_t i = 0; i < sizeof compared / sizeof compared[0]; i++)
        run(&compared[i], LAW_LINEAR, ask_comparison, comparison_bounds, sizeof comparison_bounds / sizeof comparison_bounds[0], n);
    run_recommendation(&whole, LAW_LINEAR, n / 4 + 1);
    run_recommendation(&compared[0], LAW_EXPONENTIAL, n / 4 + 1);
    return all_held ? 0 : 1;
}
