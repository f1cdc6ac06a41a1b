#include "commands/study.h"

#include "commands/deciding.h"
#include "output/answer.h"

static enum status answer_with(struct run *run, const struct study *study, const struct recommend_request *request,
                               const struct recommendation *answer)
{
    return study->options.json ? answer_recommend_json(&study->set, request, answer, &run->out)
                               : answer_recommend_table(&study->set, request, answer, study->us, &run->out);
}

enum status command_recommend(struct run *run)
{
    struct study study = {0};
    struct recommend_request request;
    struct recommendation answer = {0};
    enum status status = study_open_deciding(run, recommend_groups, &study, &request);
    request.sensitivity = true;
    if (status == STATUS_OK)
        status = deciding_require_demand(run, &request);
    if (status == STATUS_OK)
        status = deciding_search(run, &study, &request, &answer);
    if (status == STATUS_OK || status == STATUS_ANSWER_NO) {
        enum status shown = answer_with(run, &study, &request, &answer);
        status = study_deliver(run, &study, shown == STATUS_OK ? status : shown);
    }
    recommendation_release(&answer);
    study_release(&study);
    return status;
}
