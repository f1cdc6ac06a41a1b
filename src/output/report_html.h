#ifndef OUTPUT_REPORT_HTML_H
#define OUTPUT_REPORT_HTML_H

#include "base/problem.h"
#include "base/text.h"

/*
 * Turns the report's Markdown into one self-contained page: style inside,
 * pictures of `folder`/charts embedded as data, tables that scroll sideways on
 * a narrow screen, headings that can be linked to. Raw HTML in the text stays text.
 */
enum status report_html(const char *markdown, const char *title, const char *folder, struct text *out, struct problem *problem);

#endif
