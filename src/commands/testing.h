#ifndef COMMANDS_TESTING_H
#define COMMANDS_TESTING_H

#include "commands/study.h"
#include "output/answer_quality.h"

/*
 * Measures the quality of testing of every property, for a settled selection.
 * means are those of its mixes where they are known already, else NULL. What cannot be measured is left out. Release with testing_release().
 * STATUS_MEMORY, said in run.
 */
enum status testing_measure(struct run *run, const struct study *study, const struct selection *selection,
                            const struct mix_summary_list *means, struct quality_list *list);
void testing_release(struct quality_list *list);

#endif
