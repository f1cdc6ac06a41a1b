#ifndef OUTPUT_PROGRESS_H
#define OUTPUT_PROGRESS_H

#include <pthread.h>
#include <stdbool.h>

/*
 * Says at a terminal, while work goes on that takes long, that it goes on:
 * "plumestone: working, 3 s", on one line that is wiped out again. A thread of
 * its own writes it, so that no work has to think of it.
 */
struct progress {
    pthread_t thread;
    pthread_mutex_t mutex; /* of over */
    pthread_cond_t ended;
    bool running, over;
    int descriptor;
    unsigned first_ms;
};

/*
 * Starts to count when descriptor is a terminal, and does nothing otherwise (or
 * when no thread can be had: progress is a kindness). The first word comes
 * after first_ms milliseconds, the next ones each second. The struct must stay
 * where it is until progress_stop().
 */
void progress_start(struct progress *progress, int descriptor, unsigned first_ms);

/* Ends the counting and wipes the line. Nothing to do when it was not started. */
void progress_stop(struct progress *progress);

#endif
