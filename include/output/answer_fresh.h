#ifndef OUTPUT_ANSWER_FRESH_H
#define OUTPUT_ANSWER_FRESH_H

#include "base/text.h"
#include "specimen/fresh_list.h"

/* Tests of fresh concrete, one row a batch; as answer.h. */
enum status answer_fresh_table(const struct fresh_list *fresh, bool us, struct text *out);
enum status answer_fresh_markdown(const struct fresh_list *fresh, bool us, struct text *out);

#endif
