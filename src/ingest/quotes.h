#ifndef INGEST_QUOTES_H
#define INGEST_QUOTES_H

#include <stdbool.h>
#include <stddef.h>

/* Where quoting stands while a row is gathered. Zero-initialise at the start of each row. */
struct quotes {
    bool open;       /* inside a quoted cell */
    size_t line;     /* physical line where the last quoted cell opened */
    size_t offset;   /* ... and its offset from the start of the row */
    bool bare_return; /* a CR stands outside quotes, at return_offset */
    size_t return_offset;
};

/* Goes over one more line of the row; `at` is its offset from the start of the row. */
void quotes_scan(struct quotes *quotes, const char *bytes, size_t length, size_t line, size_t at);

/*
 * The cell that holds the byte at offset `target` of a row: its number from 0.
 * *start gets the offset of its first byte. target may be the length.
 */
size_t quotes_cell_at(const char *row, size_t target, char separator, size_t *start);

#endif
