#ifndef COMMANDS_SHOWING_H
#define COMMANDS_SHOWING_H

#include "analysis/age_study.h"
#include "analysis/growth_study.h"
#include "commands/deciding.h"
#include "commands/drying.h"
#include "output/answer_quality.h"

/* What charts and the report are made from. Release with showing_release(). */
struct showing {
    struct recommendation answer;
    struct quality_list quality;
    struct drying drying;
    struct age_study ages;
    struct growth_study growth;
};

/*
 * Searches, measures the quality of testing, follows the strength with age and reads the weighings. The
 * status of the search when all went well (STATUS_ANSWER_NO: nothing meets the
 * demands), else that of what failed, said in run.
 */
enum status showing_open(struct run *run, const struct study *study, const struct recommend_request *request, struct showing *showing);
void showing_release(struct showing *showing);

#endif
