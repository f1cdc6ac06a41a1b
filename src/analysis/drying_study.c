#include "analysis/drying_study.h"

#include "base/memory.h"
#include "base/utf8.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int compare_names(const void *a, const void *b)
{
    const struct drying_result *const *left = a, *const *right = b;
    return strcmp((*left)->series->specimen, (*right)->series->specimen);
}

static int find_name(const void *key, const void *item)
{
    const struct drying_result *const *result = item;
    return strcmp(key, (*result)->series->specimen);
}

/* One walk over the set, however many specimens were weighed. */
static bool take_states(const struct specimen_set *set, struct drying_study *study)
{
    struct drying_result **by_name = memory_new(study->n_items, sizeof *by_name);
    if (!by_name)
        return false;
    for (size_t i = 0; i < study->n_items; i++)
        by_name[i] = &study->items[i];
    qsort(by_name, study->n_items, sizeof *by_name, compare_names);
    for (size_t i = 0; i < set->n; i++) {
        struct name_room room;
        struct drying_result **found = bsearch(specimen_set_id(set, i, &room), by_name, study->n_items, sizeof *by_name, find_name);
        if (found) {
            (*found)->in_set = true;
            (*found)->moisture = specimen_set_moisture(set, i);
        }
    }
    memory_free(by_name);
    return true;
}

static double span_hours(const struct weighing_series *series)
{
    return series->items[series->n_items - 1].hours - series->items[0].hours;
}

static const struct drying_rule *choose_rule(const struct drying_result *result)
{
    if (result->series->place != DRYING_PLACE_UNKNOWN)
        return result->series->place == DRYING_PLACE_AIR ? &drying_rule_equilibrium : &drying_rule_oven;
    if (result->moisture == MOISTURE_OVEN_DRY || result->moisture == MOISTURE_AIR_DRY)
        return result->moisture == MOISTURE_AIR_DRY ? &drying_rule_equilibrium : &drying_rule_oven;
    return span_hours(result->series) >= drying_rule_equilibrium.interval_hours ? &drying_rule_equilibrium : &drying_rule_oven;
}

/* The statistics speak of values; here they are masses. */
static void say_why_not(struct drying_result *result, const struct problem *problem)
{
    if (problem->status == STATUS_TOO_FEW)
        snprintf(result->why_not, sizeof result->why_not, "a drying curve needs 4 weighings, there are %zu", result->series->n_items);
    else if (strstr(problem->text, "no limit is in sight"))
        snprintf(result->why_not, sizeof result->why_not, "the mass still changes too evenly to tell where it will end: weigh on");
    else
        snprintf(result->why_not, sizeof result->why_not, "no drying curve fits: %.120s", problem->text);
}

static enum status fit_curve(struct drying_result *result, double confidence)
{
    const struct weighing_series *series = result->series;
    struct problem problem = { 0 };
    double *hours = memory_new(series->n_items, sizeof *hours), *mass_kg = memory_new(series->n_items, sizeof *mass_kg);
    enum status status = hours && mass_kg ? STATUS_OK : STATUS_MEMORY;
    for (size_t i = 0; status == STATUS_OK && i < series->n_items; i++) {
        hours[i] = series->items[i].hours;
        mass_kg[i] = series->items[i].mass_kg;
    }
    if (status == STATUS_OK)
        status = approach_fit_estimate(hours, mass_kg, series->n_items, confidence, &result->fit, &problem);
    result->fitted = status == STATUS_OK && result->fit.limit > 0;
    if (result->fitted)
        result->to_lose_pct = 100 * (mass_kg[series->n_items - 1] - result->fit.limit) / result->fit.limit;
    else if (status != STATUS_MEMORY)
        say_why_not(result, &problem);
    memory_free(hours);
    memory_free(mass_kg);
    return status == STATUS_MEMORY ? status : STATUS_OK;
}

/* What is said of a specimen must not contradict its weighings. */
static void hold_against_state(const struct drying_result *result, const char *path, struct problem_list *problems)
{
    const struct drying_state *state = &result->state;
    struct place place = { path, result->series->line, NULL };
    const char *name = result->series->specimen;
    bool claimed = (result->moisture == MOISTURE_OVEN_DRY && result->rule == &drying_rule_oven)
        || (result->moisture == MOISTURE_AIR_DRY && result->rule == &drying_rule_equilibrium);
    if (!result->in_set)
        problem_list_add(problems, SEVERITY_NOTICE, STATUS_OK, &place, "'%.*s' was weighed, but no specimen that could be read has this name",
                         (int)utf8_cut(name, 60), name);
    if (claimed && result->judged && state->comparable && !state->constant)
        problem_list_add(problems, SEVERITY_DOUBT, STATUS_OK, &place,
                         "'%.*s' is called %s, but its mass still changed by %.2g %% in %.4g h: its density is not that of a dry specimen",
                         (int)utf8_cut(name, 60), name, moisture_word(result->moisture), state->change_pct, state->hours_apart);
}

enum status drying_study_make(const struct weighing_list *weighings, const struct specimen_set *set, double confidence,
                              struct drying_study *study, struct problem_list *problems)
{
    *study = (struct drying_study){ .n_items = weighings->n_series, .confidence = confidence, .us_units = weighings->us_units,
                                    .path = weighings->path };
    study->items = memory_new(weighings->n_series, sizeof *study->items);
    enum status status = study->items ? STATUS_OK : STATUS_MEMORY;
    for (size_t i = 0; study->items && i < study->n_items; i++)
        study->items[i] = (struct drying_result){ .series = &weighings->series[i], .to_lose_pct = NAN };
    if (status == STATUS_OK && !take_states(set, study))
        status = STATUS_MEMORY;
    for (size_t i = 0; status == STATUS_OK && i < study->n_items; i++) {
        struct drying_result *result = &study->items[i];
        struct problem unheard;
        result->rule = choose_rule(result);
        result->judged = drying_judge(result->series->items, result->series->n_items, result->rule, &result->state, &unheard) == STATUS_OK;
        status = fit_curve(result, confidence);
        hold_against_state(result, weighings->path, problems);
    }
    if (status == STATUS_OK)
        return status;
    problem_list_add(problems, SEVERITY_ERROR, STATUS_MEMORY, NULL, "no memory left for the drying curves");
    drying_study_release(study);
    return status;
}

void drying_study_release(struct drying_study *study)
{
    memory_free(study->items);
    *study = (struct drying_study){ 0 };
}
