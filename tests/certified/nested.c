#include "stats/mixed.h"
#include "stats/summary.h"
#include "support/certified.h"

/*
 * Davies and Goldsmith 1972, table 6.5: strength of a chemical paste, two
 * assays of each of three casks of ten deliveries, as shipped with the R
 * package lme4 (GPL). The model has one random effect only, so the two levels
 * are taken one after the other, which is REML for balanced data: casks within
 * fixed deliveries, then deliveries from the means of their casks. Answers in
 * rational arithmetic (published: 2.9041, 1.2874, 0.8234; 60.0533, 0.6769).
 */
enum { N_ROWS = 60, N_BATCHES = 10, N_CASKS = 30 };

static void fit(const struct mixed_data *data, struct mixed_fit *result)
{
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(mixed_fit_estimate(data, MIXED_REML, result, &problem), STATUS_OK);
}

static void check_casks(const double *y, const uint32_t *batch, const uint32_t *cask)
{
    double design[N_ROWS * N_BATCHES] = { 0 };
    for (size_t i = 0; i < N_ROWS; i++)
        design[i * N_BATCHES + batch[i]] = 1;
    struct mixed_data data = { .n_rows = N_ROWS, .n_terms = N_BATCHES, .design = design, .response = y, .batch = cask,
                               .n_batches = N_CASKS };
    struct mixed_fit got;
    fit(&data, &got);
    certified_check("Pastes", "REML variance between casks", got.var_batch, 8.433666666666666666666667, 8);
    certified_check("Pastes", "REML variance of assays", got.var_specimen, 0.678, 8);
    mixed_fit_release(&got);
}

static void check_deliveries(const double *y, const uint32_t *batch, const uint32_t *cask)
{
    double mean[N_CASKS] = { 0 }, design[N_CASKS];
    uint32_t delivery[N_CASKS];
    for (size_t i = 0; i < N_ROWS; i++) {
        mean[cask[i]] += y[i] / 2;
        delivery[cask[i]] = batch[i];
        design[cask[i]] = 1;
    }
    struct mixed_data data = { .n_rows = N_CASKS, .n_terms = 1, .design = design, .response = mean, .batch = delivery,
                               .n_batches = N_BATCHES };
    struct mixed_fit got;
    struct contrast contrast;
    double one = 1;
    fit(&data, &got);
    mixed_fit_contrast(&got, &one, &contrast);
    certified_check("Pastes", "REML variance between deliveries", got.var_batch, 1.657308641975308641975309, 8);
    certified_check("Pastes", "mean", contrast.estimate, 60.05333333333333333333333, 9);
    certified_check("Pastes", "its error", contrast.std_error, 0.6768700661277266783455593, 9);
    certified_check("Pastes", "its degrees of freedom", contrast.df, 9, 6);
    mixed_fit_release(&got);
}

static void test_pastes(void)
{
    struct certified_table table = certified_read("mixed/Pastes.csv");
    size_t n_batches, n_casks;
    double *y = certified_numbers(&table, "strength");
    uint32_t *batch = certified_groups(&table, "batch", &n_batches), *cask = certified_groups(&table, "sample", &n_casks);
    CU_ASSERT_EQUAL_FATAL(table.n_rows, N_ROWS);
    CU_ASSERT_EQUAL_FATAL(n_batches, N_BATCHES);
    CU_ASSERT_EQUAL_FATAL(n_casks, N_CASKS);
    check_casks(y, batch, cask);
    check_deliveries(y, batch, cask);
    free(y);
    free(batch);
    free(cask);
    certified_release(&table);
}

int main(void)
{
    static const struct check_case cases[] = { { "pastes", test_pastes } };
    return check_run("nested", cases, sizeof cases / sizeof *cases);
}
