#ifndef OUTPUT_ANSWER_FILES_H
#define OUTPUT_ANSWER_FILES_H

#include "output/chart.h"

/*
 * What chart and report wrote, as one JSON object each (docs/json.md): the
 * files by their paths. STATUS_MEMORY.
 */
enum status answer_chart_json(const struct chart_list *charts, unsigned formats, const char *folder, struct text *out);

/* sentence: the recommendation; found: whether there is one; set_aside: whether rows were. */
enum status answer_report_json(const char *sentence, bool found, const char *folder, bool set_aside, struct text *out);

#endif
