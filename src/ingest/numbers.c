#include "ingest/numbers.h"

#include "base/memory.h"
#include "base/text.h"
#include "ingest/headings.h"

#include <math.h>
#include <string.h>

/* What the rows of one file are gathered into. */
struct gathering {
    const char *const *headings;
    size_t n_columns;
    const char *label_heading;
    struct column_binding *bindings; /* n_columns, then the label */
    struct number_table *table;
    struct problem_list *problems;
    struct dialect dialect;
    size_t value_capacity, line_capacity, label_capacity;
    bool failed;
};

static void missing_heading(struct gathering *gathering, const struct row *row, const char *wanted)
{
    struct place place = { row->path, row->line, NULL };
    struct text text = { 0 };
    const char *nearest = heading_nearest(row, wanted);
    text_addf(&text, "no heading is '%.100s'", wanted);
    if (nearest)
        text_addf(&text, ": did you mean '%.100s'?", nearest);
    for (size_t i = 0; !nearest && i < row->n_cells; i++)
        text_addf(&text, "%s'%.60s'", i ? ", " : "; the headings are ", row->cells[i].text);
    problem_list_add(gathering->problems, SEVERITY_ERROR, STATUS_INPUT, &place, "%s",
                     text.failed ? "a heading is missing" : text.bytes);
    text_release(&text);
    gathering->failed = true;
}

static void bind_heading(struct gathering *gathering, const struct row *row, const char *wanted, struct column_binding *binding)
{
    *binding = (struct column_binding){ .index = -1 };
    for (size_t i = 0; i < row->n_cells; i++) {
        if (!heading_same(row->cells[i].text, wanted))
            continue;
        if (binding->index >= 0) {
            struct place place = { row->path, row->line, binding->heading };
            problem_list_add(gathering->problems, SEVERITY_ERROR, STATUS_INPUT, &place,
                             "the heading stands twice, in columns %ld and %zu: rename one", binding->index + 1, i + 1);
            gathering->failed = true;
            return;
        }
        binding->index = (long)i;
        strncpy(binding->heading, row->cells[i].text, sizeof binding->heading - 1);
    }
    if (binding->index < 0)
        missing_heading(gathering, row, wanted);
}

static enum status take_heading(const struct row *row, const struct dialect *dialect, void *context)
{
    struct gathering *gathering = context;
    gathering->dialect = *dialect;
    for (size_t i = 0; i < gathering->n_columns; i++)
        bind_heading(gathering, row, gathering->headings[i], &gathering->bindings[i]);
    if (gathering->label_heading)
        bind_heading(gathering, row, gathering->label_heading, &gathering->bindings[gathering->n_columns]);
    return gathering->failed ? STATUS_INPUT : STATUS_OK;
}

static bool reserve_row(struct gathering *gathering)
{
    struct number_table *table = gathering->table;
    size_t n = table->n_rows + 1;
    void *values = table->values, *line = table->line, *labels = table->labels;
    bool good = memory_reserve(&values, &gathering->value_capacity, n * gathering->n_columns, sizeof *table->values)
        && memory_reserve(&line, &gathering->line_capacity, n, sizeof *table->line)
        && (!gathering->label_heading || memory_reserve(&labels, &gathering->label_capacity, n, sizeof *table->labels));
    table->values = values;
    table->line = line;
    table->labels = labels;
    return good;
}

static enum status memory_out(struct gathering *gathering, const struct row *row)
{
    struct place place = { row->path, row->line, NULL };
    problem_list_add(gathering->problems, SEVERITY_ERROR, STATUS_MEMORY, &place, "no memory left for the rows");
    return STATUS_MEMORY;
}

static bool take_values(struct gathering *gathering, const struct row *row, double *values)
{
    bool good = row_check_breaks(row, NULL, 0, NULL, gathering->problems);
    for (size_t i = 0; i < gathering->n_columns; i++) {
        const struct column_binding *binding = &gathering->bindings[i];
        if (!cell_number(row, binding, &gathering->dialect, &values[i], gathering->problems))
            good = false;
        else if (isnan(values[i])) {
            struct place place = { row->path, row->line, binding->heading };
            problem_list_add(gathering->problems, SEVERITY_ERROR, STATUS_INPUT, &place,
                             "the cell is empty: a fit needs a number in each row");
            good = false;
        }
    }
    return good;
}

static enum status take_row(const struct row *row, void *context)
{
    struct gathering *gathering = context;
    struct number_table *table = gathering->table;
    if (!reserve_row(gathering))
        return memory_out(gathering, row);
    if (!take_values(gathering, row, table->values + table->n_rows * table->n_columns)) {
        gathering->failed = true;
        return STATUS_OK;
    }
    if (gathering->label_heading) {
        const char *label = cell_text(row, &gathering->bindings[gathering->n_columns]);
        char *copy = memory_text(label, strlen(label));
        if (!copy)
            return memory_out(gathering, row);
        table->labels[table->n_rows] = copy;
    }
    table->line[table->n_rows++] = row->line;
    return STATUS_OK;
}

enum status number_table_read(const char *path, const char *const *headings, size_t n_columns,
                              const char *label_heading, struct number_table *table,
                              struct problem_list *problems)
{
    *table = (struct number_table){ .n_columns = n_columns };
    struct gathering gathering = { .headings = headings, .n_columns = n_columns, .label_heading = label_heading,
                                   .table = table, .problems = problems };
    gathering.bindings = memory_new(n_columns + 1, sizeof *gathering.bindings);
    if (!gathering.bindings) {
        struct row nowhere = { .path = path };
        return memory_out(&gathering, &nowhere);
    }
    struct dialect dialect = { 0 };
    struct row_receiver receiver = { .heading = take_heading, .row = take_row, .context = &gathering };
    enum status status = reader_run(path, &dialect, &receiver, problems);
    memory_free(gathering.bindings);
    if (status == STATUS_OK && gathering.failed)
        status = STATUS_INPUT;
    if (status != STATUS_OK)
        number_table_release(table);
    return status;
}

void number_table_release(struct number_table *table)
{
    for (size_t i = 0; table->labels && i < table->n_rows; i++)
        memory_free(table->labels[i]);
    memory_free(table->labels);
    memory_free(table->values);
    memory_free(table->line);
    *table = (struct number_table){ 0 };
}
