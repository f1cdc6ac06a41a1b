#include "analysis/general_fit.h"

#include "analysis/coefficient.h"
#include "analysis/general_design.h"
#include "base/memory.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char *law_of(const struct general_fit_question *question)
{
    static const char *const words[] = {"constant", "linear", "quadratic"};
    unsigned degree = question->has_predictor ? question->degree : 0;
    return degree < sizeof words / sizeof words[0] ? words[degree] : "polynomial";
}

static enum status out_of_memory(struct problem *problem)
{
    return problem_set(problem, STATUS_MEMORY, NULL, "no memory left for the fit");
}

static enum status fill_coefficients(struct general_fit *fit, const struct general_design *design, double confidence)
{
    size_t n_terms = fit->fit.n_terms;
    double *combination = memory_new(n_terms, sizeof *combination);
    fit->coefficients = memory_new(n_terms, sizeof *fit->coefficients);
    if (combination == NULL || fit->coefficients == NULL) {
        memory_free(combination);
        return STATUS_MEMORY;
    }
    fit->n_coefficients = n_terms;
    struct contrast contrast;
    for (size_t term = 0; term < n_terms; term++) {
        combination[term] = 1;
        mixed_fit_contrast(&fit->fit, combination, &contrast);
        coefficient_test(&contrast, confidence, &fit->coefficients[term]);
        combination[term] = 0;
        snprintf(fit->coefficients[term].name, sizeof fit->coefficients[term].name, "%s", design->names[term]);
    }
    memory_free(combination);
    return STATUS_OK;
}

/* What is said about a fit beside its coefficients; what cannot be had stays NaN. */
static enum status judge(struct general_fit *fit, const struct general_design *design)
{
    const struct mixed_fit *mixed = &fit->fit;
    fit->n_specimens = mixed->n_rows;
    fit->n_batches = mixed->n_batches;
    fit->sd_batch = mixed->has_batch_effect ? sqrt(mixed->var_batch) : NAN;
    fit->sd_specimen = mixed->has_batch_effect ? sqrt(mixed->var_specimen) : NAN;
    fit->residual_sd = sqrt(mixed->var_specimen + (mixed->has_batch_effect ? mixed->var_batch : 0));
    fit->r_squared = mixed->r_squared;
    fit->aicc = mixed_fit_aicc(mixed);
    enum status status = mixed_lack_of_fit(&design->data, design->group, design->n_groups, &fit->lack_of_fit);
    fit->lack_of_fit.available = fit->lack_of_fit.available && status == STATUS_OK;
    if (status == STATUS_MEMORY)
        return status;
    status = influence_judge(&design->data, mixed, &fit->influence);
    if (status != STATUS_OK)
        return status;
    fit->cross_validation_rmse = NAN;
    status = mixed_leave_one_batch_out(&design->data, mixed, NULL, &fit->cross_validation_rmse);
    if (status != STATUS_OK)
        fit->cross_validation_rmse = NAN;
    return status == STATUS_MEMORY ? status : STATUS_OK;
}

/* Powers of one column are alike by nature; only columns that stand for themselves are held against each other. */
static enum status find_near_dependence(const struct general_fit_question *question, const struct general_design *design,
                                        struct general_fit *fit)
{
    const bool powers = question->has_predictor && question->degree > 1;
    const size_t first = (question->no_intercept ? 0u : 1u) + (powers ? question->degree : 0u), passed = powers ? 1 : 0;
    enum status status = near_dependence_find(&design->data, first, !question->no_intercept, &fit->near);
    const size_t none = design->data.n_terms;
    fit->near.term = fit->near.term == none ? fit->n_explaining : fit->near.term - first + passed;
    fit->near.with = fit->near.with == none ? fit->n_explaining : fit->near.with - first + passed;
    return status;
}

enum status general_fit_estimate(const struct general_fit_question *question, struct general_fit *fit, struct problem *problem)
{
    struct general_design design = {0};
    memset(fit, 0, sizeof *fit);
    enum status status = general_design_make(question, &design, problem);
    if (status == STATUS_OK) {
        enum mixed_method method = question->batches ? MIXED_REML : MIXED_LEAST_SQUARES;
        status = mixed_fit_estimate(&design.data, method, &fit->fit, problem);
    }
    if (status == STATUS_OK) {
        fit->response = question->names[0];
        fit->predictor = question->has_predictor ? question->names[1] : NULL;
        fit->explaining = question->names + 1;
        fit->n_explaining = question->n_columns - 1 - (question->has_weights ? 1 : 0);
        fit->law = law_of(question);
        fit->batches = question->batches;
        status = fill_coefficients(fit, &design, question->confidence);
        if (status == STATUS_OK)
            status = judge(fit, &design);
        if (status == STATUS_OK)
            status = find_near_dependence(question, &design, fit);
        if (status != STATUS_OK)
            out_of_memory(problem);
    }
    general_design_release(&design);
    if (status != STATUS_OK)
        general_fit_release(fit);
    return status;
}

void general_fit_release(struct general_fit *fit)
{
    mixed_fit_release(&fit->fit);
    memory_free(fit->coefficients);
    memset(fit, 0, sizeof *fit);
}
