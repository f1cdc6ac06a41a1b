#ifndef CLI_OPTION_H
#define CLI_OPTION_H

#include "base/problem.h"
#include "base/text.h"

#include <stdbool.h>
#include <stddef.h>

enum option_kind {
    OPTION_FLAG,      /* bool */
    OPTION_TEXT,      /* const char * */
    OPTION_TEXT_LIST, /* struct text_list, repeatable */
    OPTION_NUMBER,    /* double in [minimum, maximum] */
    OPTION_WHOLE,     /* unsigned long in [minimum, maximum] */
    OPTION_CHOICE     /* int: index into choices (NULL-terminated) */
};

struct text_list { const char **items; size_t n_items, capacity; };

/* One option: everything that parsing, help, man page and completions need. */
struct option_row {
    const char *name;          /* without the dashes */
    enum option_kind kind;
    const char *argument;      /* "FILE", NULL for a flag */
    const char *help;          /* one line */
    size_t offset;             /* of the value in the options struct */
    double minimum, maximum;   /* numbers; an open range is written with a tiny margin */
    const char *const *choices;
};

/* A group of rows; a command is described by several (common, deciding, own). Ends with title NULL. */
struct option_group { const char *title; const struct option_row *rows; size_t n_rows; };

/*
 * Parses argv into the struct at target (rows' offsets); what is no option
 * goes to arguments, in order; "--" ends options; "-" is an argument;
 * `--name=value` and `--name value` both do. Unknown options name the nearest
 * one. Lists and arguments borrow argv; release the lists with text_list_release().
 * STATUS_USAGE with one sentence per problem (all of them).
 */
enum status option_parse(const struct option_group *groups, int argc, char **argv, void *target,
                         struct text_list *arguments, struct problem_list *problems);

/* Sets one option from `name = value` text (study file). STATUS_USAGE as above. Value must outlive target. */
enum status option_set(const struct option_group *groups, const char *name, const char *value,
                       void *target, struct problem *problem);
bool text_list_add(struct text_list *list, const char *item);
void text_list_release(struct text_list *list);

/* Help text of a group list, 80 columns. */
void option_help(const struct option_group *groups, struct text *out);

#endif
