#include "commands/beside.h"
#include "commands/drying.h"
#include "commands/testing.h"

#include "output/answer.h"
#include "output/answer_drying.h"
#include "output/answer_fresh.h"

/* A problem without a line means that a file could not be read at all, which is no answer. */
static bool unreadable(const struct problem_list *problems)
{
    for (size_t i = 0; i < problems->n_items; i++)
        if (problems->items[i].severity == SEVERITY_ERROR && problems->items[i].line == 0)
            return true;
    return problems->worst == STATUS_MEMORY || problems->worst == STATUS_IO;
}

static enum status answer_tables(const struct run *run, const struct study *study, const struct results_beside *beside,
                                 const struct quality_list *quality, struct text *out)
{
    enum status status = answer_check_table(&study->set, &run->problems, out);
    if (status == STATUS_OK)
        status = answer_quality_table(&study->set, quality, out);
    if (status == STATUS_OK && beside->fresh)
        status = answer_fresh_table(beside->fresh, study->us, out);
    if (status == STATUS_OK && beside->drying)
        status = answer_drying_table(beside->drying, study->us, out);
    return status;
}

static enum status answer(struct run *run, const struct study *study, const struct results_beside *beside,
                          const struct quality_list *quality)
{
    enum status status = study->options.json ? answer_check_json(&study->set, &run->problems, beside, quality, &run->out)
                                             : answer_tables(run, study, beside, quality, &run->out);
    enum status verdict = run->problems.n_errors ? STATUS_ANSWER_NO : STATUS_OK;
    if (status == STATUS_OK)
        problem_list_release(&run->problems); /* they are the answer, not talk beside it */
    return study_deliver(run, study, status == STATUS_OK ? verdict : status);
}

enum status command_check(struct run *run)
{
    struct study study = {0};
    struct drying drying = {0};
    struct beside beside = {0};
    struct quality_list quality = {0};
    struct recommend_request request;
    enum status status = study_settle_options(run, check_groups, &study);
    study.options.set_aside = NULL; /* check writes nothing */
    if (status == STATUS_OK) /* demands and a piece of the study file that other commands would stumble over */
        status = study_make_request(run, &study, &request);
    if (status == STATUS_OK) {
        status = study_read_files(run, &study);
        quality_tell_ranges(&study.quality, &run->problems);
        if (status == STATUS_OK && !study.set.has_batch_column)
            problem_list_add(&run->problems, SEVERITY_NOTICE, STATUS_OK, NULL,
                             "no batch is told: each specimen counts as its own batch, which makes every answer look surer than it is; "
                             "add a column 'batch' that says which specimens come from one mixing");
        if (status == STATUS_OK)
            status = study_select(run, &study);
        if (status == STATUS_OK)
            status = testing_measure(run, &study, &study.selection, NULL, &quality);
        enum status weighed = drying_open(run, &study, &drying);
        if (status == STATUS_OK)
            status = weighed;
        enum status fresh = beside_open(run, &study, &beside);
        if (status == STATUS_OK)
            status = fresh;
        const struct results_beside told = {.fresh = beside.fresh, .drying = drying.told};
        if (!unreadable(&run->problems))
            status = answer(run, &study, &told, &quality);
    }
    testing_release(&quality);
    beside_release(&beside);
    drying_release(&drying);
    study_release(&study);
    return status;
}
