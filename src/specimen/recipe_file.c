#include "specimen/recipe_file.h"

#include "base/memory.h"
#include "base/utf8.h"

#include <math.h>
#include <string.h>

static enum status take_heading(const struct row *row, const struct dialect *dialect, void *context)
{
    struct recipe_file *file = context;
    file->dialect = *dialect;
    enum status status = columns_bind(row, file->rules, file->n_rules, file->maps, file->n_maps, file->bindings, file->problems);
    if (status != STATUS_OK || file->bindings[file->required].index >= 0)
        return status;
    struct place place = { row->path, row->line, NULL };
    problem_list_add(file->problems, SEVERITY_ERROR, STATUS_INPUT, &place, "no column is '%s', which names the rows",
                     file->rules[file->required].name);
    return STATUS_INPUT;
}

static enum status take_row(const struct row *row, void *context)
{
    struct recipe_file *file = context;
    size_t before = file->problems->n_errors;
    enum status status = STATUS_OK;
    if (row_check_breaks(row, file->rules, file->n_rules, file->bindings, file->problems))
        status = file->take(file, row, file->list);
    file->failed |= file->problems->n_errors > before;
    return status;
}

enum status recipe_file_read(struct recipe_file *file, char **path_copy)
{
    struct dialect dialect = { 0 };
    struct row_receiver receiver = { .heading = take_heading, .row = take_row, .context = file };
    *path_copy = memory_text(file->path, strlen(file->path));
    if (!*path_copy) {
        struct row nowhere = { .path = file->path };
        return recipe_memory_out(file, &nowhere);
    }
    enum status status = reader_run(file->path, &dialect, &receiver, file->problems);
    return status == STATUS_OK && file->failed ? STATUS_INPUT : status;
}

bool recipe_text(struct recipe_file *file, const struct row *row, size_t rule, char **copy)
{
    const char *text = cell_text(row, &file->bindings[rule]);
    *copy = memory_text(text, strlen(text));
    return *copy != NULL;
}

bool recipe_number(struct recipe_file *file, const struct row *row, size_t rule, struct recipe_range range, double *value)
{
    const struct column_binding *binding = &file->bindings[rule];
    if (!cell_number(row, binding, &file->dialect, value, file->problems))
        return false;
    if (isnan(*value) || (*value >= range.least && *value <= range.most))
        return true;
    struct place place = { row->path, row->line, binding->heading };
    const struct unit *units = file->rules[rule].units;
    problem_list_add(file->problems, SEVERITY_ERROR, STATUS_INPUT, &place, "'%g%s%s' is not possible: it must be %g to %g",
                     *value, units ? " " : "", units ? units[0].symbol : "", range.least, range.most);
    return false;
}

bool recipe_name_good(struct recipe_file *file, const struct row *row, size_t rule, const char *name, size_t first_line)
{
    struct place place = { row->path, row->line, file->bindings[rule].heading };
    if (name[0] && first_line == 0)
        return true;
    if (!name[0])
        problem_list_add(file->problems, SEVERITY_ERROR, STATUS_INPUT, &place, "the name is empty");
    else
        problem_list_add(file->problems, SEVERITY_ERROR, STATUS_INPUT, &place, "'%.*s' stands twice, first on line %zu",
                         (int)utf8_cut(name, 60), name, first_line);
    return false;
}

enum status recipe_memory_out(struct recipe_file *file, const struct row *row)
{
    struct place place = { row->path, row->line, NULL };
    problem_list_add(file->problems, SEVERITY_ERROR, STATUS_MEMORY, &place, "no memory left");
    return STATUS_MEMORY;
}

static const char *name_of(const char *item, size_t name_offset)
{
    char *name;
    memcpy(&name, item + name_offset, sizeof name);
    return name;
}

const void *recipe_find(const void *items, size_t n_items, size_t item_size, size_t name_offset, const char *name)
{
    const char *first = items, *end = n_items > 0 ? first + n_items * item_size : first;
    for (const char *item = first; item < end; item += item_size)
        if (strcmp(name_of(item, name_offset), name) == 0)
            return item;
    for (const char *item = first; item < end; item += item_size)
        if (heading_same(name_of(item, name_offset), name))
            return item;
    return NULL;
}
