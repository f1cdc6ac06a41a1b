#include "hand_study.h"

#include "advise/plan.h"
#include "stats/random.h"
#include "stats/root.h"

/* Four mixes of three batches of three, on a line: the trial, by algebra, by simulation and in the whole plan. */
#define MIXES 4
#define BATCHES 3
#define CUBES 3
#define ROWS_MOST ((MIXES * BATCHES + 1) * CUBES)
static const double fractions[MIXES] = { 0.2, 0.35, 0.5, 0.65 };
static const double batch_sd = 0.6, specimen_sd = 0.5, target = 12;

struct data { size_t n, n_batches; double x[ROWS_MOST], y[ROWS_MOST], design[2 * ROWS_MOST]; uint32_t batch[ROWS_MOST]; };

static void cast_batch(struct data *data, struct random_stream *random, double x)
{
    double luck = batch_sd * random_normal(random);
    for (size_t k = 0; k < CUBES; k++, data->n++) {
        data->x[data->n] = data->design[2 * data->n + 1] = x;
        data->design[2 * data->n] = 1;
        data->y[data->n] = 20 - 12 * x + luck + specimen_sd * random_normal(random);
        data->batch[data->n] = (uint32_t)data->n_batches;
    }
    data->n_batches++;
}

static void cast_study(struct data *data, struct random_stream *random)
{
    data->n = data->n_batches = 0;
    for (size_t i = 0; i < MIXES; i++)
        for (size_t j = 0; j < BATCHES; j++)
            cast_batch(data, random, fractions[i]);
}

static struct curve fit_line(const struct data *data)
{
    static const char *const names[] = { "intercept", "x" };
    struct mixed_data mixed = { .n_rows = data->n, .n_terms = 2, .design = data->design, .response = data->y, .batch = data->batch,
                                .n_batches = data->n_batches, .term_names = names };
    struct curve curve = { .law = LAW_LINEAR, .fitted = true, .x_min = 0.2, .x_max = 0.65 };
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(mixed_fit_estimate(&mixed, MIXED_REML, &curve.fit, &problem), STATUS_OK);
    return curve;
}

/* By hand: covariance of a line through equal batches, s2 (1/n + (x - mean)^2 / squares), and once more with the row added. */
static void narrowing_by_hand(void)
{
    struct data data;
    struct random_stream *random = random_stream_new(11, 0);
    struct assurance assurance = { ASSURANCE_MEAN, 0.95, 0.05, CUBES };
    cast_study(&data, random);
    struct curve curve = fit_line(&data);
    double x = 0.6, trial = 0.65, mean = 0, squares = 0, n = MIXES * BATCHES;
    for (size_t i = 0; i < MIXES; i++)
        mean += fractions[i] / MIXES;
    for (size_t i = 0; i < MIXES; i++)
        squares += BATCHES * (fractions[i] - mean) * (fractions[i] - mean);
    double now = 1 / n + (x - mean) * (x - mean) / squares, mean_then = (n * mean + trial) / (n + 1);
    double squares_then = squares + (trial - mean) * (trial - mean) * n / (n + 1);
    double then = 1 / (n + 1) + (x - mean_then) * (x - mean_then) / squares_then;
    double t = t_quantile(0.95, n - 2), scatter = t * t * now / (2 * (n - 2));
    check_close("by hand", plan_trial_narrowing(&curve, x, &assurance, trial),
                1 - sqrt((then + scatter * (n - 2) / (n - 1)) / (now + scatter)), 1e-6);
    double best;
    check_close("beyond the point, farthest from the middle", plan_trial_best(&curve, x, &assurance, 0.2, 0.65, &best), 0.65, 1e-12);
    check_close("its share", best, plan_trial_narrowing(&curve, x, &assurance, trial), 1e-12);
    mixed_fit_release(&curve.fit);
    random_stream_free(random);
}

struct crossing { const struct curve *curve; const struct assurance *assurance; };

static double above_target(double x, void *context)
{
    const struct crossing *crossing = context;
    return curve_bound(crossing->curve, x, crossing->assurance, -1) - target;
}

static double cross(const struct curve *curve, const struct assurance *assurance)
{
    struct crossing crossing = { curve, assurance };
    double x = NAN;
    (void)root_between(above_target, &crossing, -0.3, 1.5, 1e-9, &x);
    return x;
}

/* Sums of the fraction found before and after the trial, of squares, and of what was said of them. */
struct sums { double n, before, before2, after, after2, narrowing, error2; };

static void simulate(struct random_stream *random, const struct assurance *assurance, double trial, int n_studies, struct sums *sums)
{
    struct data data;
    *sums = (struct sums){ 0 };
    for (int i = 0; i < n_studies; i++) {
        cast_study(&data, random);
        struct curve curve = fit_line(&data);
        double before = cross(&curve, assurance), narrowing = plan_trial_narrowing(&curve, before, assurance, trial);
        double error = plan_trial_error(&curve, before, assurance, -1);
        mixed_fit_release(&curve.fit);
        cast_batch(&data, random, trial);
        curve = fit_line(&data);
        double after = cross(&curve, assurance);
        mixed_fit_release(&curve.fit);
        if (isnan(before) || isnan(after))
            continue;
        sums->n++;
        sums->before += before;
        sums->before2 += before * before;
        sums->after += after;
        sums->after2 += after * after;
        sums->narrowing += narrowing;
        sums->error2 += error * error;
    }
}

static double sd_of(double sum, double squares, double n)
{
    return sqrt(squares / n - sum / n * (sum / n));
}

/* Studies cast, fitted and searched anew; then one batch more. The true fraction is 2/3; the assured one lies below. */
static void narrowing_by_simulation(void)
{
    static const struct { enum assurance_kind kind; double trial, within; } cases[] = {
        { ASSURANCE_MEAN, 0.65, 0.015 }, { ASSURANCE_MEAN, 0.3, 0.015 }, { ASSURANCE_NEXT_BATCH, 0.65, 0.025 }, { ASSURANCE_NEXT_BATCH, 0.3, 0.025 },
    };
    struct random_stream *random = random_stream_new(20240304, 1);
    double narrowed[4];
    for (size_t c = 0; c < sizeof cases / sizeof cases[0]; c++) {
        struct assurance assurance = { cases[c].kind, 0.95, 0.05, CUBES };
        struct sums sums;
        simulate(random, &assurance, cases[c].trial, 3000, &sums);
        double before = sd_of(sums.before, sums.before2, sums.n), after = sd_of(sums.after, sums.after2, sums.n);
        narrowed[c] = 1 - after / before;
        double said = sums.narrowing / sums.n, error = sqrt(sums.error2 / sums.n);
        if (fabs(narrowed[c] - said) > cases[c].within || fabs(error / before - 1) > 0.06)
            fprintf(stderr, "case %zu: sd %.4f, %.4f said; narrowed by %.3f, %.3f said\n", c, before, error, narrowed[c], said);
        CU_ASSERT(sums.n > 2990);
        CU_ASSERT(fabs(narrowed[c] - said) <= cases[c].within);
        CU_ASSERT(fabs(error / before - 1) <= 0.06); /* sd of 3000: 1.3 % */
    }
    CU_ASSERT(narrowed[0] > narrowed[1] && narrowed[2] > narrowed[3]); /* near the fraction, not far from it */
    random_stream_free(random);
}

static struct plan plan_of(const struct invented *study, const struct recommend_request *request, const struct plan_request *wanted,
                           struct recommendation *answer, enum status status)
{
    struct plan plan;
    struct problem problem;
    *answer = search(study, request, status);
    CU_ASSERT_EQUAL_FATAL(plan_make(&study->set, request, answer, wanted, &plan, &problem), STATUS_OK);
    return plan;
}

/* The study by hand of hand_study.h: no batches, so specimens are planned one by one. */
static void whole_plan(void)
{
    struct invented *study = hand_study();
    struct recommend_request request = request_of(LAW_LINEAR);
    struct plan_request wanted = { .power = 0.8, .differences = { { PROPERTY_COMPRESSIVE_STRENGTH, 1 } }, .n_differences = 1 };
    struct recommendation answer;
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 12);
    struct plan plan = plan_of(study, &request, &wanted, &answer, STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(plan.n_lines, answer.n_candidates);
    CU_ASSERT(plan.trial.known && plan.trial.property == PROPERTY_COMPRESSIVE_STRENGTH);
    check_close("fraction", plan.trial.fraction, crossing_by_hand(12, 0.3125, 1), 1e-8);
    CU_ASSERT(plan.trial.margin_then < plan.trial.margin_now && plan.trial.narrowing_pct > 0);
    for (size_t i = 0; i < plan.trial.n_points; i++)
        CU_ASSERT(plan.trial.points[i].narrowing_pct <= plan.trial.narrowing_pct + 1e-9);
    CU_ASSERT_EQUAL(plan.trial.n_points, 6); /* five mixes and the recommended fraction */
    const struct plan_line *line = &plan.lines[plan.focus];
    CU_ASSERT_EQUAL(line->candidate, answer.winner);
    CU_ASSERT(!line->scatter.apart && line->batches[1] == 0 && line->specimens == 1);
    check_close("scatter", line->scatter.var_specimen, 0.3125, 1e-9);
    CU_ASSERT_EQUAL(plan.n_reaches, PLAN_REACHES);
    for (size_t i = 1; i < plan.n_reaches; i++)
        CU_ASSERT(plan.reaches[i].fraction > plan.reaches[i - 1].fraction && plan.reaches[i].fraction < plan.trial.fraction);
    /* At the fraction told for 5 specimens the line itself has the chance wanted. */
    struct plan_scatter there = line->scatter;
    there.mean = 20 - 10 * plan.reaches[1].fraction;
    double chance = plan_chance(&there, 12, -1, &request.assurance, 5, 1);
    CU_ASSERT(chance >= 0.8 && chance < 0.83);
    CU_ASSERT_EQUAL(plan.n_difference_lines, answer.n_candidates);
    plan_release(&plan);
    recommendation_release(&answer);
    free(study);
}

static void out_of_reach(void)
{
    struct invented *study = hand_study();
    struct recommend_request request = request_of(LAW_LINEAR);
    struct plan_request wanted = { .power = 0.8 };
    struct recommendation answer;
    demand_target(&request, PROPERTY_COMPRESSIVE_STRENGTH, 40);
    struct plan plan = plan_of(study, &request, &wanted, &answer, STATUS_ANSWER_NO);
    CU_ASSERT_EQUAL(plan.focus, plan.n_lines);
    CU_ASSERT(!plan.trial.known && plan.trial.reason[0]);
    check_text(plan.lines[0].reason, "its mean misses the demand: no number of batches will do");
    plan_release(&plan);
    recommendation_release(&answer);
    request.targets[0].value = 5; /* met everywhere, so the end of the range is recommended */
    plan = plan_of(study, &request, &wanted, &answer, STATUS_OK);
    CU_ASSERT(!plan.trial.known && strstr(plan.trial.reason, "a trial would hardly move it"));
    CU_ASSERT_EQUAL(plan.n_reaches, PLAN_REACHES);
    for (size_t i = 0; i < plan.n_reaches; i++) /* within reach where it is, and that is the end */
        CU_ASSERT_EQUAL(plan.reaches[i].fraction, 1);
    plan_release(&plan);
    recommendation_release(&answer);
    free(study);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "narrowing by hand", narrowing_by_hand }, { "narrowing by simulation", narrowing_by_simulation },
        { "whole plan", whole_plan }, { "out of reach", out_of_reach },
    };
    return check_run("plan_trial", cases, sizeof cases / sizeof cases[0]);
}
