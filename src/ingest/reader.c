#include "ingest/reader.h"

#include "base/memory.h"
#include "ingest/dialect.h"
#include "ingest/reader_state.h"

#include <string.h>

static enum status memory_out(struct reader *reader)
{
    struct place place = { .path = reader->source.path, .line = reader->source.line };
    problem_list_add(reader->problems, SEVERITY_ERROR, STATUS_MEMORY, &place, "no memory left to read on");
    return STATUS_MEMORY;
}

static enum status input_error(struct reader *reader, size_t line, const char *text)
{
    struct place place = { .path = reader->source.path, .line = line };
    problem_list_add(reader->problems, SEVERITY_ERROR, STATUS_INPUT, &place, "%s", text);
    return STATUS_INPUT;
}

static bool line_is_blank(const struct line *line)
{
    for (size_t i = 0; i < line->content; i++)
        if (line->bytes[i] != ' ' && line->bytes[i] != '\t')
            return false;
    return true;
}

/* A comment with as many cells as a row may be a specimen called '#12'. */
static void notice_comment(struct reader *reader, const struct line *line)
{
    size_t start;
    if (reader->n_columns < 2 || quotes_cell_at(line->bytes, line->content, reader->dialect->separator, &start) + 1 != reader->n_columns)
        return;
    struct place place = { .path = reader->source.path, .line = reader->source.line };
    problem_list_add(reader->problems, SEVERITY_NOTICE, STATUS_OK, &place,
                     "passed over, since it starts with '#': put its first cell in quotes if it is a row");
}

/* Which cells are quoted, and the line each starts on. Only for rows that hold a quote. */
static void locate_cells(struct reader *reader, const struct row *row, struct cell *cells, size_t n_cells)
{
    size_t cell = 0, line = row->line;
    bool open = false, fresh = true;
    for (size_t i = 0; i < row->raw_length; i++) {
        char c = row->raw[i];
        if (fresh && c != ' ' && c != '\t' && cell < n_cells) {
            cells[cell].line = line;
            cells[cell].quoted = c == '"';
            fresh = false;
        }
        if (c == '"')
            open = !open;
        else if (c == '\n')
            line++;
        else if (c == reader->dialect->separator && !open) {
            cell++;
            fresh = true;
        }
    }
}

static bool all_empty(const struct cell *cells, size_t n_cells)
{
    for (size_t i = 0; i < n_cells; i++)
        if (cells[i].length > 0)
            return false;
    return true;
}

static enum status take_heading(struct reader *reader, const struct row *row)
{
    if (row->n_cells > COLUMNS_MOST)
        return input_error(reader, row->line, "has more than 1024 columns");
    reader->headings = memory_new(row->n_cells, sizeof *reader->headings);
    if (!reader->headings)
        return memory_out(reader);
    reader->n_columns = row->n_cells;
    reader->heading_line = row->line;
    for (size_t i = 0; i < row->n_cells; i++)
        if (!(reader->headings[i] = memory_text(row->cells[i].text, row->cells[i].length)))
            return memory_out(reader);
    if (!reader->dialect->decimal_mark || reader->dialect->separator == ',') {
        size_t length;
        const char *ahead = lines_ahead(&reader->source, &length);
        reader->dialect->decimal_mark = dialect_decimal_mark(ahead, length, reader->dialect->separator);
    }
    return reader->receiver->heading(row, reader->dialect, reader->receiver->context);
}

/* Hands a bad row to whoever wants it. Its problem stands in the list already. */
static enum status give_bad_row(struct reader *reader, const struct row *row, const char *reason)
{
    reader->n_rows++;
    if (reader->receiver->bad_row)
        return reader->receiver->bad_row(row, reason, reader->receiver->context);
    reader->refused_rows = true;
    return STATUS_OK;
}

static enum status give_row(struct reader *reader, const struct row *row)
{
    char reason[160];
    if (row->n_cells != reader->n_columns) {
        fault_cell_count(reader, row, reason, sizeof reason);
        return give_bad_row(reader, row, reason);
    }
    for (size_t i = 0; row->raw_length > CELL_LONGEST && i < row->n_cells; i++) {
        if (row->cells[i].length <= CELL_LONGEST)
            continue;
        struct place place = { row->path, row->cells[i].line, reader->headings[i] };
        problem_list_add(reader->problems, SEVERITY_ERROR, STATUS_INPUT, &place, "the cell is longer than %u bytes", CELL_LONGEST);
        return give_bad_row(reader, row, "a cell is too long");
    }
    reader->n_rows++;
    return reader->receiver->row(row, reader->receiver->context);
}

static struct row gathered_row(const struct reader *reader, const struct line *line)
{
    struct row row = { .path = reader->source.path, .line = reader->row_line };
    row.raw = lines_row(&reader->source, &row.raw_length);
    row.raw_length -= line->length - line->content;
    return row;
}

static enum status end_row(struct reader *reader, struct row row, bool has_quotes)
{
    size_t n_cells;
    struct cell *cells = row_parser_cells(reader->parser, &n_cells);
    size_t n_kept = n_cells < COLUMNS_MOST ? n_cells : COLUMNS_MOST;
    for (size_t i = 0; i < n_kept; i++)
        cells[i].line = row.line;
    if (has_quotes) {
        row.has_breaks = memchr(row.raw, '\n', row.raw_length) || memchr(row.raw, '\r', row.raw_length);
        locate_cells(reader, &row, cells, n_kept);
    }
    row.n_cells = n_cells;
    row.cells = cells;
    if (!reader->headings)
        return take_heading(reader, &row);
    return all_empty(cells, n_kept) && !has_quotes ? STATUS_OK : give_row(reader, &row);
}

/* The separator must be known before the first byte is parsed. */
static enum status start_parser(struct reader *reader, const struct line *line)
{
    if (!reader->dialect->separator)
        reader->dialect->separator = dialect_separator(line->bytes, line->content);
    reader->parser = row_parser_new(reader->dialect->separator);
    return reader->parser ? STATUS_OK : memory_out(reader);
}

/* libcsv sees a line only with its end, but a quote left open must not be helped shut. Most lines need no libcsv. */
static enum parse_result parse_line(struct reader *reader, struct line *line, bool has_quotes, size_t *at)
{
    if (!has_quotes)
        return row_parser_split(reader->parser, line->bytes, line->content);
    bool ended = line->length > line->content;
    if (!ended && !reader->quotes.open) {
        line->bytes[line->length] = '\n'; /* the buffer has room for one more byte */
        return row_parser_feed(reader->parser, line->bytes, line->length + 1, at);
    }
    return row_parser_feed(reader->parser, line->bytes, line->length, at);
}

static enum status gather_line(struct reader *reader, struct line *line)
{
    size_t row_length, at = 0;
    bool has_quotes = reader->pending || memchr(line->bytes, '"', line->content);
    const char *row = lines_row(&reader->source, &row_length);
    if (has_quotes || memchr(line->bytes, '\r', line->content))
        quotes_scan(&reader->quotes, line->bytes, line->content, reader->source.line, (size_t)(line->bytes - row));
    if (!fault_line(reader, line)) {
        struct row bad = gathered_row(reader, line);
        return has_quotes || !reader->headings ? STATUS_INPUT : give_bad_row(reader, &bad, "cannot be read as text");
    }
    if (!reader->parser && start_parser(reader, line) != STATUS_OK)
        return STATUS_MEMORY;
    enum parse_result result = parse_line(reader, line, has_quotes, &at);
    if (result == PARSE_BAD) {
        fault_quoting(reader, line, at);
        return STATUS_INPUT;
    }
    if (result == PARSE_MEMORY)
        return memory_out(reader);
    reader->pending = result == PARSE_MORE;
    if (!reader->pending)
        return end_row(reader, gathered_row(reader, line), has_quotes);
    if (row_length - reader->quotes.offset > CELL_LONGEST) {
        fault_open_quote(reader, true);
        return STATUS_INPUT;
    }
    return STATUS_OK;
}

static enum status take_line(struct reader *reader, struct line *line)
{
    if (reader->source.line == 1) {
        if (fault_encoding(reader, line))
            return STATUS_INPUT;
        if (line->content >= 3 && memcmp(line->bytes, "\xEF\xBB\xBF", 3) == 0)
            lines_skip(&reader->source, line, 3);
    }
    enum status status = STATUS_OK;
    if (!reader->pending) {
        reader->row_line = reader->source.line;
        reader->quotes = (struct quotes){ 0 };
    }
    if (!reader->pending && line->content > 0 && line->bytes[0] == '#')
        notice_comment(reader, line);
    else if (reader->pending || !line_is_blank(line))
        status = gather_line(reader, line);
    if (!reader->pending)
        lines_start_row(&reader->source);
    return status;
}

static enum status end_file(struct reader *reader)
{
    if (reader->pending || (reader->parser && !row_parser_end(reader->parser))) {
        fault_open_quote(reader, false);
        return STATUS_INPUT;
    }
    if (!reader->headings)
        return input_error(reader, 1, "is empty: it needs a heading line and rows");
    if (reader->n_rows == 0 && !reader->receiver->rows_optional)
        return input_error(reader, reader->heading_line, "has a heading but no rows");
    return reader->refused_rows ? STATUS_INPUT : STATUS_OK;
}

/* What is left of the first chunk goes over to the stretches, at the start of a row. */
static enum status begin_stretches(struct reader *reader)
{
    size_t left;
    struct line_source *source = &reader->source;
    lines_ahead(source, &left);
    if (!reader->receiver->digest || reader->alone || !reader->headings || reader->pending || source->ended || left >= STRETCH_BYTES)
        return STATUS_OK;
    reader->alone = true;
    enum status status = reader->receiver->digest->expect(lines_rows_expected(source, reader->n_rows), reader->receiver->context);
    struct stretch_rows rows = { reader->dialect->separator, reader->n_columns, reader->receiver };
    if (status == STATUS_OK)
        reader->stretches = stretches_open(source, &rows);
    return status;
}

/* Hands over one row of a stretch by itself, as if it had been read by lines. */
static enum status give_stretch_row(struct reader *reader, const struct row_stretch *stretch, size_t i)
{
    struct row row = { .path = stretch->path, .line = stretch->first_line + i };
    row.raw = stretches_row(reader->stretches, i, &row.raw_length);
    if (row_parser_split(reader->parser, row.raw, row.raw_length) == PARSE_MEMORY)
        return memory_out(reader);
    return end_row(reader, row, false);
}

static enum status take_stretch(struct reader *reader, const struct row_stretch *stretch)
{
    enum status status = STATUS_OK;
    for (size_t i = 0; status == STATUS_OK && i < stretch->n_rows;) {
        const size_t from = i;
        status = reader->receiver->digest->take(stretch, &i, reader->receiver->context);
        reader->n_rows += i - from;
        if (status == STATUS_OK && i < stretch->n_rows)
            status = give_stretch_row(reader, stretch, i++);
    }
    return status;
}

/* Takes the stretches that are ready, up to the first that must be read by lines. */
static enum status take_stretches(struct reader *reader)
{
    struct row_stretch stretch;
    size_t left;
    lines_ahead(&reader->source, &left);
    if (!reader->stretches || reader->pending || left > 0)
        return STATUS_OK;
    while (stretches_next(reader->stretches, &stretch) == STRETCH_READY) {
        enum status status = take_stretch(reader, &stretch);
        if (status != STATUS_OK)
            return status;
    }
    return STATUS_OK;
}

static enum status read_lines(struct reader *reader)
{
    for (;;) {
        struct line line;
        enum status taken = begin_stretches(reader);
        if (taken == STATUS_OK)
            taken = take_stretches(reader);
        if (taken != STATUS_OK)
            return taken;
        switch (lines_next(&reader->source, &line, reader->problems)) {
        case LINE_GIVEN: {
            enum status status = take_line(reader, &line);
            if (status != STATUS_OK)
                return status;
            break;
        }
        case LINE_NONE:
            return end_file(reader);
        case LINE_TOO_LONG:
            fault_too_long(reader);
            return STATUS_INPUT;
        case LINE_FAILED:
            return STATUS_IO;
        }
    }
}

enum status reader_run(const char *path, struct dialect *dialect,
                       const struct row_receiver *receiver, struct problem_list *problems)
{
    struct reader reader = { .dialect = dialect, .receiver = receiver, .problems = problems };
    reader.source.fingerprint = receiver->fingerprint;
    enum status status = lines_open(&reader.source, path, problems);
    if (status == STATUS_OK)
        status = read_lines(&reader);
    stretches_close(reader.stretches);
    lines_release(&reader.source);
    row_parser_free(reader.parser);
    for (size_t i = 0; i < reader.n_columns; i++)
        memory_free(reader.headings[i]);
    memory_free(reader.headings);
    return status;
}
