#include "base/status.h"

#include <stddef.h>

struct status_row {
    int exit_code;
    const char *text;
};

static const struct status_row status_rows[] = {
    [STATUS_OK] = { 0, "done" },
    [STATUS_ANSWER_NO] = { 1, "done, and the answer is no" },
    [STATUS_USAGE] = { 2, "the command line is wrong" },
    [STATUS_INPUT] = { 3, "a file cannot be used as it stands" },
    [STATUS_TOO_FEW] = { 3, "there are not enough results to answer" },
    [STATUS_NUMERIC] = { 3, "the numbers do not determine an answer" },
    [STATUS_MEMORY] = { 4, "there is no memory left" },
    [STATUS_IO] = { 4, "the disk, the terminal or a pipe failed" },
    [STATUS_TOOL] = { 4, "an outside program failed" },
};

_Static_assert(sizeof status_rows / sizeof status_rows[0] == STATUS_COUNT, "each status needs its row");

static const struct status_row *status_row(enum status status)
{
    static const struct status_row unknown = { 4, "an unknown status was met" };
    return (unsigned)status < STATUS_COUNT ? &status_rows[status] : &unknown;
}

int status_exit_code(enum status status)
{
    return status_row(status)->exit_code;
}

const char *status_text(enum status status)
{
    return status_row(status)->text;
}
