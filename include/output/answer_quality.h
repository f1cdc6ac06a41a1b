#ifndef OUTPUT_ANSWER_QUALITY_H
#define OUTPUT_ANSWER_QUALITY_H

#include "analysis/quality.h"
#include "base/text.h"

/* Quality of testing, one item a property that was measured. */
struct quality_list { struct quality *items; size_t n_items; };

/* Appends a section "Quality of testing"; nothing when no property has companions. As answer.h. */
enum status answer_quality_table(const struct specimen_set *set, const struct quality_list *list, struct text *out);
/* The same as Markdown under a heading of level 3, in words first. list may be NULL. */
enum status answer_quality_markdown(const struct specimen_set *set, const struct quality_list *list, struct text *out);

#endif
