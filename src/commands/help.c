#include "commands/command.h"

#include "commands/help_topics.h"
#include "commands/options.h"

#include "base/file.h"

#include <stddef.h>
#include <string.h>

struct help_options {
    bool man, help;
    int shell; /* -1: none */
    const char *output;
};

static const char *const shell_words[] = {[SHELL_BASH] = "bash", [SHELL_ZSH] = "zsh", [SHELL_FISH] = "fish", NULL};
static const struct option_row rows[] = {
    {"man", OPTION_FLAG, NULL, "write the manual page (troff)", offsetof(struct help_options, man), 0, 0, NULL},
    {"completion", OPTION_CHOICE, NULL, "write the completions of a shell", offsetof(struct help_options, shell), 0, 0, shell_words},
    {"output", OPTION_TEXT, "PATH", "write here instead of to the screen", offsetof(struct help_options, output), 0, 0, NULL},
    {"help", OPTION_FLAG, NULL, "explain the command", offsetof(struct help_options, help), 0, 0, NULL},
};
const struct option_group help_groups[] = {{"Help", rows, sizeof rows / sizeof rows[0]}, {NULL, NULL, 0}};

static enum status explain(struct run *run, const struct text_list *names)
{
    for (size_t i = 0; i < names->n_items; i++) {
        struct problem problem = {0};
        const char *name = names->items[i], *near;
        const struct command_row *row = command_find(name, &problem);
        text_add(&run->out, i ? "\n" : "");
        if (row)
            page_help("plumestone", &row->page, &run->out);
        if (row || help_topic(name, &run->out))
            continue;
        near = strstr(problem.text, "did you mean") ? NULL : help_topic_nearest(name);
        if (near)
            problem_set(&problem, STATUS_USAGE, NULL, "there is no command, topic or option '%s'; did you mean '%s'?", name, near);
        problem_list_take(&run->problems, &problem);
        return problem.status;
    }
    if (names->n_items == 0)
        command_overview(&run->out);
    return STATUS_OK;
}

static enum status write_help(struct run *run, const struct help_options *options, const struct text_list *names)
{
    enum status status = STATUS_OK;
    struct problem problem = {0};
    if (options->man)
        command_man(&run->out);
    else if (options->shell >= 0)
        command_completion((enum shell)options->shell, &run->out);
    else
        status = explain(run, names);
    if (status == STATUS_OK && run->out.failed)
        problem_list_add(&run->problems, SEVERITY_ERROR, status = STATUS_MEMORY, NULL, "no memory left");
    if (status != STATUS_OK || options->output == NULL)
        return status;
    status = file_replace(options->output, run->out.bytes, run->out.length, &problem);
    if (status != STATUS_OK)
        problem_list_take(&run->problems, &problem);
    text_clear(&run->out);
    return status;
}

enum status command_help(struct run *run)
{
    struct help_options options = {.shell = -1};
    struct text_list names = {0};
    enum status status = option_parse(help_groups, run->argc, run->argv, &options, &names, &run->problems);
    if (status == STATUS_OK)
        status = write_help(run, &options, &names);
    text_list_release(&names);
    return status;
}
