#ifndef OUTPUT_ANSWER_COMPARE_H
#define OUTPUT_ANSWER_COMPARE_H

#include "analysis/comparison.h"
#include "base/text.h"

/* A comparison as text; as answer.h. The table shows neighbours within an aggregate, the JSON all pairs. */
enum status answer_compare_table(const struct specimen_set *set, const struct mix_comparison *answer, bool us, struct text *out);
enum status answer_compare_json(const struct specimen_set *set, const struct mix_comparison *answer, struct text *out);

#endif
