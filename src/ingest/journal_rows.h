#ifndef INGEST_JOURNAL_ROWS_H
#define INGEST_JOURNAL_ROWS_H

#include "base/text.h"

#include <stdbool.h>
#include <stddef.h>

/* What a line of a journal turns out to be. */
enum journal_line {
    LINE_SEALED,   /* agrees with its row_check */
    LINE_BY_HAND,  /* row_check is empty: typed in, taken as it is */
    LINE_PASSED,   /* blank or a comment */
    LINE_CHANGED,  /* disagrees with its row_check */
    LINE_UNSEALED, /* does not end in a row_check */
    LINE_HOLE      /* holds NUL bytes: the disk never got this part */
};

/* Place of a row in its record: k-th of n. */
struct journal_seal { unsigned long k, n; };

/* seal is filled for LINE_SEALED only. The line comes without its line end. */
enum journal_line journal_line_read(const char *line, size_t length, struct journal_seal *seal);

/* Adds the row with its row_check and line end. */
void journal_row_add(struct text *out, const char *row, struct journal_seal seal);

/* Cells of one CSV line; 0 when the quotes do not pair or it holds a line break. */
size_t journal_cell_count(const char *line);

/*
 * Where a journal's whole records end, found by feeding its lines in order.
 * Zero-initialise but for the heading.
 */
struct journal_scan {
    const char *heading;       /* with row_check, as it must be */
    size_t line;               /* lines fed */
    size_t end;                /* offset behind the last line fed */
    size_t good_end;           /* offset behind the last whole record */
    bool heading_seen, heading_differs;
    bool line_end_missing;     /* the last whole record lacks its line end */
    size_t n_changed, first_changed_line;   /* before good_end */
    size_t n_loose, first_loose_line;       /* changed, unsealed or hole, behind good_end */
    size_t changed_line;       /* first changed or unsealed line behind good_end, 0 = none */
    enum journal_line changed_kind;
};

/* complete: the line ended with '\n', which is not part of length but of the file. */
void journal_scan_line(struct journal_scan *scan, const char *line, size_t length, bool complete);

#endif
