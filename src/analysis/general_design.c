#include "analysis/general_design.h"

#include "analysis/levels.h"
#include "base/memory.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Columns of the question by what they are for. */
static size_t first_other(const struct general_fit_question *question)
{
    return question->has_predictor ? 2 : 1;
}

static size_t end_of_others(const struct general_fit_question *question)
{
    return question->n_columns - (question->has_weights ? 1 : 0);
}

static size_t count_terms(const struct general_fit_question *question)
{
    return (question->no_intercept ? 0u : 1u) + (question->has_predictor ? question->degree : 0u)
        + end_of_others(question) - first_other(question);
}

static enum status check_question(const struct general_fit_question *question, struct problem *problem)
{
    if (count_terms(question) == 0)
        return problem_set(problem, STATUS_USAGE, NULL, "without an intercept the fit needs a column that explains '%s'",
                           question->names[0]);
    for (size_t i = 0; question->has_weights && i < question->n_rows; i++)
        if (!(question->values[(i + 1) * question->n_columns - 1] > 0))
            return problem_set(problem, STATUS_INPUT, NULL, "column '%s': the weight of data row %zu is not above zero",
                               question->names[question->n_columns - 1], i + 1);
    return STATUS_OK;
}

static void name_terms(const struct general_fit_question *question, struct general_design *design)
{
    size_t term = 0;
    if (!question->no_intercept)
        snprintf(design->names[term++], sizeof design->names[0], "intercept");
    for (unsigned power = 1; question->has_predictor && power <= question->degree; power++)
        snprintf(design->names[term++], sizeof design->names[0], power == 1 ? "%s" : "%s^%u", question->names[1], power);
    for (size_t column = first_other(question); column < end_of_others(question); column++)
        snprintf(design->names[term++], sizeof design->names[0], "%s", question->names[column]);
    for (size_t i = 0; i < term; i++)
        design->name_pointers[i] = design->names[i];
}

static void fill_row(const struct general_fit_question *question, const double *values, double *terms)
{
    if (!question->no_intercept)
        *terms++ = 1;
    double power = 1;
    for (unsigned degree = 1; question->has_predictor && degree <= question->degree; degree++)
        *terms++ = power *= values[1];
    for (size_t column = first_other(question); column < end_of_others(question); column++)
        *terms++ = values[column];
}

static void fill_rows(const struct general_fit_question *question, struct general_design *design, size_t n_terms)
{
    for (size_t i = 0; i < question->n_rows; i++) {
        const double *values = question->values + i * question->n_columns;
        fill_row(question, values, design->design + i * n_terms);
        design->response[i] = values[0];
        if (question->has_weights)
            design->weights[i] = values[question->n_columns - 1];
    }
}

/* Rows with the same predictors, column by column: the group so far and the level of the next column make one number. */
static enum status group_rows(const struct general_fit_question *question, struct general_design *design)
{
    double *key = memory_new(question->n_rows, sizeof *key);
    if (key == NULL)
        return STATUS_MEMORY;
    design->n_groups = 1;
    enum status status = STATUS_OK;
    for (size_t column = 1; column < end_of_others(question) && status == STATUS_OK; column++) {
        struct levels own = {0}, joint = {0};
        for (size_t i = 0; i < question->n_rows; i++)
            key[i] = question->values[i * question->n_columns + column];
        status = levels_find(key, question->n_rows, &own);
        for (size_t i = 0; status == STATUS_OK && i < question->n_rows; i++)
            key[i] = (double)design->group[i] * (double)own.n_levels + own.group[i];
        if (status == STATUS_OK)
            status = levels_find(key, question->n_rows, &joint);
        if (status == STATUS_OK) {
            memcpy(design->group, joint.group, question->n_rows * sizeof *design->group);
            design->n_groups = joint.n_levels;
        }
        levels_release(&own);
        levels_release(&joint);
    }
    memory_free(key);
    return status;
}

struct labelled_row { const char *label; uint32_t row; };

static int by_label(const void *a, const void *b)
{
    const struct labelled_row *left = a, *right = b;
    int order = strcmp(left->label, right->label);
    return order ? order : (left->row > right->row) - (left->row < right->row);
}

/* Numbers the batches by their labels. */
static enum status number_batches(const struct general_fit_question *question, struct general_design *design)
{
    struct labelled_row *rows = memory_new(question->n_rows, sizeof *rows);
    design->batch = memory_new(question->n_rows, sizeof *design->batch);
    if (rows == NULL || design->batch == NULL) {
        memory_free(rows);
        return STATUS_MEMORY;
    }
    for (size_t i = 0; i < question->n_rows; i++)
        rows[i] = (struct labelled_row){question->batches[i], (uint32_t)i};
    qsort(rows, question->n_rows, sizeof *rows, by_label);
    size_t batch = 0;
    for (size_t i = 0; i < question->n_rows; i++) {
        batch += i > 0 && strcmp(rows[i].label, rows[i - 1].label) != 0;
        design->batch[rows[i].row] = (uint32_t)batch;
    }
    design->data.n_batches = question->n_rows ? batch + 1 : 0;
    memory_free(rows);
    return STATUS_OK;
}

static bool reserve(const struct general_fit_question *question, struct general_design *design, size_t n_terms)
{
    size_t n = question->n_rows;
    design->names = memory_new(n_terms, sizeof *design->names);
    design->name_pointers = memory_new(n_terms, sizeof *design->name_pointers);
    design->design = memory_new(n, n_terms * sizeof *design->design);
    design->response = memory_new(n, sizeof *design->response);
    design->weights = memory_new(n, sizeof *design->weights);
    design->group = memory_new(n, sizeof *design->group);
    return design->names && design->name_pointers && design->design && design->response && design->weights && design->group;
}

enum status general_design_make(const struct general_fit_question *question, struct general_design *design, struct problem *problem)
{
    enum status status = check_question(question, problem);
    if (status != STATUS_OK)
        return status;
    size_t n_terms = count_terms(question);
    status = reserve(question, design, n_terms) ? group_rows(question, design) : STATUS_MEMORY;
    if (status == STATUS_OK && question->batches)
        status = number_batches(question, design);
    if (status != STATUS_OK)
        return problem_set(problem, status, NULL, "no memory left for the fit");
    name_terms(question, design);
    fill_rows(question, design, n_terms);
    design->data.n_rows = question->n_rows;
    design->data.n_terms = n_terms;
    design->data.design = design->design;
    design->data.response = design->response;
    design->data.batch = design->batch;
    design->data.weights = question->has_weights ? design->weights : NULL;
    design->data.term_names = design->name_pointers;
    return STATUS_OK;
}

void general_design_release(struct general_design *design)
{
    memory_free(design->names);
    memory_free((void *)design->name_pointers);
    memory_free(design->design);
    memory_free(design->response);
    memory_free(design->weights);
    memory_free(design->batch);
    memory_free(design->group);
}
