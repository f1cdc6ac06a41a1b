#include "analysis/comparison_parts.h"

#include "base/memory.h"
#include "base/tasks.h"

#include <math.h>
#include <string.h>

#define MIXES_WORTH_HELP 8 /* from here on the quantiles of a family take many times what a thread costs */

static bool has_any_result(const struct mix_summary *summary)
{
    for (enum property property = 0; property < PROPERTY_COUNT; property++)
        if (summary->property[property].available)
            return true;
    return false;
}

static enum status choose_mixes(const struct specimen_set *set, const struct comparison_question *question,
                                struct mix_comparison *answer, struct problem *problem)
{
    size_t n = 0;
    answer->shown = memory_new(set->n_mixes, sizeof *answer->shown);
    if (!answer->shown)
        return problem_set(problem, STATUS_MEMORY, NULL, "no memory left for %zu mixes", set->n_mixes);
    for (uint32_t mix = 0; mix < set->n_mixes; mix++) {
        answer->shown[mix] = has_any_result(&answer->means.items[mix])
            && (mix == answer->reference || selection_wants(&question->selection, set->aggregates[set->mixes[mix].aggregate]));
        n += answer->shown[mix] ? 1 : 0;
    }
    if (n >= 2 || answer->trials.n_items >= 2)
        return STATUS_OK;
    return problem_set(problem, STATUS_TOO_FEW, NULL, "comparing needs at least two mixes with results of one age and state, "
                       "there %s %zu", n == 1 ? "is" : "are", n);
}

static bool batches_told(const struct specimen_set *set)
{
    for (size_t i = 0; i < set->n; i++)
        if (!(set->flags[i] & FLAG_NO_BATCH))
            return true;
    return false;
}

/* What is compared of one property, apart from all others. */
struct comparison_tasks {
    const struct specimen_set *set;
    const struct comparison_question *question;
    struct mix_comparison *answer;
    struct { enum status status; struct problem problem; } done[PROPERTY_COUNT];
};

static void run_task(void *context, size_t i)
{
    struct comparison_tasks *tasks = context;
    enum property property = (enum property)i;
    struct problem *problem = &tasks->done[i].problem;
    enum status status = compare_property(tasks->set, tasks->question, tasks->answer, property, problem);
    if (status == STATUS_OK)
        status = compare_lines(tasks->set, tasks->question, tasks->answer, property, problem);
    tasks->done[i].status = status;
}

static enum status compare_all(const struct specimen_set *set, const struct comparison_question *question,
                               struct mix_comparison *answer, struct problem *problem)
{
    struct comparison_tasks tasks = { .set = set, .question = question, .answer = answer };
    enum status status = STATUS_OK;
    tasks_run(PROPERTY_COUNT, set->n_mixes >= MIXES_WORTH_HELP, run_task, &tasks);
    for (size_t i = 0; status == STATUS_OK && i < PROPERTY_COUNT; i++) {
        status = tasks.done[i].status;
        *problem = tasks.done[i].problem;
    }
    for (size_t i = 0; status == STATUS_OK && i < question->n_targets; i++, answer->n_targets++)
        status = compare_at_target(set, question, answer, &question->targets[i], &answer->targets[i], problem);
    return status;
}

enum status mix_comparison_make(const struct specimen_set *set, const struct comparison_question *question,
                                struct mix_comparison *answer, struct problem *problem)
{
    memset(answer, 0, sizeof *answer);
    answer->selection = question->selection;
    answer->confidence = question->confidence;
    answer->batches_told = batches_told(set);
    enum status status = mix_summary_list_make(set, &question->selection, question->reference_mix, question->confidence,
                                               &answer->means, problem);
    if (status != STATUS_OK)
        return status;
    answer->reference = mix_reference(set, &answer->means, question->reference_mix);
    status = mix_trials_list_make(set, &question->selection, question->confidence, &answer->trials, problem);
    if (status == STATUS_OK)
        status = choose_mixes(set, question, answer, problem);
    if (status == STATUS_OK)
        status = compare_all(set, question, answer, problem);
    if (status != STATUS_OK)
        mix_comparison_release(answer);
    return status;
}

static void release_target(struct target_comparison *target)
{
    memory_free(target->aggregates);
    memory_free(target->pairs);
}

void mix_comparison_release(struct mix_comparison *answer)
{
    for (enum property property = 0; property < PROPERTY_COUNT; property++) {
        memory_free(answer->property[property].pairs);
        memory_free(answer->property[property].against);
        memory_free(answer->lines[property].aggregates);
        memory_free(answer->lines[property].pairs);
        memory_free(answer->lines[property].apart);
        ancova_release(&answer->lines[property].lines);
    }
    for (size_t i = 0; i < COMPARISON_TARGETS_MAX; i++)
        release_target(&answer->targets[i]);
    memory_free(answer->shown);
    mix_trials_list_release(&answer->trials);
    mix_summary_list_release(&answer->means);
    memset(answer, 0, sizeof *answer);
}
