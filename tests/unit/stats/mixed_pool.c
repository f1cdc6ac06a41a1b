/* Batches that share their design rows: the fit must be that of the same rows each told with its design, but for rounding. */
#include "support/check.h"

#include "stats/mixed.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define ROWS 4000
#define BATCHES 1200
#define DESIGNS 5
#define TERMS 3

struct study {
    double design[DESIGNS * TERMS], rows[ROWS * TERMS], y[ROWS], other_y[ROWS], weights[ROWS];
    uint32_t batch[ROWS], batch_design[BATCHES], group[DESIGNS], row_group[ROWS];
};

static unsigned draw(unsigned *state, unsigned below)
{
    *state = *state * 1664525u + 1013904223u; /* Numerical Recipes' quick generator will do here */
    return (*state >> 8) % below;
}

static double noise(unsigned *state)
{
    return draw(state, 10000) / 5000.0 - 1;
}

/* Unequal batches in any order of rows; every seventh batch stays empty. */
static void make_study(struct study *study, unsigned seed)
{
    unsigned state = seed;
    double luck[BATCHES];
    for (size_t d = 0; d < DESIGNS; d++) {
        double x = 0.1 + 0.17 * (double)d;
        double terms[TERMS] = { 1, x, x * x };
        memcpy(study->design + d * TERMS, terms, sizeof terms);
        study->group[d] = (uint32_t)d;
    }
    for (uint32_t b = 0; b < BATCHES; b++) {
        study->batch_design[b] = draw(&state, DESIGNS);
        luck[b] = 30 * noise(&state);
    }
    for (size_t i = 0; i < ROWS; i++) {
        uint32_t b = draw(&state, BATCHES);
        b = b % 7 == 6 ? b - 1 : b;
        const double *x = study->design + study->batch_design[b] * TERMS;
        study->batch[i] = b;
        study->row_group[i] = study->batch_design[b];
        memcpy(study->rows + i * TERMS, x, TERMS * sizeof *x);
        study->y[i] = 1500 - 900 * x[1] + 120 * x[2] + luck[b] + 20 * noise(&state);
        study->other_y[i] = 40 - 30 * x[1] + 0.1 * luck[b] + 2 * noise(&state);
        study->weights[i] = 1 + draw(&state, 3);
    }
}

#define ROUNDING 1e-10

static bool same(double a, double b)
{
    return fabs(a - b) <= ROUNDING * fmax(fabs(a), fabs(b));
}

/* To the rounding of the largest. */
static bool same_values(const double *a, const double *b, size_t n)
{
    double largest = 0, apart = 0;
    if (!a || !b)
        return !a && !b;
    for (size_t i = 0; i < n; i++) {
        largest = fmax(largest, fabs(a[i]));
        apart = fmax(apart, fabs(a[i] - b[i]));
    }
    return apart <= ROUNDING * largest;
}

static void check_same_fit(const struct mixed_fit *a, const struct mixed_fit *b)
{
    CU_ASSERT_EQUAL(a->n_batches, b->n_batches);
    CU_ASSERT_TRUE(same_values(a->coefficient, b->coefficient, a->n_terms));
    CU_ASSERT_TRUE(same_values(a->covariance_kr, b->covariance_kr, a->n_terms * a->n_terms));
    CU_ASSERT_TRUE(same_values(a->leverage, b->leverage, a->n_rows));
    CU_ASSERT_TRUE(same(a->var_batch, b->var_batch) && same(a->var_specimen, b->var_specimen) && same(a->criterion, b->criterion));
    CU_ASSERT_TRUE(same(a->r_squared, b->r_squared) && same(a->condition, b->condition) && same(a->log_likelihood, b->log_likelihood));
}

/* Fits both ways, and holds errors and lack of fit against one another as well. */
static void check_both(const struct study *study, const struct mixed_data *shared, enum mixed_method method)
{
    struct mixed_data whole = *shared;
    struct mixed_fit fit_whole, fit_shared;
    struct problem problem;
    double error_whole, error_shared, distance_whole[BATCHES], distance_shared[BATCHES];
    struct lack_of_fit lack_whole, lack_shared;
    whole.design = study->rows;
    whole.batch_design = NULL;
    whole.pool = NULL;
    CU_ASSERT_EQUAL_FATAL(mixed_fit_estimate(&whole, method, &fit_whole, &problem), STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(mixed_fit_estimate(shared, method, &fit_shared, &problem), STATUS_OK);
    check_same_fit(&fit_whole, &fit_shared);
    const struct mixed_measured measured = { study->weights, cos, NULL }; /* any value and function will do */
    for (int back = 0; back < 2; back++) {
        const struct mixed_measured *scale = back ? &measured : NULL;
        CU_ASSERT_EQUAL(mixed_leave_one_batch_out(&whole, &fit_whole, scale, &error_whole), mixed_leave_one_batch_out(shared, &fit_shared, scale, &error_shared));
        CU_ASSERT_TRUE(same(error_whole, error_shared));
    }
    CU_ASSERT_EQUAL(mixed_cooks_distance(&whole, &fit_whole, distance_whole), mixed_cooks_distance(shared, &fit_shared, distance_shared));
    CU_ASSERT_TRUE(same_values(distance_whole, distance_shared, BATCHES));
    CU_ASSERT_EQUAL(mixed_lack_of_fit(&whole, study->row_group, DESIGNS, &lack_whole), mixed_lack_of_fit(shared, study->group, DESIGNS, &lack_shared));
    CU_ASSERT_TRUE(lack_whole.available && same(lack_whole.f, lack_shared.f) && same(lack_whole.p, lack_shared.p));
    mixed_fit_release(&fit_whole);
    mixed_fit_release(&fit_shared);
}

static struct mixed_data shared_data(const struct study *study, const double *y, const double *weights, struct mixed_pool *pool)
{
    return (struct mixed_data){ .n_rows = ROWS, .n_terms = TERMS, .design = study->design, .response = y, .batch = study->batch,
                                .n_batches = BATCHES, .weights = weights, .batch_design = study->batch_design, .pool = pool };
}

static void same_as_row_by_row(void)
{
    struct study *study = malloc(sizeof *study);
    for (unsigned seed = 1; study && seed <= 8; seed++) {
        struct mixed_pool pool = { 0 };
        make_study(study, seed);
        for (enum mixed_method method = MIXED_REML; method <= MIXED_LEAST_SQUARES; method++) {
            struct mixed_data alone = shared_data(study, study->y, NULL, NULL), kept = shared_data(study, study->y, NULL, &pool);
            struct mixed_data other = shared_data(study, study->other_y, NULL, &pool), weighted = shared_data(study, study->y, study->weights, NULL);
            check_both(study, &alone, method);
            check_both(study, &kept, method);  /* pools the rows */
            check_both(study, &kept, method);  /* does not */
            check_both(study, &other, method); /* pools anew */
            check_both(study, &kept, method);
            CU_ASSERT_TRUE(pool.n_cells > 0 && pool.n_cells < BATCHES / 2);
            check_both(study, &weighted, method);
        }
        mixed_pool_release(&pool);
    }
    free(study);
}

/* The same response in batches that stand elsewhere is pooled anew. */
static void other_designs(void)
{
    struct study *study = malloc(sizeof *study);
    CU_ASSERT_PTR_NOT_NULL_FATAL(study);
    struct mixed_pool pool = { 0 };
    struct mixed_fit fit;
    struct problem problem;
    uint32_t moved[BATCHES];
    make_study(study, 40);
    for (size_t b = 0; b < BATCHES; b++)
        moved[b] = (study->batch_design[b] + 1) % DESIGNS;
    struct mixed_data kept = shared_data(study, study->y, NULL, &pool), alone = shared_data(study, study->y, NULL, NULL);
    CU_ASSERT_EQUAL_FATAL(mixed_fit_estimate(&kept, MIXED_REML, &fit, &problem), STATUS_OK);
    mixed_fit_release(&fit);
    kept.batch_design = alone.batch_design = moved;
    struct mixed_fit fit_alone;
    CU_ASSERT_EQUAL_FATAL(mixed_fit_estimate(&kept, MIXED_REML, &fit, &problem), STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(mixed_fit_estimate(&alone, MIXED_REML, &fit_alone, &problem), STATUS_OK);
    check_same_fit(&fit, &fit_alone);
    mixed_fit_release(&fit);
    mixed_fit_release(&fit_alone);
    mixed_pool_release(&pool);
    free(study);
}

/* Without rows some things cannot be had, and are refused. */
static void without_rows(void)
{
    static const double design[] = { 1 };
    static const uint32_t batch_design[] = { 0, 0, 0 }, other[] = { 0, 0, 0 };
    static const double means[] = { 11, 12, 14 };
    static const uint32_t rows[] = { 2, 2, 2 };
    struct mixed_pool pool;
    mixed_pool_lend(&pool, means, rows, 1);
    struct mixed_data data = { .n_rows = 6, .n_terms = 1, .design = design, .n_batches = 3, .batch_design = batch_design, .pool = &pool };
    struct mixed_fit fit;
    struct problem problem = { 0 };
    CU_ASSERT_EQUAL_FATAL(mixed_fit_estimate(&data, MIXED_REML, &fit, &problem), STATUS_OK);
    check_close("mean", fit.coefficient[0], 37.0 / 3, 1e-14);
    CU_ASSERT_PTR_NULL(fit.leverage);
    mixed_fit_release(&fit);
    CU_ASSERT_EQUAL(mixed_fit_estimate(&data, MIXED_LEAST_SQUARES, &fit, &problem), STATUS_NUMERIC);
    data.batch_design = other;
    CU_ASSERT_EQUAL(mixed_fit_estimate(&data, MIXED_REML, &fit, &problem), STATUS_NUMERIC);
    mixed_pool_release(&pool);
}

/* What is wrong is said of its row, whether or not the rows were walked over before. */
static void bad_values(void)
{
    struct study *study = malloc(sizeof *study);
    CU_ASSERT_PTR_NOT_NULL_FATAL(study);
    struct mixed_pool pool = { 0 };
    struct mixed_fit fit;
    struct problem problem;
    make_study(study, 30);
    struct mixed_data data = shared_data(study, study->y, NULL, &pool);
    CU_ASSERT_EQUAL(mixed_fit_estimate(&data, MIXED_REML, &fit, &problem), STATUS_OK);
    mixed_fit_release(&fit);
    study->design[study->row_group[0] * TERMS + 1] = INFINITY;
    CU_ASSERT_EQUAL(mixed_fit_estimate(&data, MIXED_REML, &fit, &problem), STATUS_NUMERIC);
    check_text(problem.text, "'term 2' is not a finite number in row 1 of the fit");
    make_study(study, 30);
    study->other_y[2] = NAN;
    data.response = study->other_y;
    CU_ASSERT_EQUAL(mixed_fit_estimate(&data, MIXED_REML, &fit, &problem), STATUS_NUMERIC);
    check_text(problem.text, "the response is not a finite number in row 3 of the fit");
    study->batch[4] = BATCHES;
    data.response = study->y;
    mixed_pool_release(&pool);
    CU_ASSERT_EQUAL(mixed_fit_estimate(&data, MIXED_REML, &fit, &problem), STATUS_NUMERIC);
    check_text(problem.text, "row 5 of the fit names a batch that is not there");
    mixed_pool_release(&pool);
    free(study);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "the fit of the same rows told one by one", same_as_row_by_row }, { "other designs", other_designs },
        { "without rows", without_rows }, { "bad values", bad_values },
    };
    return check_run("mixed pool", cases, sizeof cases / sizeof *cases);
}
