#include "specimen/specimen_set_store.h"

#include "base/file.h"

#include <string.h>

/* Offset of the third cell of a row, behind reason and place. */
static size_t third_cell(const char *raw, size_t length, char separator)
{
    size_t cell = 0;
    bool quoted = false;
    for (size_t i = 0; i < length; i++) {
        if (raw[i] == '"')
            quoted = !quoted;
        else if (raw[i] == separator && !quoted && ++cell == 2)
            return i + 1;
    }
    return length;
}

void set_aside_heading(struct set_aside *aside, const struct row *row, char separator)
{
    aside->separator = separator;
    aside->skip_two = row->n_cells > 2 && heading_same(row->cells[0].text, "reason") && heading_same(row->cells[1].text, "place");
    size_t skipped = aside->skip_two ? third_cell(row->raw, row->raw_length, separator) : 0;
    text_clear(&aside->file_heading);
    text_add_bytes(&aside->file_heading, row->raw + skipped, row->raw_length - skipped);
}

/* In quotes always; a quote inside is doubled, and line breaks become blanks. */
static void add_quoted(struct text *text, const char *cell)
{
    text_add(text, "\"");
    for (; *cell; cell++) {
        char c = *cell == '\n' || *cell == '\r' ? ' ' : *cell;
        text_add_bytes(text, c == '"' ? "\"\"" : &c, c == '"' ? 2 : 1);
    }
    text_add(text, "\"");
}

static bool same_heading(const struct set_aside *aside)
{
    return aside->heading.length == aside->file_heading.length
        && memcmp(aside->heading.bytes, aside->file_heading.bytes, aside->heading.length) == 0;
}

static void start_file(struct set_aside *aside)
{
    text_addf(&aside->text, "reason%cplace%c", aside->separator, aside->separator);
    text_add_bytes(&aside->text, aside->file_heading.bytes, aside->file_heading.length);
    text_add(&aside->text, "\n");
    text_add_bytes(&aside->heading, aside->file_heading.bytes, aside->file_heading.length);
}

enum status set_aside_row(struct set_aside *aside, const struct row *row, const char *reason, struct problem_list *problems)
{
    struct place place = { row->path, row->line, NULL };
    struct text where = { 0 };
    if (aside->n_rows == 0 && !aside->file_heading.failed)
        start_file(aside);
    else if (!aside->file_heading.failed && !same_heading(aside)) {
        problem_list_add(problems, SEVERITY_ERROR, STATUS_INPUT, &place,
                         "cannot be set aside: its heading differs from the file before; read the files one by one");
        return STATUS_INPUT;
    }
    text_addf(&where, "%s:%zu", row->path, row->line);
    add_quoted(&aside->text, reason);
    text_add_bytes(&aside->text, &aside->separator, 1);
    add_quoted(&aside->text, where.failed ? "" : where.bytes);
    text_add_bytes(&aside->text, &aside->separator, 1);
    size_t skipped = aside->skip_two ? third_cell(row->raw, row->raw_length, aside->separator) : 0;
    text_add_bytes(&aside->text, row->raw + skipped, row->raw_length - skipped);
    text_add(&aside->text, "\n");
    bool failed = aside->text.failed || aside->heading.failed || aside->file_heading.failed || where.failed;
    text_release(&where);
    if (failed) {
        problem_list_add(problems, SEVERITY_ERROR, STATUS_MEMORY, &place, "no memory left for the rows set aside");
        return STATUS_MEMORY;
    }
    aside->n_rows++;
    return STATUS_OK;
}

enum status set_aside_write(struct set_aside *aside, struct problem_list *problems)
{
    struct problem problem = { 0 };
    if (aside->n_rows == 0)
        return STATUS_OK;
    enum status status = file_replace(aside->path, aside->text.bytes, aside->text.length, &problem);
    if (status != STATUS_OK)
        problem_list_take(problems, &problem);
    return status;
}

void set_aside_release(struct set_aside *aside)
{
    text_release(&aside->text);
    text_release(&aside->heading);
    text_release(&aside->file_heading);
}
