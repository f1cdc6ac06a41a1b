#include "commands/deciding.h"
#include "commands/naming.h"

#include "output/answer_plan.h"

#include <stdio.h>
#include <string.h>

/* `property=VALUE UNIT` */
static enum status parse_difference(const char *text, struct plan_difference *difference, struct problem *problem)
{
    const char *equals = strchr(text, '=');
    char name[64], what[96];
    if (equals == NULL || equals == text || (size_t)(equals - text) >= sizeof name)
        return problem_set(problem, STATUS_USAGE, NULL, "--difference: '%s' is not NAME=VALUE, such as compressive_strength=2MPa", text);
    memcpy(name, text, (size_t)(equals - text));
    name[equals - text] = '\0';
    snprintf(what, sizeof what, "--difference %s", name);
    difference->property = property_find(name);
    if (difference->property == PROPERTY_COUNT)
        return naming_unknown("difference", name, false, problem);
    return quantity_parse(equals + 1, property_row(difference->property)->units, what, &difference->value, problem);
}

static enum status make_plan_request(struct run *run, const struct study *study, struct plan_request *plan)
{
    const struct text_list *texts = &study->options.differences;
    size_t errors_before = run->problems.n_errors;
    *plan = (struct plan_request){.power = study->options.power};
    for (size_t i = 0; i < texts->n_items; i++) {
        struct problem problem = {0};
        struct plan_difference difference = {0};
        if (parse_difference(texts->items[i], &difference, &problem) != STATUS_OK)
            problem_list_take(&run->problems, &problem);
        else if (!(difference.value > 0))
            usage_error(run, "--difference: '%s' is not above zero", texts->items[i]);
        else if (plan->n_differences == PLAN_DIFFERENCES_MAX)
            usage_error(run, "--difference: no more than %d of them", PLAN_DIFFERENCES_MAX);
        else
            plan->differences[plan->n_differences++] = difference;
    }
    return run->problems.n_errors == errors_before ? STATUS_OK : run->problems.worst;
}

static enum status answer_with(struct run *run, const struct study *study, const struct plan_answer *source)
{
    return study->options.json ? answer_plan_json(source, &run->out) : answer_plan_table(source, study->us, &run->out);
}

/* The answer is no when a demand is beyond every recipe, whatever is cast. */
static enum status verdict_of(const struct plan *plan)
{
    return plan->n_lines > 0 && plan->focus == plan->n_lines ? STATUS_ANSWER_NO : STATUS_OK;
}

static enum status make_plan(struct run *run, const struct study *study, const struct recommend_request *request,
                             const struct plan_request *plan_request)
{
    struct recommendation answer = {0};
    struct plan plan = {0};
    struct problem problem = {0};
    enum status status = deciding_search(run, study, request, &answer);
    if (status == STATUS_ANSWER_NO)
        status = STATUS_OK;
    if (status == STATUS_OK && plan_make(&study->set, request, &answer, plan_request, &plan, &problem) != STATUS_OK) {
        problem_list_take(&run->problems, &problem);
        status = problem.status;
    }
    const struct plan_answer source = {&study->set, request, &answer, plan_request, &plan};
    if (status == STATUS_OK)
        status = answer_with(run, study, &source);
    if (status == STATUS_OK)
        status = study_deliver(run, study, verdict_of(&plan));
    plan_release(&plan);
    recommendation_release(&answer);
    return status;
}

enum status command_plan(struct run *run)
{
    struct study study = {0};
    struct recommend_request request;
    struct plan_request plan_request = {0};
    enum status status = study_open_deciding(run, plan_groups, &study, &request);
    if (status == STATUS_OK)
        status = make_plan_request(run, &study, &plan_request);
    if (status == STATUS_OK && plan_request.n_differences == 0)
        status = deciding_require_demand(run, &request);
    request.n_resamples = 0; /* the fraction's interval is worked out another way here */
    if (status == STATUS_OK)
        status = make_plan(run, &study, &request, &plan_request);
    study_release(&study);
    return status;
}
