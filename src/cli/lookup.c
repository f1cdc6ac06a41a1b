#include "cli/lookup.h"

#include <string.h>

const struct option_row *option_find(const struct option_group *groups, const char *name)
{
    for (; groups->title; groups++)
        for (size_t i = 0; i < groups->n_rows; i++)
            if (strcmp(groups->rows[i].name, name) == 0)
                return &groups->rows[i];
    return NULL;
}

const char *option_nearest(const struct option_group *groups, const char *name)
{
    struct text_list names = {0};
    for (; groups->title; groups++)
        for (size_t i = 0; i < groups->n_rows; i++)
            if (!text_list_add(&names, groups->rows[i].name))
                break; /* a missing suggestion is no failure */
    const char *near = names.n_items ? text_nearest(name, names.items, names.n_items) : NULL;
    text_list_release(&names);
    return near;
}

static void append(char *out, size_t size, const char *string)
{
    size_t used = strlen(out), length = strlen(string);
    if (used + length >= size)
        length = size - used - 1;
    memcpy(out + used, string, length);
    out[used + length] = '\0';
}

void option_argument(const struct option_row *row, char *out, size_t size)
{
    out[0] = '\0';
    if (row->kind == OPTION_FLAG)
        return;
    if (row->argument || row->choices == NULL) {
        append(out, size, row->argument ? row->argument : "VALUE");
        return;
    }
    for (size_t i = 0; row->choices[i]; i++) {
        if (i)
            append(out, size, "|");
        append(out, size, row->choices[i]);
    }
}
