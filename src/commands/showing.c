#include "commands/showing.h"

#include "commands/fitting.h"
#include "commands/testing.h"

static enum status follow_ages(struct run *run, const struct study *study, struct showing *showing)
{
    struct problem problem = {0};
    const struct recommendation *answer = &showing->answer;
    enum status status = age_study_make(&study->set, &answer->selection, answer->strength, &showing->ages, &problem);
    if (status != STATUS_OK)
        problem_list_take(&run->problems, &problem);
    else
        status = fitting_ages_beside(run, study, &answer->selection, &showing->growth);
    return status;
}

enum status showing_open(struct run *run, const struct study *study, const struct recommend_request *request, struct showing *showing)
{
    *showing = (struct showing){0};
    enum status verdict = deciding_search(run, study, request, &showing->answer);
    enum status status = verdict == STATUS_ANSWER_NO ? STATUS_OK : verdict;
    if (status == STATUS_OK)
        status = testing_measure(run, study, &showing->answer.selection, &showing->answer.mixes, &showing->quality);
    if (status == STATUS_OK)
        status = follow_ages(run, study, showing);
    if (status == STATUS_OK)
        status = drying_open(run, study, &showing->drying);
    return status == STATUS_OK ? verdict : status;
}

void showing_release(struct showing *showing)
{
    drying_release(&showing->drying);
    age_study_release(&showing->ages);
    growth_study_release(&showing->growth);
    testing_release(&showing->quality);
    recommendation_release(&showing->answer);
}
