#ifndef COMMANDS_BESIDE_H
#define COMMANDS_BESIDE_H

#include "analysis/mix_class.h"
#include "analysis/trials.h"
#include "commands/study.h"
#include "specimen/fresh_list.h"

/* What stands beside the specimens in an answer. Release with beside_release(). */
struct beside {
    struct fresh_list fresh_list;
    struct mix_class_list class_list;
    struct mix_trials_list trials;        /* pass or fail; may be empty */
    const struct fresh_list *fresh;       /* NULL without --fresh */
    const struct mix_class_list *classes; /* NULL when there is nothing to tell */
};

/* Reads the tests of fresh concrete that the options name, if any, and finds their batches. Status of the worst problem. */
enum status beside_open(struct run *run, const struct study *study, struct beside *beside);

/*
 * Dry densities and classes of the mixes, by a settled selection and the means
 * that follow from it. A class that cannot be had is a notice, not a failure. STATUS_MEMORY.
 */
enum status beside_classify(struct run *run, const struct study *study, const struct selection *selection,
                            const struct mix_summary_list *means, struct beside *beside);

/* The same for a command that settled nothing and needs no means of its own. */
enum status beside_classify_alone(struct run *run, const struct study *study, struct beside *beside);

/* Pass or fail trials of the mixes, whatever their age and state. */
enum status beside_count_trials(struct run *run, const struct study *study, struct beside *beside);
void beside_release(struct beside *beside);

#endif
