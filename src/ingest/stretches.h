#ifndef INGEST_STRETCHES_H
#define INGEST_STRETCHES_H

#include "ingest/lines.h"
#include "ingest/reader.h"

/*
 * A long file in stretches of whole lines, each looked at by whichever thread is free while the reader takes those before it.
 * A stretch is ready when every line of it is a row of the right number of cells, without quotes, and its digest has nothing to
 * say; the reader takes it whole. Any other is read a line at a time, as if nobody had looked at it.
 */
struct stretches;

/* How the rows are written, and who takes them. */
struct stretch_rows {
    char separator;
    size_t n_columns;
    const struct row_receiver *receiver; /* with a digest */
};

/*
 * Reads on from a source, at the start of a row, less than STRETCH_BYTES before the end of what it has read; those bytes go over.
 * NULL when there is only one processor or no memory: then the source reads on by itself.
 */
struct stretches *stretches_open(struct line_source *source, const struct stretch_rows *rows);

/* STRETCH_READY: *ready is lent until the next call. The others give no rows; STRETCH_OTHER: the source reads the next one itself. */
enum stretch_kind { STRETCH_READY, STRETCH_OTHER };
enum stretch_kind stretches_next(struct stretches *stretches, struct row_stretch *ready);

/* The bytes of a row of the stretch that is lent, without its line end. */
const char *stretches_row(const struct stretches *stretches, size_t i, size_t *length);

void stretches_close(struct stretches *stretches);

#endif
