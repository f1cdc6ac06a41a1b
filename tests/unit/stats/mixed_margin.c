#include "stats/distribution.h"
#include "stats/mixed.h"
#include "stats/tolerance.h"
#include "support/check.h"

#include <stdbool.h>
#include <stdint.h>

enum { BATCHES = 9, EACH = 3, ROWS = BATCHES * EACH };

struct study {
    double design[2 * ROWS], response[ROWS];
    uint32_t batch[ROWS];
    struct mixed_data data;
};

static void study_fill(struct study *study, double batch_size)
{
    for (size_t row = 0; row < ROWS; row++) {
        double b = (double)(row / EACH), r = (double)row;
        study->design[2 * row] = 1;
        study->design[2 * row + 1] = fmod(b, 3) / 2;
        study->batch[row] = (uint32_t)(row / EACH);
        study->response[row] = 40 - 12 * study->design[2 * row + 1] + batch_size * sin(11 * b * b + 1) + sin(7.3 * r * r + 2);
    }
    study->data = (struct mixed_data){ .n_rows = ROWS, .n_terms = 2, .design = study->design, .batch = study->batch,
                                       .response = study->response, .n_batches = BATCHES };
}

static struct mixed_fit fit_of(const struct mixed_data *data)
{
    struct mixed_fit fit;
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(mixed_fit_estimate(data, MIXED_REML, &fit, &problem), STATUS_OK);
    return fit;
}

/* In a balanced study a batch mean is one result with BATCHES - 2 df: fit the means and use t. */
static void test_balanced_is_least_squares_of_means(void)
{
    static const double sizes[] = { 3, 0.6 };
    for (size_t i = 0; i < 2; i++) {
        struct study study, means;
        study_fill(&study, sizes[i]);
        study_fill(&means, sizes[i]);
        for (size_t b = 0; b < BATCHES; b++) {
            means.design[2 * b + 1] = study.design[2 * EACH * b + 1];
            means.response[b] = 0;
            for (size_t k = 0; k < EACH; k++)
                means.response[b] += study.response[EACH * b + k] / EACH;
        }
        means.data.n_rows = BATCHES;
        means.data.batch = NULL;
        struct mixed_fit fit = fit_of(&study.data), plain = fit_of(&means.data);
        CU_ASSERT_FALSE(fit.at_boundary);
        for (double x = 0; x <= 1; x += 0.25) {
            double at[2] = { 1, x };
            check_close("mean", mixed_fit_mean_margin(&fit, at, 0.95), mixed_fit_mean_margin(&plain, at, 0.95), 1e-9);
            check_close("next batch of as many", mixed_fit_next_batch_margin(&fit, at, EACH, 0.9),
                        mixed_fit_next_batch_margin(&plain, at, EACH, 0.9), 1e-9);
            /* away from the boundary the contrast and the prediction say the same */
            struct contrast contrast;
            double variance, df;
            mixed_fit_contrast(&fit, at, &contrast);
            mixed_fit_prediction(&fit, at, EACH, &variance, &df);
            check_close("contrast", mixed_fit_mean_margin(&fit, at, 0.95),
                        t_quantile(0.95, contrast.df) * contrast.std_error, 1e-9);
            check_close("prediction", mixed_fit_next_batch_margin(&fit, at, EACH, 0.95),
                        t_quantile(0.95, df) * sqrt(variance), 1e-9);
        }
        mixed_fit_release(&fit);
        mixed_fit_release(&plain);
    }
}

/* Batches that agree by luck: their means alone would put the bound too near, so that of least squares counts where it lies farther. */
static void test_batches_alike(void)
{
    static const double luck[] = { 0.1, 0.5 }; /* means of the batches far and hardly below what their specimens let expect */
    for (size_t i = 0; i < 2; i++) {
        struct study study, means;
        study_fill(&study, 0);
        study_fill(&means, 0);
        for (size_t row = 0; row < ROWS; row++)
            study.response[row] = 40 - 12 * study.design[2 * row + 1] + luck[i] * sin((double)(row / EACH)) + (double)(row % EACH) - 1;
        for (size_t b = 0; b < BATCHES; b++) {
            means.design[2 * b + 1] = study.design[2 * EACH * b + 1];
            means.response[b] = study.response[EACH * b + 1]; /* the middle one */
        }
        means.data.n_rows = BATCHES;
        means.data.batch = NULL;
        struct mixed_data ignored = study.data;
        ignored.batch = NULL;
        struct mixed_fit fit = fit_of(&study.data), by_means = fit_of(&means.data), rows = fit_of(&ignored);
        double at[2] = { 1, 0.75 };
        struct contrast contrast;
        mixed_fit_contrast(&rows, at, &contrast);
        CU_ASSERT(fit.at_boundary);
        double mean = fmax(mixed_fit_mean_margin(&by_means, at, 0.95), mixed_fit_mean_margin(&rows, at, 0.95));
        double by_rows = t_quantile(0.95, ROWS - 2) * sqrt(contrast.variance_mean + rows.var_specimen / EACH);
        double next = fmax(mixed_fit_next_batch_margin(&by_means, at, EACH, 0.95), by_rows);
        check_close("mean", mixed_fit_mean_margin(&fit, at, 0.95), mean, 1e-9);
        check_close("next batch of as many", mixed_fit_next_batch_margin(&fit, at, EACH, 0.95), next, 1e-9);
        check_close("its chance", mixed_fit_next_batch_chance(&fit, at, EACH, next), 0.95, 1e-9);
        check_close("on the other side", mixed_fit_mean_margin(&fit, at, 0.05), -mean, 1e-9);
        check_close("half of all, like the mean", mixed_fit_tolerance_margin(&fit, at, 0.5, 0.95), mean, 1e-5);
        CU_ASSERT(mixed_fit_tolerance_margin(&fit, at, 0.95, 0.95) >= mixed_fit_tolerance_margin(&rows, at, 0.95, 0.95) * (1 - 1e-9));
        mixed_fit_release(&fit);
        mixed_fit_release(&by_means);
        mixed_fit_release(&rows);
    }
}

/* Other numbers of specimens than a batch had, by hand from the two mean squares. */
static void test_other_numbers_of_specimens(void)
{
    static const double sizes[] = { 3, 0.3 };
    for (size_t i = 0; i < 2; i++) {
        struct study study;
        study_fill(&study, sizes[i]);
        struct mixed_fit fit = fit_of(&study.data);
        CU_ASSERT_FALSE_FATAL(fit.at_boundary);
        double at[2] = { 1, 0.75 }, batch = fit.var_batch + fit.var_specimen / EACH, specimen = fit.var_specimen;
        struct contrast contrast;
        mixed_fit_contrast(&fit, at, &contrast);
        double own = (1 + contrast.variance_mean / batch) * batch;
        double one = specimen * (1 - 1.0 / EACH), variance = own + one;
        double df = variance * variance / (own * own / (BATCHES - 2) + one * one / (ROWS - BATCHES));
        check_close("one specimen", mixed_fit_next_batch_margin(&fit, at, 1, 0.95), t_quantile(0.95, df) * sqrt(variance), 1e-9);
        double gain = specimen * (1.0 / 12 - 1.0 / EACH);
        double least = own * (1 + (1.0 / 12 - 1.0 / EACH) / (own / batch / EACH));
        check_close("12 specimens", mixed_fit_next_batch_margin(&fit, at, 12, 0.95),
                    t_quantile(0.95, BATCHES - 2) * sqrt(fmax(own + gain, least)), 1e-9);
        mixed_fit_release(&fit);
    }
}

static void test_least_squares(void)
{
    struct study study;
    study_fill(&study, 1);
    study.data.batch = NULL;
    struct mixed_fit fit = fit_of(&study.data);
    double at[2] = { 1, 0.3 };
    struct contrast contrast;
    mixed_fit_contrast(&fit, at, &contrast);
    double t = t_quantile(0.95, ROWS - 2), sd = sqrt(fit.var_specimen);
    check_close("mean", mixed_fit_mean_margin(&fit, at, 0.95), t * contrast.std_error, 1e-13);
    check_close("next", mixed_fit_next_batch_margin(&fit, at, 3, 0.95), t * sqrt(contrast.variance_mean + sd * sd), 1e-13);
    check_close("tolerance", mixed_fit_tolerance_margin(&fit, at, 0.95, 0.9),
                sd * tolerance_factor(sd * sd / contrast.variance_mean, ROWS - 2, 0.95, 0.9), 1e-13);
    mixed_fit_release(&fit);
}

/* Where the specimen variance is nothing beside the batches', the tolerance bound is that of the batch means. */
static void test_tolerance_limit(void)
{
    struct study study;
    study_fill(&study, 3000);
    struct mixed_fit fit = fit_of(&study.data);
    double at[2] = { 1, 0.3 };
    struct contrast contrast;
    mixed_fit_contrast(&fit, at, &contrast);
    double k = tolerance_factor(fit.var_batch / contrast.variance_mean, BATCHES - 2, 0.95, 0.9);
    check_close("tolerance", mixed_fit_tolerance_margin(&fit, at, 0.95, 0.9), k * sqrt(fit.var_batch), 1e-5);
    mixed_fit_release(&fit);
}

static void test_order(void)
{
    struct study study;
    study_fill(&study, 1);
    struct mixed_fit fit = fit_of(&study.data);
    double at[2] = { 1, 0.3 }, far[2] = { 1, 2 };
    CU_ASSERT_TRUE(mixed_fit_mean_margin(&fit, at, 0.95) < mixed_fit_next_batch_margin(&fit, at, 100, 0.95));
    CU_ASSERT_TRUE(mixed_fit_next_batch_margin(&fit, at, 100, 0.95) < mixed_fit_next_batch_margin(&fit, at, 4, 0.95));
    CU_ASSERT_TRUE(mixed_fit_next_batch_margin(&fit, at, 4, 0.95) < mixed_fit_next_batch_margin(&fit, at, 2, 0.95));
    CU_ASSERT_TRUE(mixed_fit_next_batch_margin(&fit, at, 1, 0.95) < mixed_fit_tolerance_margin(&fit, at, 0.95, 0.95));
    CU_ASSERT_TRUE(mixed_fit_tolerance_margin(&fit, at, 0.95, 0.9) < mixed_fit_tolerance_margin(&fit, at, 0.95, 0.95));
    CU_ASSERT_TRUE(mixed_fit_tolerance_margin(&fit, at, 0.95, 0.9) < mixed_fit_tolerance_margin(&fit, at, 0.99, 0.9));
    CU_ASSERT_TRUE(mixed_fit_mean_margin(&fit, at, 0.95) < mixed_fit_mean_margin(&fit, far, 0.95));
    check_close("0.5 has no margin", mixed_fit_mean_margin(&fit, at, 0.5), 0, 1e-13);
    CU_ASSERT_TRUE(isnan(mixed_fit_mean_margin(&fit, at, 2)));
    CU_ASSERT_TRUE(isnan(mixed_fit_next_batch_margin(&fit, at, 0, 0.95)));
    CU_ASSERT_TRUE(isnan(mixed_fit_next_batch_margin(&fit, at, 1, NAN)));
    CU_ASSERT_TRUE(isnan(mixed_fit_tolerance_margin(&fit, at, 1, 0.95)));
    CU_ASSERT_TRUE(isnan(mixed_fit_tolerance_margin(&fit, at, 0.95, 1)));
    mixed_fit_release(&fit);
}

/* xorshift64* and Box-Muller: enough for a check of coverage, and the same everywhere. */
static double uniform(uint64_t *state)
{
    *state ^= *state >> 12;
    *state ^= *state << 25;
    *state ^= *state >> 27;
    return ((double)((*state * 0x2545F4914F6CDD1DULL) >> 11) + 0.5) / 9007199254740992.0;
}

static double normal(uint64_t *state)
{
    return sqrt(-2 * log(uniform(state))) * cos(2 * acos(-1) * uniform(state));
}

/*
 * A predictor that varies inside batches: at a far value nearly all noise is
 * the specimens'. The mean's margin by hand; the tolerance margin against its
 * definition, the quantile of Z sqrt(noise) + z sqrt(total) over drawn variances.
 */
static void test_predictor_inside_batches(void)
{
    enum { DRAWS = 40000 };
    struct study study;
    study_fill(&study, 1);
    for (size_t row = 0; row < ROWS; row++)
        study.design[2 * row + 1] = (double)(row % EACH);
    struct mixed_fit fit = fit_of(&study.data);
    double at[2] = { 1, 6 }, centre[2] = { 1, 1 };
    struct contrast far, mean;
    mixed_fit_contrast(&fit, at, &far);
    mixed_fit_contrast(&fit, centre, &mean);
    /* balanced: Var = (var_batch + var_specimen / 3) / 9 + var_specimen (x - 1)^2 / 18 */
    double slope = 25.0 / 18;
    check_close("variance", far.variance_mean, mean.variance_mean + slope * fit.var_specimen, 1e-9);
    /* r is held at 1: A = var_batch + var_specimen, noise = A / 9 + (Var - A / 9) from the specimens */
    double total = fit.var_batch + fit.var_specimen, by_batch = 1.0 / BATCHES, df;
    double by_specimen = (far.variance_mean - by_batch * total) / fit.var_specimen, variance;
    mixed_fit_total_variance(&fit, &variance, &df);
    double batch = by_batch * total, specimen = by_specimen * fit.var_specimen, specimen_df = ROWS - BATCHES - 1;
    double noise_df = (batch + specimen) * (batch + specimen) / (batch * batch / df + specimen * specimen / specimen_df);
    check_close("mean", mixed_fit_mean_margin(&fit, at, 0.95), t_quantile(0.95, noise_df) * far.std_error, 1e-8);
    double margin = mixed_fit_tolerance_margin(&fit, at, 0.95, 0.9), z = normal_quantile(0.95);
    uint64_t state = 99;
    int covered = 0;
    for (int i = 0; i < DRAWS; i++) {
        double a = total * df / chi_square_quantile(uniform(&state), df);
        double s = fit.var_specimen * specimen_df / chi_square_quantile(uniform(&state), specimen_df);
        covered += normal(&state) * sqrt(by_batch * a + by_specimen * s) + z * sqrt(a) <= margin;
    }
    check_close("tolerance", (double)covered / DRAWS, 0.9, 0.006);
    mixed_fit_release(&fit);
}

/*
 * 1500 studies of no, weak and strong batch effect. Coverage of 95 % bounds
 * must not fall under 93.3 % (three standard errors). Mean and next batch must
 * not exceed 96.7 % either where the effect is strong: they are exact there;
 * where batches often agree by luck, what least squares adds must stay small.
 */
static void test_coverage(void)
{
    enum { STUDIES = 1500 };
    static const double variances[] = { 0, 0.3, 9 };
    uint64_t state = 20240517;
    for (size_t v = 0; v < 3; v++) {
        int mean = 0, next = 0, tolerance = 0;
        double sd = sqrt(variances[v]), at[2] = { 1, 0.5 };
        for (int i = 0; i < STUDIES; i++) {
            struct study study;
            study_fill(&study, 0);
            double effect = 0;
            for (size_t row = 0; row < ROWS; row++) {
                if (row % EACH == 0)
                    effect = sd * normal(&state);
                study.response[row] = effect + normal(&state);
            }
            struct mixed_fit fit = fit_of(&study.data);
            double estimate = fit.coefficient[0] + 0.5 * fit.coefficient[1];
            double future = sd * normal(&state) + normal(&state) / sqrt(EACH);
            mean += estimate - mixed_fit_mean_margin(&fit, at, 0.95) <= 0;
            next += estimate - mixed_fit_next_batch_margin(&fit, at, EACH, 0.95) <= future;
            tolerance += estimate - mixed_fit_tolerance_margin(&fit, at, 0.95, 0.95) <=
                         -normal_quantile(0.95) * sqrt(1 + variances[v]);
            mixed_fit_release(&fit);
        }
        double most = (variances[v] > 1 ? 0.967 : 0.98) * STUDIES;
        CU_ASSERT_TRUE(mean > 0.933 * STUDIES && mean < most);
        CU_ASSERT_TRUE(next > 0.933 * STUDIES && next < most);
        CU_ASSERT_TRUE(tolerance > 0.933 * STUDIES);
    }
}

int main(void)
{
    static const struct check_case cases[] = {
        { "balanced is least squares of means", test_balanced_is_least_squares_of_means },
        { "batches that agree by luck", test_batches_alike },
        { "other numbers of specimens", test_other_numbers_of_specimens },
        { "least squares", test_least_squares },
        { "tolerance limit", test_tolerance_limit },
        { "order", test_order },
        { "predictor inside batches", test_predictor_inside_batches },
        { "coverage", test_coverage },
    };
    return check_run("mixed_margin", cases, sizeof cases / sizeof *cases);
}
