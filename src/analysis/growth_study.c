#include "analysis/growth_study.h"

#include "analysis/age_points.h"
#include "analysis/coefficient.h"
#include "analysis/growth_batches.h"
#include "base/memory.h"
#include "base/text.h"
#include "stats/distribution.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define USUAL_AGE_DAYS 28.0

/* Small-sample AIC of least squares on n points with p constants and the variance; NaN with too few points. */
static double aicc_of(const struct nonlinear_fit *fit)
{
    const double n = (double)fit->n_rows, k = (double)fit->n_parameters + 1, pi = 3.14159265358979323846;
    if (n - k - 1 <= 0)
        return NAN;
    return n * (log(2 * pi * fit->residual_sum_squares / n) + 1) + 2 * k + 2 * k * (k + 1) / (n - k - 1);
}

static enum status fit_law(enum growth_law law, const struct age_points *points, struct age_law *result)
{
    struct problem problem = { 0 };
    enum status status = growth_fit_estimate(law, points->age_days, points->value, points->n_points, &result->fit, &problem);
    result->fitted = status == STATUS_OK;
    result->aicc = result->fitted ? aicc_of(&result->fit.fit) : NAN;
    if (!result->fitted)
        snprintf(result->why_not, sizeof result->why_not, "%.150s", problem.text);
    else
        status = growth_leave_batches_out(points, result);
    return status == STATUS_MEMORY ? status : STATUS_OK;
}

/* Whether a is the better law: smaller AICc, or smaller scatter where AICc cannot be had for both. */
static bool is_better(const struct age_law *a, const struct age_law *b)
{
    if (isnan(a->aicc) && isnan(b->aicc))
        return a->fit.fit.residual_sd < b->fit.fit.residual_sd;
    return isnan(b->aicc) || a->aicc < b->aicc;
}

static enum status fit_curve(const struct age_points *points, const struct age_question *question, struct age_curve *curve)
{
    enum status status = STATUS_OK;
    curve->mix = points->mix;
    curve->n_specimens = points->n_specimens;
    curve->n_batches = points->n_batches;
    curve->n_ages = points->n_ages;
    curve->n_points = points->n_points;
    curve->chosen = GROWTH_LAW_COUNT;
    curve->share = curve->share_lower = curve->share_upper = curve->df = NAN;
    curve->at = (struct growth_value){ NAN, NAN, NAN, NAN, true };
    for (enum growth_law law = 0; law < GROWTH_LAW_COUNT && status == STATUS_OK; law++) {
        curve->laws[law].aicc = NAN;
        if (question->law != GROWTH_LAW_COUNT && question->law != law)
            continue;
        status = fit_law(law, points, &curve->laws[law]);
        if (curve->laws[law].fitted
            && (curve->chosen == GROWTH_LAW_COUNT || is_better(&curve->laws[law], &curve->laws[curve->chosen])))
            curve->chosen = law;
    }
    return status;
}

static enum status fit_property(const struct specimen_set *set, const struct age_question *question, enum property property,
                                struct growth_study *study, struct problem_list *problems)
{
    struct age_table table;
    enum status status = age_table_make(set, &question->selection, property, &table, problems);
    struct age_curve *items = status == STATUS_OK
        ? memory_resize(study->items, study->n_items + table.n_mixes + 1, sizeof *items) : NULL;
    if (!items)
        status = STATUS_MEMORY;
    else
        study->items = items;
    for (size_t i = 0; status == STATUS_OK && i < table.n_mixes; i++) {
        struct age_curve *curve = &study->items[study->n_items++];
        *curve = (struct age_curve){ .property = property };
        status = fit_curve(&table.mixes[i], question, curve);
    }
    if (status == STATUS_OK && table.n_single > 0)
        problem_list_add(problems, SEVERITY_NOTICE, STATUS_OK, NULL, "%s of %zu mix%s is known at one age only: no curve over age",
                         property_row(property)->words, table.n_single, table.n_single == 1 ? "" : "es");
    age_table_release(&table);
    return status;
}

/* ---- mixes at one age ---- */

static const struct growth_fit *fit_of(const struct age_curve *curve)
{
    return curve->chosen < GROWTH_LAW_COUNT ? &curve->laws[curve->chosen].fit : NULL;
}

static size_t curves_that_hold(const struct growth_study *study, double age_days)
{
    size_t n = 0;
    for (size_t i = 0; i < study->n_items; i++) {
        const struct growth_fit *fit = fit_of(&study->items[i]);
        n += fit && age_days >= fit->t_min && age_days <= fit->t_max;
    }
    return n;
}

/* 28 days, or the last age of the curve that lets most curves take part. */
static double common_age(const struct growth_study *study)
{
    double best = NAN;
    size_t most = curves_that_hold(study, USUAL_AGE_DAYS);
    if (most > 0)
        return USUAL_AGE_DAYS;
    for (size_t i = 0; i < study->n_items; i++) {
        const struct growth_fit *fit = fit_of(&study->items[i]);
        size_t n = fit ? curves_that_hold(study, fit->t_max) : 0;
        if (n > most || (n == most && n > 0 && fit->t_max > best)) {
            most = n;
            best = fit->t_max;
        }
    }
    return best;
}

static enum status find_reference(const struct specimen_set *set, const struct age_question *question, struct growth_study *study,
                                  struct problem_list *problems)
{
    study->reference = SAMPLE_ALL;
    for (uint32_t mix = 0; question->reference_mix && mix < set->n_mixes; mix++)
        if (strcmp(set->mixes[mix].name, question->reference_mix) == 0)
            study->reference = mix;
    if (question->reference_mix && study->reference == SAMPLE_ALL) {
        problem_list_add(problems, SEVERITY_ERROR, STATUS_USAGE, NULL,
                         "no mix '%s' in the results to count from: give --reference one of theirs", question->reference_mix);
        return STATUS_USAGE;
    }
    for (size_t i = 0; study->reference == SAMPLE_ALL && i < study->n_items; i++)
        if (fit_of(&study->items[i]) && set->mixes[study->items[i].mix].aggregate_fraction == 0)
            study->reference = study->items[i].mix;
    return STATUS_OK;
}

static const struct age_curve *reference_curve(const struct growth_study *study, enum property property)
{
    for (size_t i = 0; i < study->n_items; i++)
        if (study->items[i].mix == study->reference && study->items[i].property == property && fit_of(&study->items[i]))
            return &study->items[i];
    return NULL;
}

/* Ratio of two curves on the logarithm, each with its own scatter (Welch, Satterthwaite). */
static void hold_against(struct age_curve *curve, const struct age_curve *reference, double confidence)
{
    double own = curve->at.std_error / curve->at.estimate, other = reference->at.std_error / reference->at.estimate;
    double variance = own * own + other * other;
    double df = variance * variance / (pow(own, 4) / curve->df + pow(other, 4) / reference->df);
    double factor = variance == 0 ? 1 : isnan(df) ? NAN : exp(t_quantile(0.5 + confidence / 2, df) * sqrt(variance));
    curve->share = curve->at.estimate / reference->at.estimate;
    curve->share_lower = curve->share / factor;
    curve->share_upper = curve->share * factor;
}

static void place(struct age_curve *curve, double age_days, double confidence)
{
    curve->at = growth_fit_at(fit_of(curve), age_days, confidence);
    growth_batches_interval(&curve->laws[curve->chosen], age_days, confidence, &curve->at, &curve->df);
}

/* Curves are compared inside their ages only. */
static void compare(struct growth_study *study)
{
    for (size_t i = 0; i < study->n_items; i++)
        if (fit_of(&study->items[i]))
            place(&study->items[i], study->age_days, study->confidence);
    for (size_t i = 0; i < study->n_items; i++) {
        struct age_curve *curve = &study->items[i];
        const struct age_curve *reference = reference_curve(study, curve->property);
        if (fit_of(curve) && reference && reference != curve && !curve->at.outside && !reference->at.outside)
            hold_against(curve, reference, study->confidence);
    }
}

enum status growth_study_make(const struct specimen_set *set, const struct age_question *question, struct growth_study *study,
                           struct problem_list *problems)
{
    enum status status = STATUS_OK;
    *study = (struct growth_study){ .confidence = question->confidence, .reference = SAMPLE_ALL };
    for (size_t i = 0; i < question->n_properties && status == STATUS_OK; i++)
        status = fit_property(set, question, question->properties[i], study, problems);
    if (status == STATUS_MEMORY)
        problem_list_add(problems, SEVERITY_ERROR, status, NULL, "no memory left to fit curves over age");
    if (status == STATUS_OK)
        status = find_reference(set, question, study, problems);
    if (status == STATUS_OK) {
        study->age_days = isnan(question->age_days) ? common_age(study) : question->age_days;
        compare(study);
    } else {
        growth_study_release(study);
    }
    return status;
}

void growth_study_release(struct growth_study *study)
{
    for (size_t i = 0; i < study->n_items; i++)
        for (enum growth_law law = 0; law < GROWTH_LAW_COUNT; law++)
            if (study->items[i].laws[law].fitted) {
                growth_batches_release(&study->items[i].laws[law]);
                growth_fit_release(&study->items[i].laws[law].fit);
            }
    memory_free(study->items);
    memset(study, 0, sizeof *study);
}

size_t growth_study_fitted(const struct growth_study *study)
{
    size_t n = 0;
    for (size_t i = 0; i < study->n_items; i++)
        n += fit_of(&study->items[i]) != NULL;
    return n;
}

const char *age_curve_why_not(const struct age_curve *curve)
{
    for (enum growth_law law = 0; law < GROWTH_LAW_COUNT; law++)
        if (curve->laws[law].why_not[0])
            return curve->laws[law].why_not;
    return "";
}

static double constant_of(const struct growth_fit *fit, double index)
{
    return fit->fit.parameter[(size_t)index];
}

void age_law_constant(const struct age_law *law, size_t index, double confidence, struct coefficient_row *row)
{
    double std_error = nonlinear_fit_std_error(&law->fit.fit, index), df = law->fit.fit.df;
    if (law->repeated) {
        std_error = sqrt(growth_batches_variance(law, constant_of, (double)index));
        df = law->n_without < 2 ? NAN : (double)law->n_without - 1;
    }
    struct contrast contrast = { law->fit.fit.parameter[index], std_error, df, std_error * std_error };
    coefficient_test(&contrast, confidence, row);
    snprintf(row->name, sizeof row->name, "%s", growth_law_parameter(law->fit.law, index));
}
