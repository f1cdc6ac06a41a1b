#include "output/progress.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#define NS_PER_MS 1000000L
#define NS_PER_S 1000000000L

static void say(const struct progress *progress, const char *line)
{
    if (write(progress->descriptor, line, strlen(line)) < 0)
        return; /* a terminal that went away is not missed */
}

static void later(struct timespec *time, unsigned ms)
{
    time->tv_nsec += (long)(ms % 1000) * NS_PER_MS;
    time->tv_sec += (time_t)(ms / 1000) + time->tv_nsec / NS_PER_S;
    time->tv_nsec %= NS_PER_S;
}

/* With the mutex held: waits till then, or till the work is over. */
static bool is_over_by(struct progress *progress, const struct timespec *then)
{
    int waited = 0;
    while (!progress->over && waited != ETIMEDOUT)
        waited = pthread_cond_timedwait(&progress->ended, &progress->mutex, then);
    return progress->over;
}

static void *count(void *argument)
{
    struct progress *progress = argument;
    struct timespec then;
    unsigned ms = progress->first_ms;
    bool said = false;
    clock_gettime(CLOCK_MONOTONIC, &then);
    later(&then, ms);
    pthread_mutex_lock(&progress->mutex);
    for (; !is_over_by(progress, &then); ms += 1000, later(&then, 1000)) {
        char line[64];
        snprintf(line, sizeof line, "\rplumestone: working, %u s ", ms / 1000);
        say(progress, line);
        said = true;
    }
    pthread_mutex_unlock(&progress->mutex);
    if (said)
        say(progress, "\r                                        \r");
    return NULL;
}

/* The condition waits by the clock that nobody sets. */
static bool prepare(struct progress *progress)
{
    pthread_condattr_t monotonic;
    if (pthread_condattr_init(&monotonic) != 0)
        return false;
    bool ready = pthread_condattr_setclock(&monotonic, CLOCK_MONOTONIC) == 0 && pthread_cond_init(&progress->ended, &monotonic) == 0;
    pthread_condattr_destroy(&monotonic);
    return ready && pthread_mutex_init(&progress->mutex, NULL) == 0;
}

void progress_start(struct progress *progress, int descriptor, unsigned first_ms)
{
    progress->running = progress->over = false;
    progress->descriptor = descriptor;
    progress->first_ms = first_ms;
    if (isatty(descriptor) && prepare(progress))
        progress->running = pthread_create(&progress->thread, NULL, count, progress) == 0;
}

void progress_stop(struct progress *progress)
{
    if (!progress->running)
        return;
    pthread_mutex_lock(&progress->mutex);
    progress->over = true;
    pthread_cond_signal(&progress->ended);
    pthread_mutex_unlock(&progress->mutex);
    pthread_join(progress->thread, NULL);
    pthread_cond_destroy(&progress->ended);
    pthread_mutex_destroy(&progress->mutex);
    progress->running = false;
}
