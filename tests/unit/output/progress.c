#define _GNU_SOURCE
#include "support/check.h"

#include "output/progress.h"

#include <fcntl.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

static void wait_ms(long ms)
{
    struct timespec time = {ms / 1000, ms % 1000 * 1000000L};
    nanosleep(&time, NULL);
}

/* A terminal: what is written to the descriptor returned can be read from *other. */
static int open_terminal(int *other)
{
    *other = posix_openpt(O_RDWR | O_NOCTTY);
    if (*other == -1 || grantpt(*other) != 0 || unlockpt(*other) != 0)
        return -1;
    return open(ptsname(*other), O_RDWR | O_NOCTTY);
}

/* All that was written so far. */
static size_t read_all(int descriptor, char *bytes, size_t size)
{
    fcntl(descriptor, F_SETFL, O_NONBLOCK);
    size_t used = 0;
    for (ssize_t n; used + 1 < size && (n = read(descriptor, bytes + used, size - used - 1)) > 0;)
        used += (size_t)n;
    bytes[used] = '\0';
    return used;
}

static void long_work_is_told_and_wiped_out(void)
{
    struct progress progress;
    char told[256];
    int other, terminal = open_terminal(&other);
    CU_ASSERT_NOT_EQUAL_FATAL(terminal, -1);
    progress_start(&progress, terminal, 1);
    CU_ASSERT_TRUE(progress.running);
    size_t used = 0;
    for (int i = 0; i < 1500 && used == 0; i++) { /* as long as it takes a busy machine */
        wait_ms(20);
        used = read_all(other, told, sizeof told);
    }
    CU_ASSERT_PTR_NOT_NULL(strstr(told, "\rplumestone: working, "));
    progress_stop(&progress);
    CU_ASSERT_FALSE(progress.running);
    used = read_all(other, told, sizeof told);
    CU_ASSERT_TRUE(used > 2 && told[0] == '\r' && told[used - 1] == '\r' && strspn(told + 1, " ") == used - 2);
    close(terminal);
    close(other);
}

static void short_work_is_not_told(void)
{
    struct progress progress;
    char told[256];
    int other, terminal = open_terminal(&other);
    CU_ASSERT_NOT_EQUAL_FATAL(terminal, -1);
    progress_start(&progress, terminal, 3600 * 1000);
    progress_stop(&progress);
    CU_ASSERT_EQUAL(read_all(other, told, sizeof told), 0);
    close(terminal);
    close(other);
}

static void nothing_is_told_away_from_a_terminal(void)
{
    struct progress progress;
    int ends[2];
    char told[64];
    CU_ASSERT_EQUAL_FATAL(pipe(ends), 0);
    progress_start(&progress, ends[1], 0);
    CU_ASSERT_FALSE(progress.running);
    progress_stop(&progress);
    CU_ASSERT_EQUAL(read_all(ends[0], told, sizeof told), 0);
    close(ends[0]);
    close(ends[1]);
}

int main(void)
{
    static const struct check_case cases[] = {
        {"long work is told and wiped out", long_work_is_told_and_wiped_out},
        {"short work is not told", short_work_is_not_told},
        {"nothing is told away from a terminal", nothing_is_told_away_from_a_terminal},
    };
    return check_run("progress", cases, sizeof cases / sizeof cases[0]);
}
