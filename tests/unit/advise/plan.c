#include "support/check.h"

#include "advise/plan.h"
#include "stats/distribution.h"
#include "stats/random.h"

/* Chances of the plan by simulation: n batches of k specimens, the fit and the bound of the program itself. */
#define STUDIES 1500
#define ROWS_MOST 64

struct study_plan { size_t n, k; double var_batch, wanted; enum assurance_kind kind; };

static const double ones[ROWS_MOST] = {
    1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1,
    1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1,
};

static double simulated_bound(struct random_stream *random, const struct study_plan *plan, const struct assurance *assurance)
{
    double y[ROWS_MOST], bound;
    uint32_t batch[ROWS_MOST];
    const char *names[] = { "intercept" };
    struct problem problem;
    struct curve curve = { .law = LAW_LINEAR, .fitted = true };
    for (size_t j = 0, row = 0; j < plan->n; j++) {
        double luck = sqrt(plan->var_batch) * random_normal(random);
        for (size_t i = 0; i < plan->k; i++, row++) {
            y[row] = 10 + luck + random_normal(random);
            batch[row] = (uint32_t)j;
        }
    }
    struct mixed_data data = { .n_rows = plan->n * plan->k, .n_terms = 1, .design = ones, .response = y, .batch = batch,
                               .n_batches = plan->n, .term_names = names };
    CU_ASSERT_EQUAL_FATAL(mixed_fit_estimate(&data, MIXED_REML, &curve.fit, &problem), STATUS_OK);
    bound = curve_bound(&curve, 0, assurance, -1);
    mixed_fit_release(&curve.fit);
    return bound;
}

static void chances_by_simulation(void)
{
    static const struct study_plan plans[] = {
        { 4, 3, 1, 7.6, ASSURANCE_MEAN }, { 6, 2, 0.3, 9, ASSURANCE_MEAN }, { 3, 3, 1, 5, ASSURANCE_NEXT_BATCH },
        { 4, 3, 1, 6.5, ASSURANCE_NEXT_BATCH }, { 10, 3, 1, 7.5, ASSURANCE_NEXT_BATCH }, { 8, 1, 1, 6.5, ASSURANCE_NEXT_BATCH },
        { 4, 3, 1, 6, ASSURANCE_FRACTILE }, { 6, 2, 0.25, 7.5, ASSURANCE_FRACTILE }, { 6, 6, 0.05, 7.5, ASSURANCE_FRACTILE },
    };
    struct random_stream *random = random_stream_new(20240304, 0);
    for (size_t p = 0; p < sizeof plans / sizeof plans[0]; p++) {
        const struct study_plan *plan = &plans[p];
        struct assurance assurance = { plan->kind, 0.95, 0.05, 3 };
        struct plan_scatter scatter = { 10, plan->var_batch, 1, false, true };
        double chance = plan_chance(&scatter, plan->wanted, -1, &assurance, (double)plan->n, (double)plan->k), cleared = 0;
        for (int i = 0; i < STUDIES; i++)
            cleared += simulated_bound(random, plan, &assurance) >= plan->wanted;
        cleared /= STUDIES;
        /* Three standard errors of the simulation, and 0.015 for Satterthwaite and the boundary at no batch effect. */
        double within = 3 * sqrt(chance * (1 - chance) / STUDIES) + 0.015;
        if (fabs(cleared - chance) > within)
            fprintf(stderr, "plan %zu: %.3f cleared, %.3f said\n", p, cleared, chance);
        CU_ASSERT(chance > 0.05 && chance < 0.98);
        CU_ASSERT(fabs(cleared - chance) <= within);
    }
    random_stream_free(random);
}

/* A bound clears the very thing that it bounds with 1 less its confidence, by definition. */
static void chance_at_the_truth(void)
{
    struct plan_scatter scatter = { 20, 1.5, 2, false, true }, single = { 20, 0, 2, false, false };
    struct assurance assurance = { ASSURANCE_MEAN, 0.95, 0.05, 3 };
    check_close("mean", plan_chance(&scatter, 20, -1, &assurance, 4, 3), 0.05, 1e-9);
    check_close("limit", plan_chance(&scatter, 20, 1, &assurance, 7, 2), 0.05, 1e-9);
    assurance.kind = ASSURANCE_FRACTILE;
    check_close("fractile", plan_chance(&single, 20 - normal_quantile(0.95) * sqrt(2), -1, &assurance, 8, 1), 0.05, 1e-7);
    scatter.log_scale = true;
    scatter.mean = log(20);
    assurance.kind = ASSURANCE_MEAN;
    check_close("log", plan_chance(&scatter, 20, -1, &assurance, 4, 3), 0.05, 1e-9);
    CU_ASSERT(isnan(plan_chance(&scatter, 20, -1, &assurance, 1, 3)));
}

/* 1.17 1.09 1.24 1.13 1.20 MPa: mean 1.166, sd 0.0585662: .919865 (ISO 16269-6), next 1.02923 (EN 1990), as in the study's own bounds. */
static void bounds_of_five_results(void)
{
    struct plan_scatter scatter = { 1.166, 0, 0.0585662 * 0.0585662, false, false };
    struct assurance assurance = { ASSURANCE_FRACTILE, 0.95, 0.05, 3 };
    check_close("fractile", plan_bound(&scatter, -1, &assurance, 5, 1), 0.919865, 1e-6);
    assurance.kind = ASSURANCE_NEXT_BATCH;
    check_close("next", plan_bound(&scatter, -1, &assurance, 5, 1), 1.02923, 1e-5);
    check_close("above", plan_bound(&scatter, 1, &assurance, 5, 1), 2 * 1.166 - 1.02923, 1e-5);
}

/* Two samples of n that differ by d standard deviations: R 4.2.2, power.t.test: 0.8070367, 0.8014596, 0.8074866. */
static void differences(void)
{
    struct plan_scatter scatter = { 50, 0, 4, false, false };
    check_close("17, 1", plan_difference_chance(&scatter, 2, 0.95, 17, 1), 0.8070367, 1e-6);
    check_close("64, 0.5", plan_difference_chance(&scatter, 1, 0.95, 64, 1), 0.8014596, 1e-6);
    check_close("26, 0.8", plan_difference_chance(&scatter, 1.6, 0.95, 26, 1), 0.8074866, 1e-6);
    CU_ASSERT_EQUAL(plan_difference_batches(&scatter, 2, 0.95, 1, 0.8), 17);
    CU_ASSERT_EQUAL(plan_difference_batches(&scatter, 0.1, 0.95, 1, 0.8), 0);
    /* As parts of the value: 4 % scatter, and 2 of 50 is 4 %. */
    struct plan_scatter relative = { log(50), 0, 0.0016, true, false };
    check_close("relative", plan_difference_chance(&relative, 2, 0.95, 17, 1), 0.8070367, 1e-6);
}

/* The number found by halving is the first of all that will do. */
static void fewest(void)
{
    struct random_stream *random = random_stream_new(7, 0);
    for (int i = 0; i < 60; i++) {
        struct plan_scatter scatter = { 10, 2 * random_uniform(random), 0.2 + random_uniform(random), false, true };
        struct assurance assurance = { (enum assurance_kind)random_below(random, 3), 0.9, 0.1, 3 };
        double wanted = 4 + 6 * random_uniform(random), per_batch = plan_sizes[random_below(random, PLAN_SIZES)], before = 0;
        size_t first = 0, found = plan_batches(&scatter, wanted, -1, &assurance, per_batch, 0.8);
        for (size_t n = 2; n <= PLAN_BATCHES_MOST; n++) {
            double chance = plan_chance(&scatter, wanted, -1, &assurance, (double)n, per_batch);
            CU_ASSERT(found == 0 || chance >= before - 1e-9); /* within reach, more batches never harm */
            before = chance;
            if (first == 0 && chance >= 0.8)
                first = n;
        }
        CU_ASSERT_EQUAL(found, first);
        CU_ASSERT_EQUAL(plan_batches(&scatter, 10.5, -1, &assurance, per_batch, 0.8), 0);
    }
    random_stream_free(random);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "chances by simulation", chances_by_simulation }, { "chance at the truth", chance_at_the_truth },
        { "bounds of five results", bounds_of_five_results }, { "differences", differences }, { "fewest", fewest },
    };
    return check_run("plan", cases, sizeof cases / sizeof cases[0]);
}
