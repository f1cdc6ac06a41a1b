#include "ingest/journal_rows.h"

#include "ingest/journal.h"

#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <zlib.h>

enum { SEAL_PREFIX_SIZE = 48, CRC_DIGITS = 8 };

/* CRC-32 over "k/n," and the row: a row copied to another place in a record does not pass. */
static uint32_t seal_crc(const char *row, size_t length, struct journal_seal seal)
{
    char place[SEAL_PREFIX_SIZE];
    int place_length = snprintf(place, sizeof place, "%lu/%lu,", seal.k, seal.n);
    uLong crc = crc32_z(0, (const Bytef *)place, (z_size_t)place_length);
    return (uint32_t)crc32_z(crc, (const Bytef *)row, length);
}

void journal_row_add(struct text *out, const char *row, struct journal_seal seal)
{
    uint32_t crc = seal_crc(row, strlen(row), seal);
    text_addf(out, "%s,%lu/%lu-%08lx\n", row, seal.k, seal.n, (unsigned long)crc);
}

/* Reads a count from 1 to 999999999 and steps over it; 0 when there is none. */
static unsigned long read_count(const char **at, const char *end)
{
    unsigned long count = 0;
    const char *start = *at;
    while (*at < end && **at >= '0' && **at <= '9' && *at - start < 9)
        count = count * 10 + (unsigned long)(*(*at)++ - '0');
    return *start == '0' ? 0 : count;
}

static bool read_mark(const char **at, const char *end, char mark)
{
    if (*at == end || **at != mark)
        return false;
    (*at)++;
    return true;
}

static bool read_crc(const char **at, const char *end, uint32_t *crc)
{
    static const char digits[] = "0123456789abcdef";
    if (end - *at != CRC_DIGITS)
        return false;
    *crc = 0;
    for (; *at < end; (*at)++) {
        const char *digit = memchr(digits, **at, sizeof digits - 1);
        if (!digit)
            return false;
        *crc = *crc << 4 | (uint32_t)(digit - digits);
    }
    return true;
}

/* `k/N-xxxxxxxx` and nothing else. */
static bool read_seal(const char *at, const char *end, struct journal_seal *seal, uint32_t *crc)
{
    seal->k = read_count(&at, end);
    bool slash = read_mark(&at, end, '/');
    seal->n = slash ? read_count(&at, end) : 0;
    return seal->k > 0 && seal->k <= seal->n && read_mark(&at, end, '-') && read_crc(&at, end, crc);
}

static bool is_blank(const char *line, size_t length)
{
    for (size_t i = 0; i < length; i++)
        if (line[i] != ' ' && line[i] != '\t' && line[i] != '\r')
            return false;
    return true;
}

enum journal_line journal_line_read(const char *line, size_t length, struct journal_seal *seal)
{
    if (is_blank(line, length) || line[0] == '#')
        return LINE_PASSED;
    if (memchr(line, '\0', length))
        return LINE_HOLE;
    if (line[length - 1] == '\r') /* a spreadsheet program may have saved it */
        length--;
    size_t cell = length;
    while (cell > 0 && line[cell - 1] != ',')
        cell--;
    if (cell == 0)
        return LINE_UNSEALED;
    if (cell == length)
        return LINE_BY_HAND;
    uint32_t crc;
    if (!read_seal(line + cell, line + length, seal, &crc))
        return LINE_UNSEALED;
    return crc == seal_crc(line, cell - 1, *seal) ? LINE_SEALED : LINE_CHANGED;
}

enum journal_seal_state journal_seal_judge(const char *row, size_t length, unsigned long *k, unsigned long *n)
{
    struct journal_seal seal = { 0, 0 };
    enum journal_line kind = journal_line_read(row, length, &seal);
    *k = seal.k;
    *n = seal.n;
    if (kind == LINE_BY_HAND)
        return JOURNAL_SEAL_NONE;
    if (kind == LINE_SEALED)
        return JOURNAL_SEAL_AGREES;
    return kind == LINE_CHANGED ? JOURNAL_SEAL_CHANGED : JOURNAL_SEAL_BROKEN;
}

/* Behind a quoted cell that starts at line, or NULL when it does not close. */
static const char *quoted_cell_end(const char *line)
{
    for (line++; *line; line++) {
        if (*line != '"')
            continue;
        if (line[1] != '"')
            return line + 1;
        line++;
    }
    return NULL;
}

size_t journal_cell_count(const char *line)
{
    if (strpbrk(line, "\r\n"))
        return 0;
    for (size_t n = 1;; n++, line++) {
        if (*line == '"')
            line = quoted_cell_end(line);
        else
            line += strcspn(line, ",\"");
        if (!line || (*line != ',' && *line != '\0'))
            return 0;
        if (*line == '\0')
            return n;
    }
}

/* The whole records end behind the line just fed. */
static void record_ends(struct journal_scan *scan, bool complete)
{
    if (scan->n_loose > 0 && scan->n_changed == 0)
        scan->first_changed_line = scan->first_loose_line;
    scan->n_changed += scan->n_loose;
    scan->n_loose = 0;
    scan->first_loose_line = scan->changed_line = 0;
    scan->good_end = scan->end;
    scan->line_end_missing = !complete;
}

static void loose_line(struct journal_scan *scan, enum journal_line kind)
{
    if (scan->n_loose++ == 0)
        scan->first_loose_line = scan->line;
    if (kind != LINE_HOLE && scan->changed_line == 0) {
        scan->changed_line = scan->line;
        scan->changed_kind = kind;
    }
}

/* A heading cut short by a writer that died is no other heading: it stays behind good_end. */
static void scan_heading(struct journal_scan *scan, const char *line, size_t length, bool complete)
{
    static const char mark[] = "\xEF\xBB\xBF";
    if (scan->line == 1 && length >= 3 && memcmp(line, mark, 3) == 0) {
        line += 3;
        length -= 3;
    }
    if (length > 0 && line[length - 1] == '\r')
        length--;
    size_t wanted = strlen(scan->heading);
    bool agrees = length <= wanted && memcmp(line, scan->heading, length) == 0;
    scan->heading_seen = agrees && length == wanted;
    scan->heading_differs = !agrees || (complete && length < wanted);
    if (scan->heading_seen)
        record_ends(scan, complete);
}

void journal_scan_line(struct journal_scan *scan, const char *line, size_t length, bool complete)
{
    if (scan->heading_differs)
        return; /* line stays at the heading */
    scan->line++;
    scan->end += length + complete;
    struct journal_seal seal = { 0, 0 };
    enum journal_line kind = journal_line_read(line, length, &seal);
    bool tail_waits = scan->end - length - complete != scan->good_end;
    if (kind == LINE_PASSED) {
        if (!tail_waits)
            record_ends(scan, complete);
    } else if (!scan->heading_seen) {
        scan_heading(scan, line, length, complete);
    } else if (kind == LINE_SEALED) {
        if (seal.k == seal.n)
            record_ends(scan, complete);
    } else if (complete && kind == LINE_BY_HAND) {
        record_ends(scan, complete);
    } else if (complete) {
        loose_line(scan, kind);
    }
}
