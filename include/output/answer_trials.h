#ifndef OUTPUT_ANSWER_TRIALS_H
#define OUTPUT_ANSWER_TRIALS_H

#include "analysis/trials.h"
#include "base/text.h"

/*
 * Pass-or-fail trials by mix, for a terminal or as Markdown under a heading of
 * level 3; as answer.h. Nothing when there are none.
 */
enum status answer_trials_table(const struct specimen_set *set, const struct mix_trials_list *trials, struct text *out);
enum status answer_trials_markdown(const struct specimen_set *set, const struct mix_trials_list *trials, struct text *out);

#endif
