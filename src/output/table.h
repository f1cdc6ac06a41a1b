#ifndef OUTPUT_TABLE_H
#define OUTPUT_TABLE_H

#include "base/text.h"

/*
 * A table that is filled once and shown on a terminal or in Markdown. Cells
 * hold plain text as it came; each way of showing escapes it. A table owns its
 * cells; release with table_release(). A failed allocation shows as STATUS_MEMORY
 * through out->failed when the table is shown.
 */
#define TABLE_COLUMNS 12
struct table {
    size_t n_columns, n_cells, capacity;
    const char *headings[TABLE_COLUMNS];
    bool right[TABLE_COLUMNS];   /* numbers stand right */
    char **cells;                /* row by row */
    bool failed;
};

/* Adds a column. heading must outlive the table. Columns come before cells. */
void table_column(struct table *table, const char *heading, bool right);

/* Adds the next cell, in row order. */
void table_cell(struct table *table, const char *string);
void table_cellf(struct table *table, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* Columns aligned with blanks, texts cut at 40 characters, a rule under the headings. */
void table_show(const struct table *table, struct text *out);
/* As a pipe table, with a blank line behind. */
void table_show_markdown(const struct table *table, struct text *out);
/* The same, but only the first n_rows. */
void table_show_markdown_rows(const struct table *table, size_t n_rows, struct text *out);
void table_release(struct table *table);

/* Adds string wrapped at `width` characters; the first line is indented by what
 * already stands in front, the others by `indent` blanks. Ends with a line break. */
void table_wrap(struct text *out, const char *string, size_t indent, size_t width);

#endif
