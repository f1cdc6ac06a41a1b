#include "specimen/specimen_rows.h"

#include <stdio.h>
#include <string.h>

/* Problems of the computation name columns by their rules; the user knows the headings. */
static void use_headings(const struct specimen_rows *rows, size_t first)
{
    for (size_t i = first; i < rows->problems->n_items; i++) {
        struct problem *problem = &rows->problems->items[i];
        size_t rule = problem->column[0] ? specimen_rule_index(problem->column) : n_specimen_rules;
        if (rule < n_specimen_rules && rows->bindings[rule].index >= 0)
            snprintf(problem->column, sizeof problem->column, "%s", rows->bindings[rule].heading);
    }
}

static enum status take_heading(const struct row *row, const struct dialect *dialect, void *context)
{
    struct specimen_rows *rows = context;
    rows->dialect = *dialect;
    enum status status = columns_bind(row, specimen_rules, n_specimen_rules, rows->maps, rows->n_maps, rows->bindings, rows->problems);
    if (!rows->seals_unread)
        row_seals_begin(&rows->seals, row, rows->bindings);
    rows->n_active = specimen_active_rules(rows->bindings, rows->active);
    return status;
}

static enum status take_row(const struct row *row, void *context)
{
    struct specimen_rows *rows = context;
    struct specimen specimen;
    size_t first = rows->problems->n_items;
    specimen_clear(&specimen);
    bool good = specimen_take_row(&specimen, row, rows->bindings, rows->active, rows->n_active, &rows->dialect, rows->problems);
    good = row_seals_judge(&rows->seals, row, rows->problems) && good;
    enum status status = good ? rows->take(&specimen, rows->context) : STATUS_OK;
    use_headings(rows, first);
    return status;
}

enum status specimen_rows_read(struct specimen_rows *rows, const char *path)
{
    size_t n_errors_before = rows->problems->n_errors;
    struct row_receiver receiver = { .heading = take_heading, .row = take_row, .context = rows,
                                     .rows_optional = rows->rows_optional };
    rows->dialect = (struct dialect){ 0 };
    rows->seals = (struct row_seals){ 0 };
    for (size_t i = 0; i < SPECIMEN_RULES_MOST; i++)
        rows->bindings[i].index = -1;
    enum status status = reader_run(path, &rows->dialect, &receiver, rows->problems);
    row_seals_end(&rows->seals, path, rows->problems);
    return status == STATUS_OK && rows->problems->n_errors > n_errors_before ? STATUS_INPUT : status;
}
