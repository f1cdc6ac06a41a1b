#include "commands/beside.h"
#include "commands/drying.h"

#include "output/answer.h"
#include "output/answer_classes.h"
#include "output/answer_drying.h"
#include "output/answer_fresh.h"
#include "output/answer_trials.h"

/* The specimens, then what is told of some of them, of their mixes and of their batches. */
static enum status answer_tables(const struct study *study, const struct results_beside *beside, struct text *out)
{
    enum status status = answer_results_table(&study->set, study->us, out);
    answer_results_flags(&study->set, out);
    if (status == STATUS_OK)
        status = answer_soaked_table(&study->set, out);
    if (status == STATUS_OK && beside->classes)
        status = answer_classes_table(&study->set, beside->classes, study->us, out);
    if (status == STATUS_OK && beside->fresh)
        status = answer_fresh_table(beside->fresh, study->us, out);
    if (status == STATUS_OK && beside->drying)
        status = answer_drying_table(beside->drying, study->us, out);
    if (status == STATUS_OK)
        status = answer_trials_table(&study->set, beside->trials, out);
    return status;
}

static enum status answer(struct run *run, const struct study *study, const struct results_beside *beside)
{
    if (study->options.json)
        return answer_results_json(&study->set, beside, &run->out);
    if (study->options.csv)
        return answer_results_csv(&study->set, study->us, &run->out);
    return answer_tables(study, beside, &run->out);
}

static enum status check_forms(struct run *run, const struct study_options *options)
{
    if (options->json && options->csv)
        usage_error(run, "--json and --csv are two forms of one answer; choose one");
    if (options->csv && options->weighings)
        usage_error(run, "--csv has one row a specimen and no place for the drying; use --json, or leave --weighings out");
    if (options->csv && options->fresh)
        usage_error(run, "--csv has one row a specimen and no place for the fresh concrete; use --json, or leave --fresh out");
    return run->problems.n_errors ? STATUS_USAGE : STATUS_OK;
}

static enum status make_results(struct run *run, struct study *study, struct beside *beside, struct drying *drying)
{
    enum status status = study_read_files(run, study);
    if (status == STATUS_OK)
        status = drying_open(run, study, drying);
    if (status == STATUS_OK)
        status = beside_open(run, study, beside);
    if (status == STATUS_OK)
        status = study_keep_selected(run, study);
    if (status == STATUS_OK && !study->options.csv)
        status = beside_classify_alone(run, study, beside);
    if (status == STATUS_OK)
        status = beside_count_trials(run, study, beside);
    if (status != STATUS_OK)
        return status;
    const struct results_beside told = {beside->classes, beside->fresh, drying->told, &beside->trials};
    return study_deliver(run, study, answer(run, study, &told));
}

enum status command_results(struct run *run)
{
    struct study study = {0};
    struct drying drying = {0};
    struct beside beside = {0};
    enum status status = study_settle_options(run, results_groups, &study);
    if (status == STATUS_OK)
        status = check_forms(run, &study.options);
    if (status == STATUS_OK)
        status = make_results(run, &study, &beside, &drying);
    beside_release(&beside);
    drying_release(&drying);
    study_release(&study);
    return status;
}
