#ifndef INGEST_ROWS_H
#define INGEST_ROWS_H

#include "ingest/lines.h"
#include "ingest/reader.h"

/* libcsv behind a face that knows rows: the only file that includes csv.h is rows.c. */
struct row_parser;

/* NULL when memory is out. */
struct row_parser *row_parser_new(char separator);
void row_parser_free(struct row_parser *parser);

enum parse_result { PARSE_MORE, PARSE_ROW, PARSE_BAD, PARSE_MEMORY };

/*
 * Feeds one line with its line end. PARSE_ROW: cells are ready until the next
 * feed. PARSE_MORE: a quoted cell goes on in the next line. PARSE_BAD: *at is
 * the offset of the byte that breaks the rules; the parser must not be used again.
 */
enum parse_result row_parser_feed(struct row_parser *parser, const char *bytes, size_t length, size_t *at);

/*
 * The same row for a line, without its end, that holds no quote, CR or NUL
 * byte, while no quoted cell is open: split at the separators, with no call
 * for each cell, about ten times as fast. PARSE_ROW or PARSE_MEMORY.
 */
enum parse_result row_parser_split(struct row_parser *parser, const char *bytes, size_t length);

/*
 * Cuts such a line into cells where it stands and returns their true number; those beyond COLUMNS_MOST are not kept. Each gets its
 * NUL, the last at bytes[length], a byte that is overwritten in any case; up to ROW_SPLIT_BEHIND bytes from there on may be read.
 * The first n_above of cells hold those of the row above, whose bytes still stand: a cell that repeats the text of one stays as it
 * was there, without a NUL of its own, and is marked as_above.
 */
#define ROW_SPLIT_BEHIND 8
size_t row_split(char *bytes, size_t length, char separator, struct cell cells[COLUMNS_MOST], size_t n_above);

/* Whether the input may end here: false inside a quoted cell. Calls nothing back. */
bool row_parser_end(struct row_parser *parser);

/* Cells of the row just parsed, at most COLUMNS_MOST; *n is their true number. */
struct cell *row_parser_cells(struct row_parser *parser, size_t *n);

#endif
