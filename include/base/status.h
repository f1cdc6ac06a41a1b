#ifndef BASE_STATUS_H
#define BASE_STATUS_H

/*
 * What a call came to. Every fallible function returns one of these; the
 * exit code of the program is a column of the same table (docs/exit-codes.md).
 */
enum status {
    STATUS_OK,        /* done */
    STATUS_ANSWER_NO, /* done, and the answer is no */
    STATUS_USAGE,     /* the command line is wrong */
    STATUS_INPUT,     /* a file cannot be used as it stands */
    STATUS_TOO_FEW,   /* not enough results to answer */
    STATUS_NUMERIC,   /* the numbers do not determine an answer */
    STATUS_MEMORY,    /* no memory left */
    STATUS_IO,        /* disk, terminal or pipe failed */
    STATUS_TOOL,      /* an outside program (gnuplot) failed */
    STATUS_COUNT
};

/* Exit code of the process for a status: 0 to 4. */
int status_exit_code(enum status status);

/* One short lower-case sentence for a status, never NULL. */
const char *status_text(enum status status);

#endif
