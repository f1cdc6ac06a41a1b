#include "ingest/quotes.h"

#include <string.h>

/* Leaves the quoted cell at its closing quote; returns where to go on. */
static size_t scan_inside(struct quotes *quotes, const char *bytes, size_t length, size_t i)
{
    const char *mark = memchr(bytes + i, '"', length - i);
    if (!mark)
        return length;
    i = (size_t)(mark - bytes);
    if (i + 1 < length && bytes[i + 1] == '"') /* a doubled quote stays inside */
        return i + 2;
    quotes->open = false;
    return i + 1;
}

static size_t scan_outside(struct quotes *quotes, const char *bytes, size_t length, size_t i, size_t line, size_t at)
{
    const char *mark = memchr(bytes + i, '"', length - i);
    size_t end = mark ? (size_t)(mark - bytes) : length;
    const char *bare = memchr(bytes + i, '\r', end - i);
    if (bare && !quotes->bare_return) {
        quotes->bare_return = true;
        quotes->return_offset = at + (size_t)(bare - bytes);
    }
    if (!mark)
        return length;
    quotes->open = true;
    quotes->line = line;
    quotes->offset = at + end;
    return end + 1;
}

void quotes_scan(struct quotes *quotes, const char *bytes, size_t length, size_t line, size_t at)
{
    size_t i = 0;
    while (i < length)
        i = quotes->open ? scan_inside(quotes, bytes, length, i) : scan_outside(quotes, bytes, length, i, line, at);
}

size_t quotes_cell_at(const char *row, size_t target, char separator, size_t *start)
{
    size_t cell = 0;
    bool open = false;
    *start = 0;
    for (size_t i = 0; i < target; i++) {
        if (row[i] == '"')
            open = !open;
        else if (row[i] == separator && !open) {
            cell++;
            *start = i + 1;
        }
    }
    return cell;
}
