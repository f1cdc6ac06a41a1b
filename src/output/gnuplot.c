#define _GNU_SOURCE /* posix_spawn_file_actions_addchdir_np, pipe2 */

#include "output/gnuplot.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#define COMPLAINT_SIZE 1024

static double now_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* This process ignores two signals; gnuplot must not inherit that. */
static int spawn_with_signals(pid_t *child, const posix_spawn_file_actions_t *actions, char **arguments, char **environment)
{
    posix_spawnattr_t attributes;
    sigset_t defaults;
    sigemptyset(&defaults);
    sigaddset(&defaults, SIGPIPE);
    sigaddset(&defaults, SIGXFSZ);
    int error = posix_spawnattr_init(&attributes);
    if (error != 0)
        return error;
    posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETSIGDEF);
    posix_spawnattr_setsigdefault(&attributes, &defaults);
    error = posix_spawnp(child, "gnuplot", actions, &attributes, arguments, environment);
    posix_spawnattr_destroy(&attributes);
    return error;
}

/* Only what finding gnuplot and its fonts needs; nothing that changes a picture. */
static int spawn(const char *folder, const char *script, int complaints, pid_t *child)
{
    char path[4096], home[4096], option[] = "-d", name[] = "gnuplot", locale[] = "LC_ALL=C", date[] = "SOURCE_DATE_EPOCH=0";
    char *arguments[] = { name, option, (char *)script, NULL };
    char *environment[] = { path, home, locale, date, NULL };
    snprintf(path, sizeof path, "PATH=%s", getenv("PATH") ? getenv("PATH") : "/usr/local/bin:/usr/bin:/bin");
    snprintf(home, sizeof home, "HOME=%s", getenv("HOME") ? getenv("HOME") : "/");

    posix_spawn_file_actions_t actions;
    int error = posix_spawn_file_actions_init(&actions);
    if (error != 0)
        return error;
    error = posix_spawn_file_actions_addopen(&actions, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
    error = error ? error : posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
    error = error ? error : posix_spawn_file_actions_adddup2(&actions, complaints, STDERR_FILENO);
    error = error ? error : posix_spawn_file_actions_addchdir_np(&actions, folder);
    error = error ? error : spawn_with_signals(child, &actions, arguments, environment);
    posix_spawn_file_actions_destroy(&actions);
    return error;
}

/* Reads what the child says until it ends or the time is up. False when it had to be killed. */
static bool attend(pid_t child, int complaints, double limit_s, char said[COMPLAINT_SIZE], int *result)
{
    double deadline = now_s() + limit_s;
    size_t length = 0;
    bool open = true, ended = false;
    while (!ended && now_s() < deadline) {
        struct pollfd watched = { .fd = open ? complaints : -1, .events = POLLIN };
        char bytes[512];
        ssize_t got = 0;
        if (poll(&watched, 1, open ? 200 : 5) > 0 && (got = read(complaints, bytes, sizeof bytes)) <= 0)
            open = got < 0 && errno == EINTR;
        for (ssize_t i = 0; i < got; i++)
            if (length < COMPLAINT_SIZE - 1)
                said[length++] = bytes[i];
        if (got <= 0)
            ended = waitpid(child, result, WNOHANG) == child;
    }
    said[length] = '\0';
    if (!ended) {
        kill(child, SIGKILL);
        while (waitpid(child, result, 0) < 0 && errno == EINTR)
            ;
    }
    return ended;
}

/* The line of gnuplot's words that says what is wrong, without the echo of the script. */
static const char *gist(char *said)
{
    char *line = strstr(said, "line ");
    char *start = line ? line : said + strspn(said, " \t\r\n");
    start[strcspn(start, "\r\n")] = '\0';
    return *start ? start : "it gave no reason";
}

enum status gnuplot_run(const char *folder, const char *script, double limit_s, struct problem *problem)
{
    int ends[2], result = 0;
    char said[COMPLAINT_SIZE];
    pid_t child;
    if (pipe2(ends, O_CLOEXEC) != 0) /* another thread may start a gnuplot of its own */
        return problem_set(problem, STATUS_IO, NULL, "gnuplot cannot be started: %s", strerror(errno));
    int error = spawn(folder, script, ends[1], &child);
    close(ends[1]);
    if (error != 0) {
        close(ends[0]);
        if (error == ENOENT)
            return problem_set(problem, STATUS_TOOL, NULL,
                               "gnuplot is not installed, so the charts are scripts without pictures: install the package "
                               "gnuplot-nox, then run the command again or gnuplot on each script");
        return problem_set(problem, error == ENOMEM ? STATUS_MEMORY : STATUS_TOOL, NULL, "gnuplot cannot be started: %s", strerror(error));
    }
    bool ended = attend(child, ends[0], limit_s, said, &result);
    close(ends[0]);
    if (!ended)
        return problem_set(problem, STATUS_TOOL, NULL, "gnuplot took longer than %g s and was stopped", limit_s);
    if (WIFSIGNALED(result))
        return problem_set(problem, STATUS_TOOL, NULL, "gnuplot was stopped by signal %d", WTERMSIG(result));
    if (WEXITSTATUS(result) == 127 || WEXITSTATUS(result) == 126)
        return problem_set(problem, STATUS_TOOL, NULL, "gnuplot cannot be started: install the package gnuplot-nox");
    if (WEXITSTATUS(result) != 0)
        return problem_set(problem, STATUS_TOOL, NULL, "gnuplot could not draw: %s", gist(said));
    return STATUS_OK;
}
