#ifndef INGEST_JOURNAL_H
#define INGEST_JOURNAL_H

#include "base/problem.h"

#include <stdbool.h>
#include <stddef.h>

/*
 * The journal: the CSV that `record` appends to and nothing ever rewrites.
 * Its last column, row_check, seals each row: `k/N-xxxxxxxx`, where the row is
 * the k-th of N that were recorded at once and xxxxxxxx is the CRC-32 of
 * "k/N," and the row's text before that column. An empty row_check is a row
 * typed in by hand. Promises and limits: docs/methods/journal.md
 */
#define JOURNAL_CHECK_COLUMN "row_check"

/* What to record. Everything is borrowed for the length of the call. */
struct journal_request {
    const char *path;
    const char *heading;      /* one line, commas, without row_check and line end */
    const char *const *rows;  /* n_rows lines with as many cells as the heading, without line ends */
    size_t n_rows;
    /*
     * May be NULL. Asked while the journal is locked, mended and about to be
     * written, so that what it finds in the file cannot change before the
     * rows are in (a specimen id that is taken). Anything but STATUS_OK
     * refuses the rows. Not asked when the journal is new.
     */
    enum status (*allow)(const char *path, void *context, struct problem *problem);
    void *context;
};

enum journal_outcome {
    JOURNAL_NOT_RECORDED, /* none of the rows is in the journal */
    JOURNAL_RECORDED,     /* all of them are, and on the disk */
    JOURNAL_UNSURE        /* the disk failed at the wrong moment: look before recording again */
};

struct journal_result {
    enum journal_outcome outcome;
    bool created;
    size_t torn_bytes;          /* bytes of an unfinished record, moved to PATH.torn; 0 = none */
    size_t n_changed;           /* rows that no longer agree with their row_check */
    size_t first_changed_line;  /* physical line of the first of them, 0 = none */
};

/*
 * Appends the rows, all or none, and returns only when they are on the disk:
 * acknowledge after STATUS_OK and never before. Locks the file against other
 * writers, follows it when it was replaced meanwhile, refuses another heading,
 * moves the remains of a writer that died to PATH.torn, writes once, syncs.
 * The caller ignores SIGXFSZ and SIGPIPE.
 *
 * result   filled in every case
 * problem  on failure only; says whether the journal is as it was
 *
 * STATUS_INPUT   not a regular file, another heading, a row that cannot be
 *                written safely, last rows changed by hand
 * STATUS_MEMORY
 * STATUS_IO      the disk failed; result->outcome says what is known
 * or what `allow` returned
 */
enum status journal_append(const struct journal_request *request, struct journal_result *result,
                           struct problem *problem);

/* What the seal of a row says. */
enum journal_seal_state {
    JOURNAL_SEAL_NONE,    /* its row_check is empty: typed in by hand */
    JOURNAL_SEAL_AGREES,
    JOURNAL_SEAL_CHANGED, /* the row or the seal was changed after it was recorded */
    JOURNAL_SEAL_BROKEN   /* the last cell is no seal at all */
};

/*
 * Judges a row as it stands in the file, without its line end. A seal that
 * agrees also tells that the row is number *k of *n recorded at once.
 */
enum journal_seal_state journal_seal_judge(const char *row, size_t length, unsigned long *k, unsigned long *n);

#endif
