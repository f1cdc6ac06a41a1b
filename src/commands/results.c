#include "commands/drying.h"

#include "output/answer.h"
#include "output/answer_drying.h"

static enum status answer(struct run *run, const struct study *study, const struct drying_study *drying)
{
    if (study->options.json)
        return answer_results_json(&study->set, drying, &run->out);
    if (study->options.csv)
        return answer_results_csv(&study->set, study->us, &run->out);
    enum status status = answer_results_table(&study->set, study->us, &run->out);
    return status == STATUS_OK && drying ? answer_drying_table(drying, study->us, &run->out) : status;
}

static enum status check_forms(struct run *run, const struct study_options *options)
{
    if (options->json && options->csv)
        usage_error(run, "--json and --csv are two forms of one answer; choose one");
    if (options->csv && options->weighings)
        usage_error(run, "--csv has one row a specimen and no place for the drying; use --json, or leave --weighings out");
    return run->problems.n_errors ? STATUS_USAGE : STATUS_OK;
}

enum status command_results(struct run *run)
{
    struct study study = {0};
    struct drying drying = {0};
    enum status status = study_settle_options(run, results_groups, &study);
    if (status == STATUS_OK)
        status = check_forms(run, &study.options);
    if (status == STATUS_OK)
        status = study_read_files(run, &study);
    if (status == STATUS_OK)
        status = drying_open(run, &study, &drying);
    if (status == STATUS_OK)
        status = study_keep_selected(run, &study);
    if (status == STATUS_OK)
        status = study_deliver(run, &study, answer(run, &study, drying.told));
    drying_release(&drying);
    study_release(&study);
    return status;
}
