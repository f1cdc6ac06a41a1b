#include "commands/beside.h"

#include "advise/recipe_density.h"
#include "base/memory.h"

enum status beside_open(struct run *run, const struct study *study, struct beside *beside)
{
    const char *path = study->options.fresh;
    if (path == NULL)
        return STATUS_OK;
    enum status status = fresh_list_read(path, &beside->fresh_list, &run->problems);
    if (status == STATUS_OK)
        status = fresh_list_match(&beside->fresh_list, &study->set, &run->problems);
    if (status == STATUS_OK)
        beside->fresh = &beside->fresh_list;
    return status;
}

/* Only memory ends the run: the specimens' own results stand without classes. */
static enum status tell_failure(struct run *run, const struct problem *problem)
{
    enum severity severity = problem->status == STATUS_MEMORY ? SEVERITY_ERROR : SEVERITY_NOTICE;
    problem_list_add(&run->problems, severity, problem->status, NULL, "no classes of the mixes: %s", problem->text);
    return severity == SEVERITY_ERROR ? STATUS_MEMORY : STATUS_OK;
}

enum status beside_classify(struct run *run, const struct study *study, const struct selection *selection,
                            const struct mix_summary_list *means, struct beside *beside)
{
    struct problem problem = {0};
    struct calculated_density *calculated = memory_new(study->set.n_mixes, sizeof *calculated);
    enum status status = calculated ? STATUS_OK : problem_set(&problem, STATUS_MEMORY, NULL, "no memory left");
    if (status == STATUS_OK)
        status = recipe_densities_find(&study->mixes, &study->materials, beside->fresh, &study->set, calculated, &run->problems);
    else
        (void)tell_failure(run, &problem);
    if (status == STATUS_OK && mix_class_list_make(&study->set, selection, means, calculated, &beside->class_list, &problem) != STATUS_OK)
        status = tell_failure(run, &problem);
    if (status == STATUS_OK && mix_class_list_tells(&beside->class_list))
        beside->classes = &beside->class_list;
    memory_free(calculated);
    return status;
}

enum status beside_classify_alone(struct run *run, const struct study *study, struct beside *beside)
{
    struct selection selection = study->selection;
    struct problem_list unheard = {0}; /* ages and states stand in the answer */
    struct mix_summary_list means;
    struct problem problem = {0};
    selection.kinds_together = true; /* classes tell the shapes of each mix */
    enum status status = selection_settle(&study->set, &selection, &unheard);
    if (status != STATUS_OK)
        problem_list_pass(&unheard, &run->problems);
    problem_list_release(&unheard);
    if (status != STATUS_OK)
        return status;
    if (mix_summary_list_make(&study->set, &selection, NULL, study->options.confidence, &means, &problem) != STATUS_OK)
        return tell_failure(run, &problem);
    status = beside_classify(run, study, &selection, &means, beside);
    mix_summary_list_release(&means);
    return status;
}

enum status beside_count_trials(struct run *run, const struct study *study, struct beside *beside)
{
    struct problem problem = {0};
    enum status status = mix_trials_list_make(&study->set, &study->selection, study->options.confidence, &beside->trials, &problem);
    if (status != STATUS_OK)
        problem_list_take(&run->problems, &problem);
    return status;
}

void beside_release(struct beside *beside)
{
    mix_trials_list_release(&beside->trials);
    fresh_list_release(&beside->fresh_list);
    mix_class_list_release(&beside->class_list);
    *beside = (struct beside){0};
}
