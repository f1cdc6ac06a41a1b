#ifndef OUTPUT_ANSWER_DRYING_H
#define OUTPUT_ANSWER_DRYING_H

#include "analysis/drying_study.h"
#include "base/text.h"

/* Weighings, constant mass and equilibrium mass as a table; as answer.h. */
enum status answer_drying_table(const struct drying_study *study, bool us, struct text *out);
/* The same as Markdown under a heading of level 3. */
enum status answer_drying_markdown(const struct drying_study *study, bool us, struct text *out);

#endif
