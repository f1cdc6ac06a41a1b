#include "ingest/rows.h"

#include "base/memory.h"
#include "ingest/lines.h"

#include <csv.h>
#include <endian.h>
#include <stdint.h>
#include <string.h>

/* Strict quoting, strict end, NUL behind each cell, absent told from quoted-empty. */
#define OPTIONS (CSV_STRICT | CSV_STRICT_FINI | CSV_APPEND_NULL | CSV_EMPTY_IS_NULL)

#define CELL_BLOCK 4096 /* libcsv grows its cell by this much, 128 by default */

struct row_parser {
    struct csv_parser csv;
    struct cell cells[COLUMNS_MOST];
    size_t n_cells;
    char *bytes; /* text of all cells, each with its NUL */
    size_t used, capacity;
    bool complete, memory_out;
};

static void *resize_block(void *block, size_t size)
{
    return memory_resize(block, size, 1);
}

struct row_parser *row_parser_new(char separator)
{
    struct row_parser *parser = memory_new(1, sizeof *parser);
    if (!parser)
        return NULL;
    if (csv_init(&parser->csv, OPTIONS) != 0) {
        memory_free(parser);
        return NULL;
    }
    csv_set_delim(&parser->csv, (unsigned char)separator);
    csv_set_realloc_func(&parser->csv, resize_block);
    csv_set_free_func(&parser->csv, memory_free);
    csv_set_blk_size(&parser->csv, CELL_BLOCK);
    return parser;
}

void row_parser_free(struct row_parser *parser)
{
    if (!parser)
        return;
    csv_free(&parser->csv);
    memory_free(parser->bytes);
    memory_free(parser);
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

/* libcsv trims bare cells only. */
static void take_cell(void *field, size_t length, void *context)
{
    struct row_parser *parser = context;
    const char *text = field ? field : "";
    while (length > 0 && is_blank(text[length - 1]))
        length--;
    while (length > 0 && is_blank(text[0])) {
        text++;
        length--;
    }
    if (parser->n_cells++ >= COLUMNS_MOST)
        return;
    void *bytes = parser->bytes;
    if (!memory_reserve(&bytes, &parser->capacity, parser->used + length + 1, 1)) {
        parser->memory_out = true;
        parser->n_cells--;
        return;
    }
    parser->bytes = bytes;
    memcpy(parser->bytes + parser->used, text, length);
    parser->bytes[parser->used + length] = '\0';
    parser->used += length + 1;
    parser->cells[parser->n_cells - 1].length = length;
}

static void take_row(int terminator, void *context)
{
    struct row_parser *parser = context;
    (void)terminator;
    parser->complete = true;
}

/* The text block may have moved while it grew, so the cells get their addresses at the end. */
static void place_cells(struct row_parser *parser)
{
    const char *at = parser->bytes;
    size_t n = parser->n_cells < COLUMNS_MOST ? parser->n_cells : COLUMNS_MOST;
    for (size_t i = 0; i < n; i++) {
        parser->cells[i].text = at;
        parser->cells[i].quoted = false;
        at += parser->cells[i].length + 1;
    }
}

enum parse_result row_parser_feed(struct row_parser *parser, const char *bytes, size_t length, size_t *at)
{
    if (parser->complete) {
        parser->complete = false;
        parser->n_cells = parser->used = 0;
    }
    *at = csv_parse(&parser->csv, bytes, length, take_cell, take_row, parser);
    if (parser->memory_out)
        return PARSE_MEMORY;
    if (*at < length)
        return csv_error(&parser->csv) == CSV_EPARSE ? PARSE_BAD : PARSE_MEMORY;
    if (!parser->complete)
        return PARSE_MORE;
    place_cells(parser);
    return PARSE_ROW;
}

/* Eight bytes as a number, the first one lowest on every machine. */
static inline uint64_t eight_bytes(const char *at)
{
    uint64_t bytes;
    memcpy(&bytes, at, sizeof bytes);
    return le64toh(bytes);
}

/* The first byte like the one of which eight are in `wanted`. Source: Warren, Hacker's Delight, ch. 6, from memory. */
static inline char *find_byte(char *at, uint64_t wanted)
{
    const uint64_t low = UINT64_C(0x7F7F7F7F7F7F7F7F);
    for (;; at += sizeof wanted) {
        const uint64_t differ = eight_bytes(at) ^ wanted, marks = ~(((differ & low) + low) | differ | low); /* high bits of the bytes that are zero */
        if (marks != 0)
            return at + __builtin_ctzll(marks) / 8;
    }
}

/* Whether the cell that starts here says the same as the one above, in which there is no separator. */
static inline bool repeats(const struct cell *above, const char *start, char separator)
{
    static const uint64_t first[] = { 0x0, 0xFF, 0xFFFF, 0xFFFFFF, 0xFFFFFFFF, 0xFFFFFFFFFF, 0xFFFFFFFFFFFF, 0xFFFFFFFFFFFFFF, UINT64_MAX };
    const size_t length = above->length;
    if (start[length] != separator)
        return false;
    if (length > 16)
        return memcmp(start, above->text, length) == 0;
    if (length > 8) /* the first eight and the last eight overlap */
        return eight_bytes(start) == eight_bytes(above->text) && eight_bytes(start + length - 8) == eight_bytes(above->text + length - 8);
    return ((eight_bytes(start) ^ eight_bytes(above->text)) & first[length]) == 0;
}

/* The bytes from start up to end as a cell, without their blanks: few have any. */
static inline void cut_cell(struct cell *cell, char *start, char *end)
{
    if (start < end && (*start <= ' ' || end[-1] <= ' ')) {
        while (end > start && is_blank(end[-1]))
            end--;
        while (start < end && is_blank(*start))
            start++;
    }
    *end = '\0';
    *cell = (struct cell){ .text = start, .length = (size_t)(end - start) };
}

size_t row_split(char *bytes, size_t length, char separator, struct cell cells[COLUMNS_MOST], size_t n_above)
{
    const uint64_t wanted = UINT64_C(0x0101010101010101) * (unsigned char)separator;
    char *start = bytes, *const end = bytes + length, *stop;
    size_t n_cells = 0;
    *end = separator; /* so that every cell ends at one */
    for (; start <= end; start = stop + 1, n_cells++) {
        if (n_cells < n_above && cells[n_cells].length <= (size_t)(end - start) && repeats(&cells[n_cells], start, separator)) {
            cells[n_cells].as_above = true;
            stop = start + cells[n_cells].length;
            continue;
        }
        stop = find_byte(start, wanted);
        if (n_cells < COLUMNS_MOST)
            cut_cell(&cells[n_cells], start, stop);
    }
    return n_cells;
}

enum parse_result row_parser_split(struct row_parser *parser, const char *bytes, size_t length)
{
    void *copy = parser->bytes;
    if (!memory_reserve(&copy, &parser->capacity, length + ROW_SPLIT_BEHIND, 1))
        return PARSE_MEMORY;
    parser->bytes = copy;
    parser->used = 0;
    memcpy(parser->bytes, bytes, length);
    parser->n_cells = row_split(parser->bytes, length, (char)csv_get_delim(&parser->csv), parser->cells, 0);
    parser->complete = true;
    return PARSE_ROW;
}

bool row_parser_end(struct row_parser *parser)
{
    return csv_fini(&parser->csv, NULL, NULL, NULL) == 0;
}

struct cell *row_parser_cells(struct row_parser *parser, size_t *n)
{
    *n = parser->n_cells;
    return parser->cells;
}
