#ifndef INGEST_LINES_H
#define INGEST_LINES_H

#include "base/problem.h"

#include <stdint.h>
#include <sys/types.h>

#define ROW_LONGEST 1048576u  /* 1 MiB */
#define CELL_LONGEST 65536u
#define COLUMNS_MOST 1024u

/* Whence a source gets its bytes when somebody else reads ahead: up to `room` (at least 256 KiB) of them, 0 at the end, -1 after a problem. */
struct line_supply {
    ssize_t (*more)(void *context, char *to, size_t room, struct problem_list *problems);
    void *context;
};

/* Physical lines of a file, lent one at a time from one buffer of fixed size. */
struct line_source {
    const char *path;
    int descriptor;
    char *buffer;
    size_t kept;   /* start of the row that is being gathered */
    size_t at;     /* first byte not yet handed out */
    size_t end;    /* end of the bytes read */
    bool ended;    /* nothing more to read */
    size_t line;   /* lines handed out so far */
    uint64_t *fingerprint;
    struct line_supply supply; /* more NULL: the source reads for itself */
};

/* A line with its line end, if it has one. Valid until the next call. */
struct line {
    char *bytes;
    size_t length;  /* with the line end */
    size_t content; /* without it */
};

enum line_result { LINE_GIVEN, LINE_NONE, LINE_TOO_LONG, LINE_FAILED };

/* Opens path ("-" is standard input); refuses folders and devices. Release in every case. */
enum status lines_open(struct line_source *source, const char *path, struct problem_list *problems);

/* LINE_FAILED after adding a problem (a read error); LINE_TOO_LONG when row or line pass ROW_LONGEST. */
enum line_result lines_next(struct line_source *source, struct line *line, struct problem_list *problems);

/* Up to `room` bytes of the file, fewer only at its end, added to the fingerprint; -1 when reading fails, with errno. */
ssize_t lines_read(struct line_source *source, char *to, size_t room);

/* About how many rows are still to come, if so many were in what was handed out; 0 where the end is not known, as of a pipe. */
size_t lines_rows_expected(const struct line_source *source, size_t n_rows);

/* What errno says of a reading that failed, as a problem. */
void lines_read_problem(const struct line_source *source, int error, struct problem_list *problems);

/* The bytes read but not yet handed out, for a look ahead. */
const char *lines_ahead(const struct line_source *source, size_t *length);

/* All bytes read from the start of the row on, handed out or not. */
const char *lines_buffered(const struct line_source *source, size_t *length);

/* Bytes from the start of the row that is being gathered. */
const char *lines_row(const struct line_source *source, size_t *length);

/* Drops the first n bytes of the line just given, at the start of a row (a byte-order mark). */
void lines_skip(struct line_source *source, struct line *line, size_t n);

/* The next line starts a new row. */
void lines_start_row(struct line_source *source);
void lines_release(struct line_source *source);

#endif
