#ifndef OUTPUT_ANSWER_PLAN_H
#define OUTPUT_ANSWER_PLAN_H

#include "advise/plan.h"
#include "base/text.h"

/* All that a plan was made from and came to. */
struct plan_answer {
    const struct specimen_set *set;
    const struct recommend_request *request;
    const struct recommendation *answer;
    const struct plan_request *plan_request;
    const struct plan *plan;
};

/* A plan as text; as answer.h. */
enum status answer_plan_table(const struct plan_answer *source, bool us, struct text *out);
enum status answer_plan_json(const struct plan_answer *source, struct text *out);

#endif
