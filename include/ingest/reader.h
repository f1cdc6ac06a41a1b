#ifndef INGEST_READER_H
#define INGEST_READER_H

#include "base/problem.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* One cell: NUL-terminated text without outer blanks; length excludes the NUL. */
struct cell {
    const char *text;
    size_t length;
    size_t line; /* physical line where the cell starts */
    bool quoted;
    bool as_above; /* in row_digest.digest only: its text is the one of the same column in the row digested before, and shared with it */
};

/* One row, lent to the callback for the length of the call. */
struct row {
    const char *path;
    size_t line;           /* physical line where the row starts, from 1 */
    size_t n_cells;
    const struct cell *cells;
    const char *raw;       /* the row's bytes as they stand in the file, without the line end */
    size_t raw_length;
    bool has_breaks;       /* some quoted cell holds a line break */
};

/*
 * How the file is written; found from the heading line unless told. In a file
 * with ';' or tabs, ',' is the decimal mark when at least as many columns of its
 * first rows read 1,5 as 1.5; from then on a number with the other mark is an error.
 */
struct dialect {
    char separator;    /* ',', ';' or '\t' */
    char decimal_mark; /* '.' or ','; ',' only with ';' or tab */
};

/* The rows of one stretch of a long file, consecutive lines, with what their digests made of them. Lent for the length of the call. */
struct row_stretch {
    const char *path;
    size_t n_rows, first_line;
    const void *block;
};
#define STRETCH_ROWS_MOST 8192u
#define STRETCH_BYTES 65536u /* all cells of a stretch, each with its NUL, take no more */

/*
 * What of the work on a row does not depend on the rows before it, so that long files can be read by several threads.
 * expect is told once, before the first stretch, about how many rows are still to come (0: not known, as of a pipe), for making
 * room; anything but STATUS_OK ends the reading.
 * open makes a block for the rows of one stretch after another (NULL: no memory), begin empties it. digest adds a row whose line is
 * not known yet (0), on any thread; false when there is anything to say about it. It is given the rows of a stretch in their order,
 * at most STRETCH_ROWS_MOST, so that the block can keep what cells as_above need not tell again.
 * take then gets stretches in which there was nothing to say, in the order of the file: it takes the rows from *from on, and moves
 * *from behind them, up to one about which there is something to say after all. That one and all others go to row_receiver.row, as
 * those of short files do. Texts of a row stay where they are until take returns.
 */
struct row_digest {
    enum status (*expect)(size_t n_rows, void *context);
    void *(*open)(void);
    void (*close)(void *block);
    void (*begin)(void *block);
    bool (*digest)(const struct row *row, const void *context, void *block);
    enum status (*take)(const struct row_stretch *stretch, size_t *from, void *context);
};

/*
 * Receives rows. heading is called once, first. Return anything but STATUS_OK
 * to stop the reading (the reader returns it).
 * bad_row (may be NULL) is called for a row whose shape is wrong (cell count),
 * after the problem was added: --set-aside keeps such rows.
 */
struct row_receiver {
    enum status (*heading)(const struct row *row, const struct dialect *dialect, void *context);
    enum status (*row)(const struct row *row, void *context);
    enum status (*bad_row)(const struct row *row, const char *reason, void *context);
    const struct row_digest *digest; /* NULL: every row goes to row */
    void *context;
    uint64_t *fingerprint; /* NULL, or FNV-1a of the bytes read, carried on from the value inside */
    bool rows_optional;    /* a heading without rows is fine */
};

/* Where FNV-1a starts. Source: Fowler, Noll, Vo; RFC 9923. */
#define READER_FINGERPRINT_START UINT64_C(14695981039346656037)

/*
 * Reads a CSV file ("-" is standard input) a physical line at a time through
 * libcsv and hands over rows that know their line. Blank lines, rows of empty
 * cells and lines starting with '#' are passed over, and counted as lines.
 * UTF-8 only, one byte-order mark stripped; LF or CRLF. Quoted cells may hold
 * line breaks here; row_check_breaks() of columns.h allows them in free text only.
 * Caps: row 1 MiB, cell 64 KiB, 1024 columns.
 *
 * dialect   in/out; separator 0 and decimal_mark 0 mean "find out"
 * problems  every problem of shape or encoding, with its place
 *
 * STATUS_INPUT  the file cannot be opened or read as a table, or a row has the
 *               wrong shape and there is no bad_row; problems say where
 * STATUS_IO     the disk failed while reading
 * STATUS_MEMORY
 */
enum status reader_run(const char *path, struct dialect *dialect,
                       const struct row_receiver *receiver, struct problem_list *problems);

#endif
