/*
 * Stands in the place of plumestone in a case and runs each call of it many
 * times in a copy of the case's folder, each time with another call of the
 * program failing (failcall.c), and judges what comes out: the right answer,
 * or exit code 3 or 4 with a message; never a crash, a lost or half written
 * file, a leak. Then the real program runs, and the case goes on.
 *
 *   TORTURE_PROGRAM   plumestone
 *   TORTURE_LIBRARY   failcall.so
 *   TORTURE_RESULTS   file that gets one line a call, and lines for what went wrong
 *   TORTURE_WAYS      the quick size: folder that remembers the ways to an allocation that were tried; only new ones are then tried
 *                     again, and only some calls to the system
 *   TORTURE_SECONDS   most processor time for one call of the program; that something was left out then is told
 */
#define _GNU_SOURCE
#include "folder.h"
#include "words.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/personality.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

enum { LIMIT_S = 60, SYSTEM_CALLS_QUICK = 6 };

/* What one run of the program came to. */
struct outcome {
    int code;          /* exit code; -1: by a signal */
    char *out, *err;
    size_t out_length, err_length;
    unsigned long memory_calls, system_calls;
    long live_blocks;
    char call[24];     /* the call that failed, "none" */
    int descriptor;    /* what it was about */
};

/* What is made to fail; the run must come to the same in spite of it when must_pass. */
struct fault {
    const char *kind, *how; /* as failcall.c takes them */
    unsigned long at;
    bool must_pass;
};

struct torture {
    char **argv;
    const char *program, *library, *path;
    char work[64];               /* holds folder/, out, err, in, report, list */
    char *input;                 /* of standard input */
    size_t input_length;
    struct folder before, after; /* the case's folder, and as the sound run leaves it */
    struct outcome sound;
    FILE *results;
    unsigned long runs, right, refused, wrong;
    time_t most_s;               /* of processor time; a busy machine uses up the clock, not this */
    bool cut_short;
};

/* Good until the next call. */
static const char *work_path(const struct torture *torture, const char *name)
{
    static char path[96];
    snprintf(path, sizeof path, "%s/%s", torture->work, name);
    return path;
}

static void outcome_release(struct outcome *outcome)
{
    free(outcome->out);
    free(outcome->err);
    *outcome = (struct outcome){0};
}

static int open_for(const char *path, int flags)
{
    int descriptor = open(path, flags | O_CLOEXEC, 0600);
    need(descriptor >= 0, path);
    return descriptor;
}

static void become_program(const struct torture *torture, const struct fault *fault, bool list)
{
    char number[32];
    snprintf(number, sizeof number, "%lu", fault->at);
    dup2(open_for(work_path(torture, "in"), O_RDONLY), 0);
    dup2(open_for(work_path(torture, "out"), O_WRONLY | O_CREAT | O_TRUNC), 1);
    dup2(open_for(work_path(torture, "err"), O_WRONLY | O_CREAT | O_TRUNC), 2);
    setenv("FAIL_KIND", fault->kind, 1);
    setenv("FAIL_AT", number, 1);
    setenv("FAIL_HOW", fault->how, 1);
    setenv("FAIL_REPORT", work_path(torture, "report"), 1);
    if (list)
        setenv("FAIL_LIST", work_path(torture, "list"), 1);
    setenv("LD_PRELOAD", torture->library, 1);
    setenv("PATH", torture->path, 1);
    setenv("MALLOC_PERTURB_", "165", 1); /* freed and new memory is no longer zero by luck */
    personality(ADDR_NO_RANDOMIZE);      /* the same way to an allocation has the same hash */
    alarm(LIMIT_S);
    execv(torture->program, torture->argv);
    _exit(98);
}

static struct outcome run(struct torture *torture, const struct fault *fault, bool list)
{
    struct outcome outcome = {.code = -1};
    int state;
    size_t length;
    unlink(work_path(torture, "report"));
    pid_t child = fork();
    need(child >= 0, "fork");
    if (child == 0)
        become_program(torture, fault, list);
    need(waitpid(child, &state, 0) == child, "wait");
    if (WIFEXITED(state))
        outcome.code = WEXITSTATUS(state);
    outcome.out = file_bytes(work_path(torture, "out"), &outcome.out_length);
    outcome.err = file_bytes(work_path(torture, "err"), &outcome.err_length);
    char *report = file_bytes(work_path(torture, "report"), &length);
    if (sscanf(report, "%lu %lu %ld %23s %d", &outcome.memory_calls, &outcome.system_calls, &outcome.live_blocks, outcome.call, &outcome.descriptor) != 5)
        outcome.code = -1; /* it ended before it could say so */
    free(report);
    return outcome;
}

static bool same_bytes(const char *a, size_t a_length, const char *b, size_t b_length)
{
    return a_length == b_length && memcmp(a, b, a_length) == 0;
}

static bool same_out(const struct outcome *a, const struct outcome *b)
{
    return same_bytes(a->out, a->out_length, b->out, b->out_length);
}

/* Whether it is a fault of calls to the system that comes so. */
static bool is_system(const struct fault *fault, const char *how)
{
    return strcmp(fault->kind, "system") == 0 && strcmp(fault->how, how) == 0;
}

static bool records(const struct torture *torture)
{
    return torture->argv[1] && strcmp(torture->argv[1], "record") == 0;
}

/* A talk records a specimen at a time: the journal may hold the first of them. An empty one may stay, since it may hold another writer's rows by now. */
static bool is_start_of_journal(const struct torture *torture, const struct entry *entry)
{
    const struct entry *after = folder_find(&torture->after, entry->path);
    return records(torture) && after && S_ISREG(entry->mode) && entry->length <= after->length && memcmp(entry->bytes, after->bytes, entry->length) == 0
        && (entry->length == 0 || entry->bytes[entry->length - 1] == '\n');
}

/* Left over with good reason: what cannot be removed. */
static bool may_stay(const struct torture *torture, const struct fault *fault, const struct outcome *outcome, const struct entry *entry)
{
    const char *slash = strrchr(entry->path, '/'), *name = slash ? slash + 1 : entry->path;
    bool cannot_remove = is_system(fault, "always") || strcmp(outcome->call, "unlink") == 0 || strcmp(outcome->call, "rmdir") == 0;
    bool temporary = strncmp(name, ".new-", 5) == 0 || strstr(entry->path, "/.drawing-");
    bool torn = records(torture) && strlen(name) > 5 && strcmp(name + strlen(name) - 5, ".torn") == 0; /* a copy, made before anything is cut off */
    return (cannot_remove && temporary) || torn || is_start_of_journal(torture, entry);
}

/* What is wrong with the files, or NULL: each must be as it was or as it was to become. */
static const char *judge_files(const struct torture *torture, const struct fault *fault, const struct outcome *outcome, bool answered)
{
    struct folder now;
    const char *wrong = NULL;
    folder_read(&now);
    for (size_t i = 0; i < now.n_items && !wrong; i++) {
        const struct entry *entry = &now.items[i], *before = folder_find(&torture->before, entry->path), *after = folder_find(&torture->after, entry->path);
        if (!(entry_same(entry, before) && !answered) && !entry_same(entry, after) && !may_stay(torture, fault, outcome, entry))
            wrong = answered ? "the answer is right but the files are not" : "a file is neither as it was nor as it should become";
    }
    for (size_t i = 0; i < torture->after.n_items && !wrong; i++) {
        const char *path = torture->after.items[i].path;
        if (!folder_find(&now, path) && (answered || folder_find(&torture->before, path)))
            wrong = "a file is gone";
    }
    folder_release(&now);
    return wrong;
}

/* What is wrong with a failure that is told, or NULL. */
static const char *judge_failure(const struct torture *torture, const struct fault *fault, const struct outcome *outcome)
{
    bool memory = strcmp(fault->kind, "memory") == 0, mute = outcome->descriptor == 2 || is_system(fault, "always"); /* mute: no word can be written */
    bool another = strcmp(outcome->call, "open") == 0; /* two threads write charts: an interrupt meant for another call met this one */
    if (fault->must_pass && !another)
        return "this should not have mattered";
    if (outcome->code != 4 && (memory || outcome->code != 3))
        return "neither the right answer nor a failure of the system";
    if (!mute && !tells_error(outcome->err))
        return "it fails without a message";
    if (memory && !strstr(outcome->err, "memory"))
        return "the message does not speak of memory";
    if (outcome->out_length > 0 && strcmp(outcome->call, "write") != 0 && !records(torture) && !same_out(outcome, &torture->sound))
        return "it fails but prints half an answer";
    return NULL;
}

static const char *judge(const struct torture *torture, const struct fault *fault, const struct outcome *outcome, bool *answered)
{
    const struct outcome *sound = &torture->sound;
    bool mute = outcome->descriptor == 2 || is_system(fault, "always");
    bool unheard = mute && sound->code > 1; /* it fails either way, and nobody hears of what */
    bool undrawn = strcmp(outcome->call, "posix_spawnp") == 0; /* gnuplot is out of reach either way: only why is told in other words */
    *answered = outcome->code == sound->code && same_out(outcome, sound)
             && (mute || undrawn || same_bytes(outcome->err, outcome->err_length, sound->err, sound->err_length));
    if (outcome->code < 0)
        return "it crashed or hung";
    if (outcome->code > 4)
        return "no listed exit code";
    if (outcome->live_blocks > sound->live_blocks)
        return "memory leaks";
    const char *wrong = *answered ? NULL : judge_failure(torture, fault, outcome);
    return wrong ? wrong : judge_files(torture, fault, outcome, *answered && !unheard);
}

static void tell_words(const struct torture *torture)
{
    for (char **word = torture->argv + 1; *word; word++)
        fprintf(torture->results, " %s", *word);
    fprintf(torture->results, "\n");
}

static void tell(struct torture *torture, const struct fault *fault, const struct outcome *outcome, const char *why)
{
    torture->wrong++;
    fprintf(torture->results, "WRONG: %s: %s %lu %s (%s of %d), exit %d:", why, fault->kind, fault->at, fault->how, outcome->call,
            outcome->descriptor, outcome->code);
    tell_words(torture);
    fprintf(torture->results, "    with %s standard output, said: %.300s\n", same_out(outcome, &torture->sound) ? "the same" : "another", outcome->err);
}

static void restore(const struct torture *torture)
{
    struct folder now;
    folder_read(&now);
    if (!folder_same(&now, &torture->before))
        folder_restore(&torture->before);
    folder_release(&now);
}

/* What the runs of the program took so far. */
static time_t processor_s(void)
{
    struct rusage usage;
    need(getrusage(RUSAGE_CHILDREN, &usage) == 0, "getrusage");
    return usage.ru_utime.tv_sec + usage.ru_stime.tv_sec;
}

/* Returns in call what failed, when that is asked for. */
static void try_fault(struct torture *torture, const struct fault *fault, char call[24])
{
    bool answered;
    if (processor_s() > torture->most_s) {
        torture->cut_short = true;
        return;
    }
    struct outcome outcome = run(torture, fault, false);
    const char *why = judge(torture, fault, &outcome, &answered);
    torture->runs++;
    if (why)
        tell(torture, fault, &outcome, why);
    else if (answered)
        torture->right++;
    else
        torture->refused++;
    if (call)
        memcpy(call, outcome.call, sizeof outcome.call);
    outcome_release(&outcome);
    restore(torture);
}

/* Whether this way to an allocation was not tried before in any case. */
static bool new_way(const char *remembered, const char *way)
{
    char path[512];
    if (!remembered)
        return true;
    snprintf(path, sizeof path, "%s/%s", remembered, way);
    int descriptor = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    if (descriptor >= 0)
        close(descriptor);
    return descriptor >= 0;
}

/* Fails the allocations that the sound run listed, each reached in another way, once and, when all are tried, from then on. */
static void try_memory(struct torture *torture)
{
    size_t length;
    char *list = file_bytes(work_path(torture, "list"), &length), way[32];
    const char *remembered = getenv("TORTURE_WAYS");
    unsigned long number;
    for (const char *at = list; *at && sscanf(at, "%lu %31s", &number, way) == 2; at += strcspn(at, "\n") + 1) {
        if (!new_way(remembered, way))
            continue;
        try_fault(torture, &(struct fault){"memory", "once", number, false}, NULL);
        if (!remembered)
            try_fault(torture, &(struct fault){"memory", "always", number, false}, NULL);
    }
    free(list);
}

static void try_system(struct torture *torture)
{
    bool quick = getenv("TORTURE_WAYS") != NULL;
    unsigned long n = torture->sound.system_calls, step = quick ? 1 + n / SYSTEM_CALLS_QUICK : 1;
    for (unsigned long at = 1; at <= n; at += step) {
        char call[24] = "none";
        try_fault(torture, &(struct fault){"system", "once", at, false}, call);
        if (!quick)
            try_fault(torture, &(struct fault){"system", "always", at, false}, NULL);
        if (is_among(call, "read pread write fsync ftruncate flock poll"))
            try_fault(torture, &(struct fault){"system", "interrupt", at, true}, NULL);
        if (is_among(call, "read pread write"))
            try_fault(torture, &(struct fault){"system", "short", at, true}, NULL);
    }
}

/* Takes all of a pipe or file; nothing of a terminal. */
static void take_input(struct torture *torture)
{
    size_t capacity = 1 << 16;
    ssize_t n = 1;
    torture->input = malloc(capacity);
    need(torture->input != NULL, "memory");
    while (!isatty(0) && (n = read(0, torture->input + torture->input_length, capacity - torture->input_length)) > 0) {
        torture->input_length += (size_t)n;
        if (torture->input_length == capacity)
            torture->input = realloc(torture->input, capacity *= 2);
        need(torture->input != NULL, "memory");
    }
    int descriptor = open_for(work_path(torture, "in"), O_WRONLY | O_CREAT | O_TRUNC);
    need(write(descriptor, torture->input, torture->input_length) == (ssize_t)torture->input_length, "input");
    close(descriptor);
}

static void torture_call(struct torture *torture)
{
    folder_read(&torture->before);
    need(mkdir(work_path(torture, "folder"), 0700) == 0 && chdir(work_path(torture, "folder")) == 0, "folder");
    folder_restore(&torture->before);
    torture->sound = run(torture, &(struct fault){"memory", "once", 0, true}, true);
    need(torture->sound.code >= 0, "the sound run");
    folder_read(&torture->after);
    restore(torture);
    torture->most_s = processor_s() + (time_t)strtoul(getenv("TORTURE_SECONDS"), NULL, 10);
    try_memory(torture);
    try_system(torture);
}

static void clean_up(struct torture *torture)
{
    static const char *const names[] = {"in", "out", "err", "report", "list"};
    folder_restore(&(struct folder){0});
    need(chdir("/") == 0, "/");
    rmdir(work_path(torture, "folder"));
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        unlink(work_path(torture, names[i]));
    rmdir(torture->work);
}

int main(int argc, char **argv)
{
    struct torture torture = {.argv = argv, .program = getenv("TORTURE_PROGRAM"), .library = getenv("TORTURE_LIBRARY"), .path = "/nonexistent"};
    const char *results = getenv("TORTURE_RESULTS");
    int here = open(".", O_RDONLY | O_DIRECTORY | O_CLOEXEC), input;
    need(argc > 0 && here >= 0 && torture.program && torture.library && results && getenv("TORTURE_SECONDS"), "TORTURE_*");
    snprintf(torture.work, sizeof torture.work, "%s/torture-XXXXXX", access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp");
    need(mkdtemp(torture.work) != NULL, torture.work);
    torture.results = fopen(results, "ae");
    need(torture.results != NULL, results);
    take_input(&torture);
    torture_call(&torture);
    fprintf(torture.results, "RUNS %lu %lu %lu %lu %d\n", torture.runs, torture.right, torture.refused, torture.wrong, torture.cut_short);
    if (torture.cut_short) {
        fprintf(torture.results, "cut short for time:");
        tell_words(&torture);
    }
    fclose(torture.results);
    input = open_for(work_path(&torture, "in"), O_RDONLY);
    clean_up(&torture);
    need(fchdir(here) == 0 && dup2(input, 0) == 0, "the real run");
    execv(torture.program, argv);
    return 98;
}
