#include "commands/deciding.h"

enum status deciding_require_demand(struct run *run, const struct recommend_request *request)
{
    if (request->n_targets + request->n_limits > 0)
        return STATUS_OK;
    usage_error(run, "say what the recipe must reach, such as --target compressive_strength=10MPa, "
                     "or must not pass, such as --limit density=1500kg/m3");
    return STATUS_USAGE;
}

enum status deciding_search(struct run *run, const struct study *study, const struct recommend_request *request,
                            struct recommendation *answer)
{
    struct problem problem = {0};
    enum status status = recommend_search(&study->set, request, answer, &problem);
    problem_list_pass(&answer->notices, &run->problems);
    if (status != STATUS_OK && status != STATUS_ANSWER_NO)
        problem_list_take(&run->problems, &problem);
    return status;
}
