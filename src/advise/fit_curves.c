#include "advise/search.h"

#include "base/memory.h"
#include "base/tasks.h"

/* One curve set to be fitted: a property of an aggregate. */
struct fit_task {
    uint32_t aggregate;
    enum property property;
    struct curve_set curves;
    enum status status;
    struct problem problem;
};

struct fit_tasks {
    const struct search *search;
    struct fit_task *tasks;
};

/* Each task has its own room, so how they are shared out does not show in the curves. */
static void run_task(void *context, size_t i)
{
    const struct fit_tasks *tasks = context;
    const struct search *search = tasks->search;
    struct fit_task *task = &tasks->tasks[i];
    /* All laws are fitted, so that the answer can tell what the others say. */
    task->status = curve_set_choose(search->set, &search->answer->selection, &search->sums, task->aggregate, task->property,
                                    search->request->law, &task->curves, &task->problem);
}

static bool curve_useful(const struct search *search, enum property property)
{
    return search->set->value[property]
        && (property == search->answer->strength || recommendation_uses(search->request, search->answer, property));
}

static size_t aggregate_mixes(const struct specimen_set *set, uint32_t aggregate)
{
    size_t n = 0;
    for (size_t i = 0; i < set->n_mixes; i++)
        n += set->mixes[i].aggregate == aggregate;
    return n;
}

/* Takes what a task found into the answer. */
static enum status take_curves(const struct search *search, struct fit_task *task, struct problem *problem)
{
    struct recommendation *answer = search->answer;
    if (task->status == STATUS_OK) {
        answer->curves[answer->n_curves++] = task->curves;
        task->curves = (struct curve_set){ .chosen = LAW_COUNT };
        return STATUS_OK;
    }
    *problem = task->problem;
    if (task->status == STATUS_MEMORY || task->status == STATUS_INPUT)
        return task->status;
    /* An aggregate cast once has no curve to miss. */
    if (aggregate_mixes(search->set, task->aggregate) > 1)
        problem_list_add(&answer->notices, SEVERITY_NOTICE, STATUS_OK, NULL, "%s of '%s' has no curve, so only its tested mixes are compared: %s",
                         property_row(task->property)->words, search->set->aggregates[task->aggregate], problem->text);
    return STATUS_OK;
}

static size_t list_tasks(const struct search *search, struct fit_task *tasks)
{
    size_t n = 0;
    for (uint32_t aggregate = 0; aggregate < search->set->n_aggregates; aggregate++)
        for (enum property property = 0; property < PROPERTY_COUNT; property++)
            if (search->aggregate_wanted[aggregate] && curve_useful(search, property))
                tasks[n++] = (struct fit_task){ .aggregate = aggregate, .property = property, .curves.chosen = LAW_COUNT };
    return n;
}

enum status fit_curves(const struct search *search, struct problem *problem)
{
    struct recommendation *answer = search->answer;
    size_t most = search->set->n_aggregates * PROPERTY_COUNT;
    if (!search->set->has_fraction)
        return STATUS_OK;
    struct fit_task *tasks = memory_new(most, sizeof *tasks);
    answer->curves = memory_new(most, sizeof *answer->curves);
    enum status status = tasks && answer->curves ? STATUS_OK : STATUS_MEMORY;
    if (status == STATUS_MEMORY)
        problem_set(problem, status, NULL, "no memory left for the curves of %zu aggregates", search->set->n_aggregates);
    size_t n_tasks = status == STATUS_OK ? list_tasks(search, tasks) : 0;
    struct fit_tasks shared = { search, tasks };
    tasks_run(n_tasks, search->set->n >= ROWS_WORTH_HELP, run_task, &shared);
    for (size_t i = 0; i < n_tasks; i++) {
        if (status == STATUS_OK)
            status = take_curves(search, &tasks[i], problem);
        curve_set_release(&tasks[i].curves);
    }
    memory_free(tasks);
    return status;
}
