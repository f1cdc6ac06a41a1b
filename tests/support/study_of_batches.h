#ifndef TESTS_SUPPORT_STUDY_OF_BATCHES_H
#define TESTS_SUPPORT_STUDY_OF_BATCHES_H

#include "stats/mixed.h"
#include "support/check.h"

#include <stdbool.h>

/* A study with n_batches x n_each rows: intercept and fraction; unequal effects without a pattern. */
enum { ROWS_MAX = 4000, TERMS_MAX = 12 };

struct study {
    double design[ROWS_MAX * TERMS_MAX], response[ROWS_MAX], weights[ROWS_MAX];
    uint32_t batch[ROWS_MAX];
    struct mixed_data data;
};

static const char *const study_terms[] = { "intercept", "fraction", "fraction^2", "sand" };

static inline void study_fill(struct study *study, size_t n_batches, size_t n_each, double batch_size)
{
    size_t n = n_batches * n_each;
    for (size_t row = 0; row < n; row++) {
        double b = (double)(row / n_each), r = (double)row, x = fmod(0.37 * b, 1);
        study->design[2 * row] = 1;
        study->design[2 * row + 1] = x;
        study->batch[row] = (uint32_t)(row / n_each);
        study->response[row] = 40 - 12 * x + batch_size * sin(11 * b * b + 1) + sin(7.3 * r * r + 2);
        study->weights[row] = 1;
    }
    study->data = (struct mixed_data){ .n_rows = n, .n_terms = 2, .design = study->design, .response = study->response,
                                       .batch = study->batch, .n_batches = n_batches, .term_names = study_terms };
}

static inline struct mixed_fit fit_by(const struct mixed_data *data, enum mixed_method method)
{
    struct mixed_fit fit;
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(mixed_fit_estimate(data, method, &fit, &problem), STATUS_OK);
    return fit;
}

static inline void check_failure(const struct mixed_data *data, enum mixed_method method, enum status want, const char *text)
{
    struct mixed_fit fit;
    struct problem problem = { 0 };
    CU_ASSERT_EQUAL(mixed_fit_estimate(data, method, &fit, &problem), want);
    CU_ASSERT_EQUAL(problem.status, want);
    CU_ASSERT_PTR_NULL(fit.coefficient);
    if (!strstr(problem.text, text))
        fprintf(stderr, "'%s' lacks '%s'\n", problem.text, text);
    CU_ASSERT_PTR_NOT_NULL(strstr(problem.text, text));
}

#endif
