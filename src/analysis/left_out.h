#ifndef ANALYSIS_SRC_LEFT_OUT_H
#define ANALYSIS_SRC_LEFT_OUT_H

#include "analysis/sample.h"

/*
 * Names in notices the mixes (of the aggregates that are asked for) that have
 * results, but none of the age, moisture state or kind of specimen that a
 * settled selection takes, with what they have instead. STATUS_MEMORY.
 */
enum status left_out_tell(const struct specimen_set *set, const struct selection *selection, struct problem_list *problems);

#endif
