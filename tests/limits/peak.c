/*
 * peak MEGABYTES COMMAND ARGUMENT...
 *
 * Runs a command that may hold so much address space and no more, and tells on
 * descriptor 3 its exit code, its largest resident memory (MB) and the seconds of
 * processor that it took. Exits as the command did; 128 and the signal when it was killed.
 */
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

static double seconds(struct timeval time)
{
    return (double)time.tv_sec + 1e-6 * (double)time.tv_usec;
}

int main(int argc, char **argv)
{
    if (argc < 3)
        return fputs("usage: peak MEGABYTES COMMAND ARGUMENT...\n", stderr), 2;
    rlim_t bytes = (rlim_t)strtoul(argv[1], NULL, 10) << 20;
    pid_t child = fork();
    if (child == 0) {
        if (setrlimit(RLIMIT_AS, &(struct rlimit){ bytes, bytes }) == 0)
            execvp(argv[2], argv + 2);
        perror(argv[2]);
        _exit(127);
    }
    int status;
    struct rusage usage;
    if (child < 0 || wait4(child, &status, 0, &usage) != child)
        return perror("peak"), 2;
    int code = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
    dprintf(3, "%d %.0f %.1f\n", code, (double)usage.ru_maxrss / 1024, seconds(usage.ru_utime) + seconds(usage.ru_stime));
    return code;
}
