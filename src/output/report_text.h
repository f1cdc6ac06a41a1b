#ifndef OUTPUT_REPORT_TEXT_H
#define OUTPUT_REPORT_TEXT_H

#include "output/report.h"

/* All that the text of a report is made from. */
struct report_source {
    const struct specimen_set *set;
    const struct recommend_request *request;
    const struct recommendation *answer;
    const struct fit_list *fits;
    const struct report_settings *settings;
    const struct chart_list *charts;
};

#define REPORT_CANDIDATES 8 /* shown beside the answer; all stand among the numbers */

/* The whole report as Markdown: the source of all text. */
enum status report_text(const struct report_source *source, struct text *out);

/* report_answer.c: the sentence, what it means for the piece, the demands, the candidates. */
void report_add_answer(const struct report_source *source, struct text *out);
/* report_evidence.c: the charts behind it, and the quality of the data. */
void report_add_evidence(const struct report_source *source, struct text *out);
void report_add_quality(const struct report_source *source, struct text *out);
/* report_numbers.c: all tables that no reader needs for the answer, and every engineer wants. */
void report_add_numbers(const struct report_source *source, struct text *out);
/* report_ages.c: how far the young concrete had come, in a sentence; nothing without ages. */
void report_add_age_words(const struct report_source *source, struct text *out);

/* Adds the chart as a picture, or how to draw it; nothing when it is not in the list. */
void report_add_chart(const struct report_source *source, const char *name, struct text *out);

/* "Trial batches: report" unless the settings name one. */
const char *report_title(const struct report_settings *settings);

#endif
