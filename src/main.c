/* plumestone: finds the command, runs it, prints what it hands back, exits. */
#include "base/file.h"
#include "base/memory.h"
#include "commands/command.h"
#include "output/print.h"
#include "output/progress.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdbool.h>
#include <string.h>
#include <unistd.h>

#define PROGRAM "plumestone"
#define PATIENCE_MS 2000 /* work that takes longer is told at a terminal */

/*
 * Keeps the real standard output to ourselves, because libraries print on
 * descriptor 1 as they please; theirs goes to standard error. A descriptor that
 * was closed by the caller is filled, so that no file of ours lands on it.
 * Returns the private descriptor, -1 when standard output was closed.
 */
static int take_standard_output(void)
{
    bool closed = fcntl(STDOUT_FILENO, F_GETFD) == -1 && errno == EBADF;
    for (int descriptor = 0; descriptor <= 2; descriptor++)
        if (fcntl(descriptor, F_GETFD) == -1 && open("/dev/null", O_RDWR) != descriptor)
            return -1;
    int private_output = closed ? -1 : fcntl(STDOUT_FILENO, F_DUPFD_CLOEXEC, 3);
    if (dup2(STDERR_FILENO, STDOUT_FILENO) == -1)
        return -1;
    return private_output;
}

static void ignore_signals(void)
{
    struct sigaction ignore = {.sa_handler = SIG_IGN};
    sigaction(SIGPIPE, &ignore, NULL);
    sigaction(SIGXFSZ, &ignore, NULL);
}

/* Whether a word stands among the options. */
static bool has_word(int argc, char **argv, const char *word)
{
    for (int i = 0; i < argc && strcmp(argv[i], "--") != 0; i++)
        if (strcmp(argv[i], word) == 0)
            return true;
    return false;
}

static bool asks_for_help(int argc, char **argv)
{
    return has_word(argc, argv, "--help") || has_word(argc, argv, "-h");
}

/* "recommend help", where no file is so named. */
static bool means_help(int argc, char **argv)
{
    return argc > 0 && strcmp(argv[0], "help") == 0 && access("help", F_OK) != 0;
}

/* Whoever talks at the terminal, or asked for quiet, is not talked into. */
static enum status run_patiently(const struct command_row *row, struct run *run)
{
    struct progress progress = {0};
    if (row->run != command_record && !has_word(run->argc, run->argv, "--quiet"))
        progress_start(&progress, STDERR_FILENO, PATIENCE_MS);
    enum status status = row->run(run);
    progress_stop(&progress);
    return status;
}

static enum status run_command(struct run *run, char **argv)
{
    struct problem problem = {0};
    const struct command_row *row = command_find(argv[1], &problem);
    if (row == NULL) {
        problem_list_take(&run->problems, &problem);
        return problem.status;
    }
    if (asks_for_help(run->argc, run->argv) || (row->run != command_help && means_help(run->argc, run->argv))) {
        run->argc = 1;
        run->argv = argv + 1;
        return command_help(run);
    }
    return run_patiently(row, run);
}

static enum status run_program(struct run *run, int argc, char **argv)
{
    if (argc < 2) {
        problem_list_add(&run->problems, SEVERITY_ERROR, STATUS_USAGE, NULL, "name a command; '" PROGRAM " help' lists them");
        return STATUS_USAGE;
    }
    if (strcmp(argv[1], "--version") == 0) {
        text_add(&run->out, PROGRAM " " PLUMESTONE_VERSION "\n");
        return STATUS_OK;
    }
    run->argc = argc - 2;
    run->argv = argv + 2;
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0)
        return command_help(run);
    return run_command(run, argv);
}

static bool tells_memory(const struct problem_list *problems)
{
    for (size_t i = 0; i < problems->n_items; i++)
        if (problems->items[i].severity == SEVERITY_ERROR && problems->items[i].status == STATUS_MEMORY)
            return true;
    return false;
}

/* When there is no room for the problems, one sentence is told that needs none. */
static enum status print_to_standard_error(const struct run *run, enum status status)
{
    static const char out_of_memory[] = PROGRAM ": no memory left\n";
    struct problem problem = {0};
    struct text lines = {0};
    print_problems(&run->problems, PROGRAM, run->quiet, &lines);
    if (!lines.failed)
        (void)print_bytes(STDERR_FILENO, "standard error", &lines, &problem);
    else
        status = STATUS_MEMORY;
    if (lines.failed || (status == STATUS_MEMORY && !tells_memory(&run->problems)))
        (void)file_write_all(STDERR_FILENO, out_of_memory, sizeof out_of_memory - 1);
    text_release(&lines);
    return status;
}

/* Standard output first, so that a problem with it can still be told. */
static enum status print(struct run *run, int standard_output, enum status status)
{
    struct problem problem = {0};
    if (run->out.failed || (status == STATUS_MEMORY && !run->acknowledges)) {
        status = STATUS_MEMORY; /* half an answer is none */
    } else if (print_bytes(standard_output, "standard output", &run->out, &problem) != STATUS_OK) {
        if (problem.text[0])
            problem_list_take(&run->problems, &problem);
        status = STATUS_IO;
    } else if (standard_output != -1 && close(standard_output) != 0) {
        problem_list_add(&run->problems, SEVERITY_ERROR, STATUS_IO, NULL, "standard output: %s", strerror(errno));
        status = STATUS_IO;
    }
    return print_to_standard_error(run, status);
}

int main(int argc, char **argv)
{
    struct run run = {0};
    memory_settle();
    ignore_signals();
    int standard_output = take_standard_output();
    run.screen = standard_output;
    enum status status = run_program(&run, argc, argv);
    if (status != STATUS_OK && status != STATUS_ANSWER_NO && run.problems.n_errors == 0)
        problem_list_add(&run.problems, SEVERITY_ERROR, status, NULL, "%s", status_text(status));
    if (memory_ran_out()) /* the answer may lack a part, or a note that would have said so */
        status = STATUS_MEMORY;
    status = print(&run, standard_output, status);
    text_release(&run.out);
    problem_list_release(&run.problems);
    return status_exit_code(status);
}
