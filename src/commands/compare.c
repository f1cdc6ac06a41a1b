#include "commands/study.h"

#include "analysis/comparison.h"
#include "commands/comparing.h"
#include "output/answer_compare.h"

#include <stddef.h>

#define AT(member) offsetof(struct study_options, member)

static const char *const law_words[] = {
    [LAW_LINEAR] = "linear", [LAW_QUADRATIC] = "quadratic", [LAW_EXPONENTIAL] = "exponential",
    [LAW_EXPONENTIAL_QUADRATIC] = "exponential-quadratic", [LAW_POWER] = "power", [LAW_AUTO] = "auto", [LAW_COUNT + 1] = NULL,
};

static const struct option_row compare_rows[] = {
    {"target", OPTION_TEXT_LIST, "NAME=VALUE", "compare the aggregates where their mean reaches this strength, such as compressive_strength=12MPa "
     "(repeatable)", AT(targets), 0, 0, NULL},
    {"law", OPTION_CHOICE, NULL, "shape of the curves that lead to the target (auto)", AT(law), 0, 0, law_words},
};

const struct option_group compare_groups[] = {
    {"Comparing", compare_rows, sizeof compare_rows / sizeof compare_rows[0]},
    {"Common options", common_rows, COMMON_ROWS},
    {NULL, NULL, 0},
};

static bool is_strength(const struct demand *demand)
{
    return demand->kind == DEMAND_PROPERTY && property_row(demand->property)->units == units_stress;
}

static void take_targets(struct run *run, const struct recommend_request *request, struct comparison_question *question)
{
    for (size_t i = 0; i < request->n_targets; i++) {
        const struct demand *demand = &request->targets[i];
        if (is_strength(demand) && question->n_targets < COMPARISON_TARGETS_MAX)
            question->targets[question->n_targets++] = (struct comparison_target){demand->property, demand->value};
        else
            problem_list_add(&run->problems, SEVERITY_NOTICE, STATUS_OK, NULL,
                             "aggregates are compared at equal strength only: the target for %s is passed over",
                             demand->kind == DEMAND_PROPERTY ? property_row(demand->property)->words : "mass or cost");
    }
}

static enum status answer(struct run *run, const struct study *study, const struct recommend_request *request)
{
    struct comparison_question question = {
        .selection = study->selection, .reference_mix = request->reference_mix,
        .confidence = study->options.confidence, .law = request->law,
    };
    struct mix_comparison comparison;
    struct problem problem = {0};
    take_targets(run, request, &question);
    enum status status = mix_comparison_make(&study->set, &question, &comparison, &problem);
    if (status != STATUS_OK) {
        problem_list_take(&run->problems, &problem);
        return status;
    }
    status = study->options.json ? answer_compare_json(&study->set, &comparison, &run->out)
                                 : answer_compare_table(&study->set, &comparison, study->us, &run->out);
    mix_comparison_release(&comparison);
    return study_deliver(run, study, status);
}

enum status command_compare(struct run *run)
{
    struct study study = {0};
    struct recommend_request request;
    enum status status = study_open_deciding(run, compare_groups, &study, &request);
    study_tell_selection(run, &study);
    if (status == STATUS_OK)
        status = answer(run, &study, &request);
    study_release(&study);
    return status;
}
