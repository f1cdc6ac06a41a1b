#ifndef OUTPUT_ANSWER_AGE_H
#define OUTPUT_ANSWER_AGE_H

#include "analysis/growth_study.h"
#include "base/text.h"

/*
 * Curves over age and mixes at one age: for a terminal, as Markdown under a
 * heading of level 3, or as the object of `fit --json`. As answer.h.
 */
enum status answer_age_table(const struct specimen_set *set, const struct growth_study *study, bool us, struct text *out);
/* Nothing without a curve. */
enum status answer_age_markdown(const struct specimen_set *set, const struct growth_study *study, bool us, struct text *out);
enum status answer_age_json(const struct specimen_set *set, const struct growth_study *study, struct text *out);

#endif
