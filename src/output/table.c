#include "output/table.h"

#include "base/memory.h"
#include "output/escape.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#define CELL_WIDEST 40

void table_column(struct table *table, const char *heading, bool right)
{
    if (table->n_columns == TABLE_COLUMNS) {
        table->failed = true;
        return;
    }
    table->headings[table->n_columns] = heading;
    table->right[table->n_columns++] = right;
}

void table_cell(struct table *table, const char *string)
{
    void *cells = table->cells;
    char *copy = memory_text(string, strlen(string));
    if (!copy || !memory_reserve(&cells, &table->capacity, table->n_cells + 1, sizeof *table->cells)) {
        memory_free(copy);
        table->failed = true;
        return;
    }
    table->cells = cells;
    table->cells[table->n_cells++] = copy;
}

void table_cellf(struct table *table, const char *format, ...)
{
    char string[512];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(string, sizeof string, format, arguments);
    va_end(arguments);
    table_cell(table, string);
}

static size_t cell_width(const char *cell)
{
    size_t length = 0;
    while (cell[length] >= ' ' && cell[length] <= '~')
        length++;
    if (cell[length] == '\0')
        return length < CELL_WIDEST ? length : CELL_WIDEST;
    struct text shown = { 0 };
    escape_cut(&shown, cell, CELL_WIDEST);
    size_t width = shown.bytes ? escape_width(shown.bytes) : 0;
    text_release(&shown);
    return width;
}

/* Cells stand row by row. */
static size_t column_of(const struct table *table, size_t cell)
{
    return table->n_columns ? cell % table->n_columns : 0;
}

static void column_widths(const struct table *table, size_t widths[TABLE_COLUMNS])
{
    for (size_t j = 0; j < table->n_columns; j++)
        widths[j] = escape_width(table->headings[j]);
    for (size_t i = 0; i < table->n_cells; i++) {
        size_t width = cell_width(table->cells[i]), j = column_of(table, i);
        if (width > widths[j])
            widths[j] = width;
    }
}

static void add_repeated(struct text *out, const char *sign, size_t times)
{
    while (times-- > 0)
        text_add(out, sign);
}

static void show_cell(const struct table *table, size_t column, size_t width, const char *cell, struct text *out)
{
    size_t blanks = width - cell_width(cell);
    if (table->right[column])
        add_repeated(out, " ", blanks);
    escape_cut(out, cell, CELL_WIDEST);
    if (!table->right[column])
        add_repeated(out, " ", blanks);
    if (column + 1 < table->n_columns) {
        text_add(out, "  ");
        return;
    }
    while (out->length > 0 && out->bytes[out->length - 1] == ' ')
        out->length--;
    text_add(out, "\n");
}

void table_show(const struct table *table, struct text *out)
{
    size_t widths[TABLE_COLUMNS] = { 0 };
    column_widths(table, widths);
    for (size_t j = 0; j < table->n_columns; j++)
        show_cell(table, j, widths[j], table->headings[j], out);
    for (size_t j = 0; j < table->n_columns; j++) {
        add_repeated(out, "-", widths[j]);
        text_add(out, j + 1 == table->n_columns ? "\n" : "  ");
    }
    for (size_t i = 0; i < table->n_cells; i++)
        show_cell(table, column_of(table, i), widths[column_of(table, i)], table->cells[i], out);
    out->failed |= table->failed;
}

void table_show_markdown(const struct table *table, struct text *out)
{
    table_show_markdown_rows(table, table->n_cells, out);
}

void table_show_markdown_rows(const struct table *table, size_t n_rows, struct text *out)
{
    const size_t shown = n_rows * table->n_columns;
    for (size_t j = 0; j < table->n_columns; j++)
        text_addf(out, "%s%s", j ? " | " : "| ", table->headings[j]);
    text_add(out, " |\n");
    for (size_t j = 0; j < table->n_columns; j++)
        text_addf(out, "%s%s", j ? " | " : "| ", table->right[j] ? "---:" : "---");
    text_add(out, " |\n");
    for (size_t i = 0; i < table->n_cells && i < shown; i++) {
        text_add(out, column_of(table, i) ? " | " : "| ");
        escape_markdown(out, table->cells[i]);
        if ((i + 1) % table->n_columns == 0)
            text_add(out, " |\n");
    }
    text_add(out, "\n");
    out->failed |= table->failed;
}

void table_release(struct table *table)
{
    for (size_t i = 0; i < table->n_cells; i++)
        memory_free(table->cells[i]);
    memory_free(table->cells);
    *table = (struct table){ 0 };
}

void table_wrap(struct text *out, const char *string, size_t indent, size_t width)
{
    struct text printable = { 0 };
    text_add_printable(&printable, string);
    out->failed |= printable.failed;
    size_t used = indent;
    const char *at = printable.bytes ? printable.bytes : "";
    while (*at) {
        size_t length = strcspn(at, " ");
        char word[512];
        size_t kept = length < sizeof word - 1 ? length : sizeof word - 1;
        memcpy(word, at, kept);
        word[kept] = '\0';
        size_t shown = escape_width(word);
        if (used > indent && used + 1 + shown > width) {
            text_add(out, "\n");
            add_repeated(out, " ", indent);
            used = indent;
        } else if (used > indent) {
            text_add(out, " ");
            used++;
        }
        text_add_bytes(out, at, length);
        used += shown;
        at += length;
        at += strspn(at, " ");
    }
    text_add(out, "\n");
    text_release(&printable);
}
