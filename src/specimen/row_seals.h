#ifndef SPECIMEN_ROW_SEALS_H
#define SPECIMEN_ROW_SEALS_H

#include "ingest/columns.h"

/*
 * Watches the row_check column while a file is read: a journal that is read
 * for an answer should be what was recorded. Zero-initialise for each file.
 */
struct row_seals {
    bool watched;               /* the last column is row_check */
    const char *heading;        /* as the file writes it; borrowed from the bindings */
    size_t open_line;           /* first row of a record whose last row has not come yet, 0 = none */
    unsigned long k, n;         /* of the row before */
};

/* bindings: of specimen_rules; rows that were set aside from a journal have lost their seals. */
void row_seals_begin(struct row_seals *seals, const struct row *heading, const struct column_binding *bindings);

/* Notes a row. False after a problem was added: the row is not the one that was recorded. */
bool row_seals_judge(struct row_seals *seals, const struct row *row, struct problem_list *problems);

/* After the last row: a record that a writer left unfinished is a doubt. */
void row_seals_end(const struct row_seals *seals, const char *path, struct problem_list *problems);

#endif
