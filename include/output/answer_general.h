#ifndef OUTPUT_ANSWER_GENERAL_H
#define OUTPUT_ANSWER_GENERAL_H

#include "analysis/general_fit.h"
#include "base/text.h"

/* A general fit as text; as answer.h. */
enum status answer_general_table(const struct general_fit *fit, double confidence, struct text *out); /* confidence: that of the question */
enum status answer_general_json(const struct general_fit *fit, struct text *out);

#endif
