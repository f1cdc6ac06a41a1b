#ifndef INGEST_NUMBERS_H
#define INGEST_NUMBERS_H

#include "ingest/columns.h"

/*
 * Columns of any CSV as numbers, by their headings, values as written (no
 * units). Used by the general fit. Owns everything; release with
 * number_table_release().
 */
struct number_table {
    size_t n_rows, n_columns;
    double *values;   /* row-major, n_rows x n_columns */
    size_t *line;     /* physical line of each row */
    char **labels;    /* text of the label column, or NULL */
};

/*
 * headings      n_columns headings as the user named them (heading_same match)
 * label_heading optional text column (a batch), or NULL
 * STATUS_INPUT  a heading is missing (the nearest is named) or a cell is no number or empty
 */
enum status number_table_read(const char *path, const char *const *headings, size_t n_columns,
                              const char *label_heading, struct number_table *table,
                              struct problem_list *problems);
void number_table_release(struct number_table *table);

#endif
