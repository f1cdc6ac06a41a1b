#ifndef BASE_TASKS_H
#define BASE_TASKS_H

#include <stdbool.h>
#include <stddef.h>

#define ROWS_WORTH_HELP 20000 /* of specimens: below, starting a thread costs more than it saves */

/*
 * Runs task(context, i) for i = 0 .. n-1, each once, and returns when all are
 * done. helped: a second thread takes part, if one can be had; each takes the
 * next task that nobody has taken, so tasks must not touch what others write.
 */
void tasks_run(size_t n, bool helped, void (*task)(void *context, size_t i), void *context);

#endif
