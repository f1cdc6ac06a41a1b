/*
 * Any bytes as a command line: the first line names the command, each further
 * line is an argument. Options are settled and their words read; no file is,
 * but a study file.
 */
#include "fuzz.h"

#include "cli/lookup.h"
#include "commands/record.h"
#include "commands/study.h"

#include <string.h>

enum { ARGUMENTS = 40 };

static int take_apart(char *text, char **argv)
{
    int argc = 0;
    for (char *at = text; at && argc < ARGUMENTS; argc++) {
        argv[argc] = at;
        at = strchr(at, '\n');
        if (at)
            *at++ = '\0';
    }
    argv[argc] = NULL;
    return argc;
}

static void settle(struct run *run, const struct option_group *groups)
{
    struct study study = {0};
    struct recommend_request request;
    enum status status = study_settle_options(run, groups, &study);
    if (status == STATUS_OK)
        status = study_make_request(run, &study, &request);
    PROMISE(status <= STATUS_MEMORY && (status == STATUS_OK) == (run->problems.n_errors == 0));
    study_release(&study);
}

/* record keeps its options in a struct of its own; only the line is read here, nothing is recorded. */
static void record_line(struct run *run)
{
    struct record_job job = {.run = run, .units = -1};
    struct text_list arguments = {0};
    enum status status = option_parse(record_groups, run->argc, run->argv, &job, &arguments, &run->problems);
    PROMISE((status == STATUS_OK) == (run->problems.n_errors == 0));
    text_list_release(&arguments);
    text_list_release(&job.columns);
}

static void help(int argc, char **argv)
{
    struct run run = {.argc = argc, .argv = argv};
    bool writes = false;
    for (int i = 0; i < argc; i++)
        writes = writes || strncmp(argv[i], "--o", 3) == 0 || strncmp(argv[i], "--s", 3) == 0;
    if (!writes) { /* --output would write a file, --study may name one */
        enum status status = command_help(&run);
        PROMISE((status == STATUS_OK) == (run.problems.n_errors == 0) && !run.out.failed);
    }
    text_release(&run.out);
    problem_list_release(&run.problems);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *text = fuzz_text(data, size), *argv[ARGUMENTS + 1], sentence[1024];
    int argc = take_apart(text, argv);
    struct run run = {.argc = argc - 1, .argv = argv + 1};
    struct problem problem = {0};
    const struct command_row *row = command_find(argv[0], &problem);
    if (row == NULL)
        PROMISE(problem.text[0]);
    else if (row->run == command_help)
        help(run.argc, run.argv);
    else if (row->run == command_record)
        record_line(&run);
    else
        settle(&run, row->page.groups);
    for (size_t i = 0; i < run.problems.n_items; i++) {
        problem_sentence(&run.problems.items[i], sentence, sizeof sentence);
        PROMISE(sentence[0] && text_is_utf8(sentence, strlen(sentence), &(size_t){0}));
    }
    text_release(&run.out);
    problem_list_release(&run.problems);
    free(text);
    return 0;
}
