#include "commands/study.h"

#include "output/answer.h"

static enum status answer(struct run *run, const struct study *study)
{
    if (study->options.json)
        return answer_results_json(&study->set, &run->out);
    if (study->options.csv)
        return answer_results_csv(&study->set, study->us, &run->out);
    return answer_results_table(&study->set, study->us, &run->out);
}

enum status command_results(struct run *run)
{
    struct study study = {0};
    enum status status = study_settle_options(run, results_groups, &study);
    if (status == STATUS_OK && study.options.json && study.options.csv) {
        usage_error(run, "--json and --csv are two forms of one answer; choose one");
        status = STATUS_USAGE;
    }
    if (status == STATUS_OK)
        status = study_read_files(run, &study);
    if (status == STATUS_OK)
        status = study_deliver(run, &study, answer(run, &study));
    study_release(&study);
    return status;
}
