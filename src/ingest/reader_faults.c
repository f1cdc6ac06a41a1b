#include "ingest/reader_state.h"

#include "base/text.h"

#include <stdio.h>
#include <string.h>

static void add_error(const struct reader *reader, size_t line, const char *column, const char *text)
{
    struct place place = { reader->source.path, line, column };
    problem_list_add(reader->problems, SEVERITY_ERROR, STATUS_INPUT, &place, "%s", text);
}

/* Heading of the column that holds the byte at offset of the row; NULL when there is none. */
static const char *column_at(const struct reader *reader, size_t offset)
{
    size_t length, start;
    const char *row = lines_buffered(&reader->source, &length);
    size_t cell = quotes_cell_at(row, offset < length ? offset : length, reader->dialect->separator, &start);
    return reader->headings && cell < reader->n_columns ? reader->headings[cell] : NULL;
}

static void add_at(const struct reader *reader, const char *byte, const char *text)
{
    size_t length;
    const char *row = lines_row(&reader->source, &length);
    add_error(reader, reader->source.line, column_at(reader, (size_t)(byte - row)), text);
}

bool fault_encoding(const struct reader *reader, const struct line *line)
{
    const unsigned char *b = (const unsigned char *)line->bytes;
    bool marked = line->length >= 2 && ((b[0] == 0xFF && b[1] == 0xFE) || (b[0] == 0xFE && b[1] == 0xFF));
    bool zeros = line->length >= 2 && (b[0] == 0) != (b[1] == 0);
    if (!marked && !zeros)
        return false;
    add_error(reader, 1, NULL, "looks like UTF-16 or UTF-32: save it as UTF-8");
    return true;
}

const char *fault_order_mark(const char *bytes, size_t length)
{
    const char *end = bytes + length, *at = bytes;
    while (at < end && (at = memchr(at, 0xEF, (size_t)(end - at)))) {
        if (end - at >= 3 && memcmp(at, "\xEF\xBB\xBF", 3) == 0)
            return at;
        at++;
    }
    return NULL;
}

static void add_return(const struct reader *reader, size_t line, size_t offset)
{
    if (!reader->headings)
        add_error(reader, line, NULL,
                  "has CR line ends alone, as on old Macs: save it with LF or CRLF line ends");
    else
        add_error(reader, line, column_at(reader, offset),
                  "has a carriage return (CR) inside the line: remove it, or end each line with LF or CRLF");
}

bool fault_line(const struct reader *reader, const struct line *line)
{
    size_t bad;
    const char *zero = memchr(line->bytes, '\0', line->content), *mark;
    if (zero) {
        add_at(reader, zero, "has a NUL byte: the file is damaged, or is not UTF-8 text");
        return false;
    }
    if (!text_is_utf8(line->bytes, line->content, &bad)) {
        char text[120];
        snprintf(text, sizeof text, "has invalid UTF-8 (byte 0x%02X): save the file as UTF-8", (unsigned char)line->bytes[bad]);
        add_at(reader, line->bytes + bad, text);
        return false;
    }
    if ((mark = fault_order_mark(line->bytes, line->content))) {
        add_at(reader, mark, "has a byte-order mark (U+FEFF) inside the file: were two files joined?");
        return false;
    }
    if (line->content == 1 && line->bytes[0] == 0x1A) {
        add_error(reader, reader->source.line, NULL, "ends in a Ctrl-Z (0x1A): remove it");
        return false;
    }
    if (reader->quotes.bare_return) {
        add_return(reader, reader->source.line, reader->quotes.return_offset);
        return false;
    }
    return true;
}

void fault_quoting(const struct reader *reader, const struct line *line, size_t at)
{
    size_t length, start;
    const char *row = lines_row(&reader->source, &length);
    size_t offset = (size_t)(line->bytes - row) + (at < line->content ? at : line->content);
    quotes_cell_at(row, offset, reader->dialect->separator, &start);
    while (start < offset && (row[start] == ' ' || row[start] == '\t'))
        start++;
    const char *reason = start < offset && row[start] == '"'
        ? "text follows the closing quote: double a quote that is part of the text, as in \"5\"\" pipe\""
        : "a quote stands inside a cell that is not quoted: write an inch mark as in \"5\"\" pipe\"";
    char text[240];
    if (reader->row_line == reader->source.line)
        snprintf(text, sizeof text, "%s", reason);
    else
        snprintf(text, sizeof text, "%s (the row starts on line %zu: is a closing quote missing there?)", reason, reader->row_line);
    add_error(reader, reader->source.line, column_at(reader, offset), text);
}

void fault_open_quote(const struct reader *reader, bool too_long)
{
    char text[200];
    if (too_long)
        snprintf(text, sizeof text, "the quoted cell that opens here is longer than %u bytes: is its closing quote missing?", CELL_LONGEST);
    else
        snprintf(text, sizeof text, "the quote that opens here never closes: add the closing quote, or double an inch mark");
    add_error(reader, reader->quotes.line, column_at(reader, reader->quotes.offset), text);
}

void fault_too_long(struct reader *reader)
{
    size_t length, given, line = reader->source.line + 1;
    const char *ahead = lines_ahead(&reader->source, &length);
    lines_row(&reader->source, &given);
    if (!reader->pending)
        reader->quotes = (struct quotes){ 0 };
    quotes_scan(&reader->quotes, ahead, length, line, given);
    if (reader->quotes.open && given + length - reader->quotes.offset > CELL_LONGEST)
        fault_open_quote(reader, true);
    else if (!reader->headings && reader->quotes.bare_return)
        add_return(reader, line, reader->quotes.return_offset);
    else {
        char text[80];
        snprintf(text, sizeof text, "the line is longer than %u bytes", ROW_LONGEST);
        add_error(reader, line, NULL, text);
    }
}

/* A separator that would have given the right number of cells. */
static char other_separator(const struct reader *reader, const struct row *row)
{
    static const char separators[] = { ',', ';', '\t' };
    size_t start;
    for (size_t i = 0; i < sizeof separators; i++)
        if (separators[i] != reader->dialect->separator
            && quotes_cell_at(row->raw, row->raw_length, separators[i], &start) + 1 == reader->n_columns)
            return separators[i];
    return 0;
}

static bool ends_in_separator(const struct reader *reader, const struct row *row)
{
    return row->n_cells == reader->n_columns + 1 && row->n_cells <= COLUMNS_MOST && row->cells[row->n_cells - 1].length == 0;
}

void fault_cell_count(const struct reader *reader, const struct row *row, char *reason, size_t size)
{
    char separator = other_separator(reader, row);
    const char *cells = row->n_cells == 1 ? "cell" : "cells";
    if (separator && reader->n_columns > 1)
        snprintf(reason, size, "has %zu %s where the heading has %zu: is the separator %s here?", row->n_cells, cells,
                 reader->n_columns, separator == '\t' ? "a tab" : separator == ';' ? "';'" : "','");
    else if (ends_in_separator(reader, row))
        snprintf(reason, size, "has %zu cells where the heading has %zu: the row ends in a separator too many", row->n_cells, reader->n_columns);
    else
        snprintf(reason, size, "has %zu %s where the heading has %zu", row->n_cells, cells, reader->n_columns);
    add_error(reader, row->line, NULL, reason);
}
