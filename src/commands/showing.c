#include "commands/showing.h"

#include "commands/testing.h"

enum status showing_open(struct run *run, const struct study *study, const struct recommend_request *request, struct showing *showing)
{
    *showing = (struct showing){0};
    enum status verdict = deciding_search(run, study, request, &showing->answer);
    enum status status = verdict == STATUS_ANSWER_NO ? STATUS_OK : verdict;
    if (status == STATUS_OK)
        status = testing_measure(run, study, &showing->answer.selection, &showing->quality);
    if (status == STATUS_OK)
        status = drying_open(run, study, &showing->drying);
    return status == STATUS_OK ? verdict : status;
}

void showing_release(struct showing *showing)
{
    drying_release(&showing->drying);
    testing_release(&showing->quality);
    recommendation_release(&showing->answer);
}
