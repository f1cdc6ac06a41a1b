#ifndef COMMANDS_DECIDING_H
#define COMMANDS_DECIDING_H

#include "commands/study.h"

/* A recommendation without any target or limit would name the lightest mix whatever it bears. STATUS_USAGE. */
enum status deciding_require_demand(struct run *run, const struct recommend_request *request);

/* recommend_search with its notices and problem put into run. Release answer with recommendation_release(). */
enum status deciding_search(struct run *run, const struct study *study, const struct recommend_request *request,
                            struct recommendation *answer);

#endif
