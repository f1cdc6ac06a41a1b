#ifndef OUTPUT_ESCAPE_H
#define OUTPUT_ESCAPE_H

#include "base/text.h"

/*
 * One escape function per output format, applied where text leaves the
 * program and nowhere else. All but CSV show controls, marks that turn the
 * writing direction and broken UTF-8 as U+FFFD; CSV carries data and alters
 * nothing but what a spreadsheet would run.
 */

/* As an SVG, PNG or PDF label: a gnuplot string with its quotes. Proven forms only: docs/charts.md. */
void escape_gnuplot(struct text *out, const char *string);

/* As escape_gnuplot, for the label of a tic, which gnuplot also takes for a number format. */
void escape_gnuplot_tic(struct text *out, const char *string);

/* Inside a line of Markdown or in a table cell: every sign that Markdown reads stands for itself. */
void escape_markdown(struct text *out, const char *string);

/* The same where a line, or the text of a list item, begins: no heading, list or code block either. */
void escape_markdown_line(struct text *out, const char *string);

/* Inside HTML text or a quoted attribute. */
void escape_html(struct text *out, const char *string);

/*
 * A CSV cell holding text (RFC 4180). A first sign that spreadsheet programs
 * take for a formula gets "'" in front (CWE-1236); never use it for numbers.
 */
void escape_csv(struct text *out, const char *string);

/* For JSON: the bytes as they are, broken UTF-8 as U+FFFD. */
void escape_utf8(struct text *out, const char *string);

/* Printable text of at most `limit` characters, the last one "…" when it was cut. */
void escape_cut(struct text *out, const char *string, size_t limit);

/* The same with the "…" in the middle, since names differ at their ends: "mix of the fi…ng no 12". */
void escape_cut_middle(struct text *out, const char *string, size_t limit);

/* Characters (code points) in valid UTF-8. */
size_t escape_width(const char *string);

#endif
