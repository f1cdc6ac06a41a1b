#ifndef OUTPUT_ANSWER_BATCH_H
#define OUTPUT_ANSWER_BATCH_H

#include "advise/batch_sheet.h"
#include "base/text.h"

/*
 * A batch sheet as text; as answer.h. headline: a sentence to stand above it
 * (the recommendation that it follows), or NULL. Markdown and HTML are one page
 * to print, with boxes to tick and lines to write on.
 */
enum status answer_batch_table(const struct batch_sheet *sheet, const char *headline, bool us, struct text *out);
enum status answer_batch_markdown(const struct batch_sheet *sheet, const char *headline, bool us, struct text *out);
enum status answer_batch_html(const struct batch_sheet *sheet, const char *headline, bool us, struct text *out);
enum status answer_batch_json(const struct batch_sheet *sheet, const char *headline, struct text *out);

#endif
