#ifndef COMMANDS_COMMAND_H
#define COMMANDS_COMMAND_H

#include "base/problem.h"
#include "base/text.h"
#include "cli/option.h"

/*
 * What a command hands back to main: text for standard output, problems for
 * standard error. Commands write files, never to the terminal.
 */
struct run {
    int argc;                /* after the command's name */
    char **argv;
    struct text out;
    struct problem_list problems;
    bool quiet;
};

struct command_row {
    const char *name;
    const char *summary;     /* one line */
    const char *arguments;   /* "SPECIMENS.csv..." */
    const char *example;     /* a full command line that runs in the project's folder */
    const struct option_group *groups;
    enum status (*run)(struct run *run);
};

extern const struct command_row command_table[];
extern const size_t n_commands;

enum status command_check(struct run *run);
enum status command_results(struct run *run);
enum status command_compare(struct run *run);
enum status command_fit(struct run *run);
enum status command_recommend(struct run *run);
enum status command_chart(struct run *run);
enum status command_report(struct run *run);

#endif
