#include "cli/option.h"

#include "base/memory.h"
#include "base/number.h"
#include "cli/lookup.h"

#include <stdint.h>
#include <string.h>

/* How the user wrote an option, for messages: --name on the command line, name in a study file. */
struct written { const char *dashes, *name; };

bool text_list_add(struct text_list *list, const char *item)
{
    void *items = (void *)list->items;
    if (!memory_reserve(&items, &list->capacity, list->n_items + 1, sizeof *list->items))
        return false;
    list->items = items;
    list->items[list->n_items++] = item;
    return true;
}

void text_list_release(struct text_list *list)
{
    memory_free((void *)list->items);
    *list = (struct text_list){0};
}

static enum status set_flag(const struct option_row *row, struct written as, const char *value,
                            bool *target, struct problem *problem)
{
    if (value == NULL || strcmp(value, "yes") == 0)
        *target = true;
    else if (strcmp(value, "no") == 0)
        *target = false;
    else
        return problem_set(problem, STATUS_USAGE, NULL, "'%s%s': '%s' is neither yes nor no", as.dashes, row->name, value);
    return STATUS_OK;
}

/* Parses and holds against the row's range; the sentence repeats what was typed. */
static enum status read_number(const struct option_row *row, struct written as, const char *value,
                               double *number, struct problem *problem)
{
    char complaint[200];
    const char *wrong = number_parse(value, strlen(value), '.', number);
    if (wrong) {
        number_complain(wrong, value, complaint, sizeof complaint);
        return problem_set(problem, STATUS_USAGE, NULL, "'%s%s': '%s' %s", as.dashes, row->name, value, complaint);
    }
    if (row->kind == OPTION_WHOLE && (*number < 0 || *number > 9007199254740992.0 || *number != (double)(uint64_t)*number))
        return problem_set(problem, STATUS_USAGE, NULL, "'%s%s': '%s' is not a whole number", as.dashes, row->name, value);
    if (*number >= row->minimum && *number <= row->maximum)
        return STATUS_OK;
    return problem_set(problem, STATUS_USAGE, NULL, "'%s%s': '%s' does not lie between %.10g and %.10g",
                       as.dashes, row->name, value, row->minimum, row->maximum);
}

static enum status set_choice(const struct option_row *row, struct written as, const char *value,
                              int *target, struct problem *problem)
{
    struct text list = {0};
    size_t n = 0;
    for (; row->choices[n]; n++) {
        if (strcmp(row->choices[n], value) == 0) {
            text_release(&list);
            *target = (int)n;
            return STATUS_OK;
        }
        text_addf(&list, "%s%s", n ? ", " : "", row->choices[n]);
    }
    const char *near = text_nearest(value, row->choices, n);
    enum status status = problem_set(problem, STATUS_USAGE, NULL, "'%s%s': '%s' is none of %s%s%s%s", as.dashes, row->name, value, list.bytes ? list.bytes : "",
                                     near ? "; did you mean '" : "", near ? near : "", near ? "'?" : "");
    if (list.failed)
        status = problem_set(problem, STATUS_MEMORY, NULL, "no memory left");
    text_release(&list);
    return status;
}

/* Puts a value where its row says. value NULL only for a flag. */
static enum status set_value(const struct option_row *row, struct written as, const char *value,
                             void *target, struct problem *problem)
{
    char *at = (char *)target + row->offset;
    double number;
    enum status status = STATUS_OK;
    switch (row->kind) {
    case OPTION_FLAG:
        return set_flag(row, as, value, (bool *)(void *)at, problem);
    case OPTION_TEXT:
        *(const char **)(void *)at = value;
        return STATUS_OK;
    case OPTION_TEXT_LIST:
        if (!text_list_add((struct text_list *)(void *)at, value))
            return problem_set(problem, STATUS_MEMORY, NULL, "no memory left for '%s%s'", as.dashes, row->name);
        return STATUS_OK;
    case OPTION_NUMBER:
        status = read_number(row, as, value, &number, problem);
        if (status == STATUS_OK)
            *(double *)(void *)at = number;
        return status;
    case OPTION_WHOLE:
        status = read_number(row, as, value, &number, problem);
        if (status == STATUS_OK)
            *(unsigned long *)(void *)at = (unsigned long)number;
        return status;
    case OPTION_CHOICE:
        return set_choice(row, as, value, (int *)(void *)at, problem);
    }
    return status;
}

/* One argument of the command line that begins with "--". */
struct given {
    char name[64];
    const char *value; /* NULL when there is none */
    bool attached;     /* --name=value */
};

/* The names of a table's options are short; a longer one is unknown whatever it says. */
static void split_given(const char *argument, struct given *given)
{
    const char *name = argument + 2, *equals = strchr(name, '=');
    size_t length = equals ? (size_t)(equals - name) : strlen(name);
    if (length >= sizeof given->name)
        length = sizeof given->name - 1;
    memcpy(given->name, name, length);
    given->name[length] = '\0';
    given->value = equals ? equals + 1 : NULL;
    given->attached = equals != NULL;
}

static enum status unknown_option(const struct option_group *groups, struct written as, struct problem *problem)
{
    const char *near = option_nearest(groups, as.name);
    if (near)
        return problem_set(problem, STATUS_USAGE, NULL, "there is no option '%s%s'; did you mean '%s%s'?",
                           as.dashes, as.name, as.dashes, near);
    return problem_set(problem, STATUS_USAGE, NULL, "there is no option '%s%s' here; --help lists them", as.dashes, as.name);
}

/* Handles argv[i]; *used says how many arguments it took. */
static enum status parse_one(const struct option_group *groups, int left, char **argv, void *target,
                             int *used, struct problem *problem)
{
    struct given given;
    split_given(argv[0], &given);
    *used = 1;
    const struct option_row *row = option_find(groups, given.name);
    if (row == NULL)
        return unknown_option(groups, (struct written){"--", given.name}, problem);
    if (row->kind == OPTION_FLAG) {
        if (given.attached)
            return problem_set(problem, STATUS_USAGE, NULL, "'--%s' takes no value", row->name);
        return set_value(row, (struct written){"--", row->name}, NULL, target, problem);
    }
    if (!given.attached) {
        if (left < 2 || strncmp(argv[1], "--", 2) == 0)
            return problem_set(problem, STATUS_USAGE, NULL, "'--%s' needs a value: --%s=%s", row->name, row->name,
                               row->argument ? row->argument : "WORD");
        given.value = argv[1];
        *used = 2;
    }
    if (given.value[0] == '\0')
        return problem_set(problem, STATUS_USAGE, NULL, "'--%s' has an empty value", row->name);
    return set_value(row, (struct written){"--", row->name}, given.value, target, problem);
}

enum status option_parse(const struct option_group *groups, int argc, char **argv, void *target,
                         struct text_list *arguments, struct problem_list *problems)
{
    bool options_over = false;
    size_t errors_before = problems->n_errors;
    for (int i = 0; i < argc;) {
        struct problem problem = {0};
        int used = 1;
        enum status status = STATUS_OK;
        if (!options_over && strcmp(argv[i], "--") == 0)
            options_over = true;
        else if (!options_over && strncmp(argv[i], "--", 2) == 0)
            status = parse_one(groups, argc - i, argv + i, target, &used, &problem);
        else if (!options_over && argv[i][0] == '-' && argv[i][1] != '\0')
            status = problem_set(&problem, STATUS_USAGE, NULL,
                                 "there is no option '%s': options have two dashes (a file of that name is written './%s')",
                                 argv[i], argv[i]);
        else if (!text_list_add(arguments, argv[i]))
            status = problem_set(&problem, STATUS_MEMORY, NULL, "no memory left for the command line");
        if (status != STATUS_OK)
            problem_list_take(problems, &problem);
        i += used;
    }
    return problems->n_errors == errors_before ? STATUS_OK : problems->worst;
}

enum status option_set(const struct option_group *groups, const char *name, const char *value,
                       void *target, struct problem *problem)
{
    const struct option_row *row = option_find(groups, name);
    if (row == NULL)
        return unknown_option(groups, (struct written){"", name}, problem);
    if (value[0] == '\0')
        return problem_set(problem, STATUS_USAGE, NULL, "'%s' has an empty value", name);
    return set_value(row, (struct written){"", name}, value, target, problem);
}
