#ifndef OUTPUT_ANSWER_DRYING_H
#define OUTPUT_ANSWER_DRYING_H

#include "analysis/drying_study.h"
#include "base/text.h"

/* Weighings, constant mass and equilibrium mass as a table; as answer.h. */
enum status answer_drying_table(const struct drying_study *study, bool us, struct text *out);

#endif
