#ifndef INGEST_READER_STATE_H
#define INGEST_READER_STATE_H

#include "ingest/lines.h"
#include "ingest/quotes.h"
#include "ingest/reader.h"
#include "ingest/rows.h"
#include "ingest/stretches.h"

/* All that one reading of one file needs. Private to the reader. */
struct reader {
    struct line_source source;
    struct dialect *dialect;
    const struct row_receiver *receiver;
    struct problem_list *problems;
    struct row_parser *parser;
    char **headings;      /* NULL until the heading is read */
    size_t n_columns;
    size_t heading_line;
    size_t row_line;      /* where the row being gathered starts */
    bool pending;         /* its last cell goes on in the next line */
    struct quotes quotes;
    struct stretches *stretches; /* of a long file; NULL while it is read a line at a time */
    bool alone;           /* no stretches: that was tried */
    size_t n_rows;        /* good and bad */
    bool refused_rows;    /* a bad row that nobody wanted */
};

/* Whether a line may be parsed; otherwise adds the problem (encoding, NUL, stray CR, stray byte-order mark). */
bool fault_line(const struct reader *reader, const struct line *line);

/* The byte-order mark inside some bytes; NULL when there is none. */
const char *fault_order_mark(const char *bytes, size_t length);

/* The byte of the line that libcsv refused, as a problem. */
void fault_quoting(const struct reader *reader, const struct line *line, size_t at);

/* A quoted cell that is too long or never closes. */
void fault_open_quote(const struct reader *reader, bool too_long);

/* A line or row that passes the cap. */
void fault_too_long(struct reader *reader);

/* The first bytes of a file in another encoding; adds a problem and gives true. */
bool fault_encoding(const struct reader *reader, const struct line *line);

/* A row with another number of cells than the heading; words into reason. */
void fault_cell_count(const struct reader *reader, const struct row *row, char *reason, size_t size);

#endif
