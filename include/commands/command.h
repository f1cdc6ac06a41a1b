#ifndef COMMANDS_COMMAND_H
#define COMMANDS_COMMAND_H

#include "base/problem.h"
#include "base/text.h"
#include "cli/page.h"

/*
 * What a command hands back to main: text for standard output, problems for
 * standard error. Commands write files, never to the terminal.
 */
struct run {
    int argc;                /* after the command's name */
    char **argv;
    struct text out;
    struct problem_list problems;
    bool quiet;              /* notices are not shown */
    int screen;              /* descriptor that out will go to, to ask what it can show; -1: none */
    bool acknowledges;       /* out tells of something done: it is printed whatever fails afterwards */
};

struct command_row {
    struct command_page page;
    enum status (*run)(struct run *run);
};

extern const struct command_row command_table[];
extern const size_t n_commands;

/* The row of that name; NULL with the nearest name in problem (STATUS_USAGE). */
const struct command_row *command_find(const char *name, struct problem *problem);

/* The overview that `plumestone help` shows. */
void command_overview(struct text *out);
void command_man(struct text *out);
void command_completion(enum shell shell, struct text *out);

enum status command_check(struct run *run);
enum status command_record(struct run *run);
enum status command_results(struct run *run);
enum status command_compare(struct run *run);
enum status command_fit(struct run *run);
enum status command_recommend(struct run *run);
enum status command_chart(struct run *run);
enum status command_report(struct run *run);
enum status command_plan(struct run *run);
enum status command_batch(struct run *run);
enum status command_help(struct run *run);

#endif
