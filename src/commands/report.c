#include "commands/beside.h"
#include "commands/fitting.h"
#include "commands/showing.h"
#include "output/answer_files.h"
#include "output/print.h"
#include "output/report.h"

#include <math.h>

static enum status write_report(struct run *run, const struct study *study, const struct recommend_request *request,
                                const struct showing *showing, const struct fit_list *fits, const struct beside *beside)
{
    struct problem problem = {0};
    struct report_settings settings = {
        .folder = study->options.output ? study->options.output : "report",
        .title = study->options.title,
        .us = study->us,
        .draw = true,
        .confidence = study->options.confidence,
        .problems = &run->problems,
        .set_aside_path = study->options.set_aside,
        .classes = beside->classes,
        .fresh = beside->fresh,
        .trials = &beside->trials,
        .growth = &showing->growth,
        .quality = &showing->quality,
        .drying = showing->drying.told,
        .ages = &showing->ages,
    };
    enum status status = report_write(&study->set, request, &showing->answer, fits, &settings, &problem);
    if (status == STATUS_TOOL) {
        /* The report stands without its pictures; its text says so too. */
        problem_list_add(&run->problems, SEVERITY_NOTICE, STATUS_TOOL, NULL, "%s", problem.text);
        status = STATUS_OK;
    }
    if (status != STATUS_OK)
        problem_list_take(&run->problems, &problem);
    return status;
}

/* The answer in one sentence and where the rest is; for programs what summary.json holds. */
static enum status say_where(struct run *run, const struct study *study, const struct recommend_request *request,
                      const struct recommendation *answer)
{
    const char *folder = study->options.output ? study->options.output : "report";
    char sentence[2048];
    enum status status = recommendation_sentence(&study->set, request, answer, study->us, sentence, sizeof sentence);
    if (status == STATUS_OK && study->options.json)
        return answer_report_json(sentence, answer->found, folder, study->options.set_aside && study->set.n_set_aside > 0, &run->out);
    print_sentence(sentence, &run->out);
    text_add(&run->out, "report: ");
    text_add_printable(&run->out, folder);
    text_add(&run->out, "/report.html\n");
    return status;
}

static enum status make_report(struct run *run, const struct study *study, const struct recommend_request *request)
{
    struct showing showing;
    struct fit_list fits = {0};
    struct beside beside = {0};
    enum status verdict = showing_open(run, study, request, &showing);
    enum status status = verdict == STATUS_ANSWER_NO ? STATUS_OK : verdict;
    if (status == STATUS_OK)
        status = fitting_by_aggregate(run, study, NULL, 0, PROPERTY_COUNT, &fits);
    if (status == STATUS_OK)
        status = beside_open(run, study, &beside);
    if (status == STATUS_OK)
        status = beside_classify(run, study, &showing.answer.selection, &showing.answer.mixes, &beside);
    if (status == STATUS_OK)
        status = beside_count_trials(run, study, &beside);
    if (status == STATUS_OK)
        status = write_report(run, study, request, &showing, &fits, &beside);
    if (status == STATUS_OK)
        status = say_where(run, study, request, &showing.answer);
    beside_release(&beside);
    fitting_release(&fits);
    showing_release(&showing);
    return status == STATUS_OK ? verdict : status;
}

enum status command_report(struct run *run)
{
    struct study study = {.fingerprint = true};
    struct recommend_request request;
    enum status status = study_open_deciding(run, report_groups, &study, &request);
    request.sensitivity = true;
    if (status == STATUS_OK)
        status = deciding_require_demand(run, &request);
    if (status == STATUS_OK)
        status = make_report(run, &study, &request);
    study_release(&study);
    return status;
}
