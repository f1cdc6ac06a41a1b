#include "output/chart.h"

#include "output/load.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* What stands for a character where only ASCII can be shown; one for one, so that columns stay. */
static const struct { const char *character; char plain; } plain_forms[] = {
    { "\xE2\x97\x8F", 'O' }, { "\xE2\x96\xB2", 'A' }, { "\xE2\x96\xA0", 'H' }, { "\xE2\x97\x86", 'X' }, { "\xE2\x96\xBC", 'V' }, { "\xE2\xAC\x9F", 'P' },
    { "\xE2\x97\x8B", 'o' }, { "\xE2\x96\xB3", 'a' }, { "\xE2\x96\xA1", 'h' }, { "\xE2\x97\x87", 'x' }, { "\xE2\x96\xBD", 'v' }, { "\xE2\xAC\xA0", 'p' },
    { "\xE2\x97\x8E", '@' }, { "\xC3\x97", '+' }, { "\xC2\xB3", '3' }, { "\xC2\xB2", '2' }, { "\xC2\xA0", ' ' }, { "\xE2\x80\xA6", '~' }, { "\xE2\x80\x99", '\'' },
};

static void add_character(struct text *out, const char *character, size_t length, bool utf8)
{
    if (utf8 || length == 1) {
        text_add_bytes(out, character, length);
        return;
    }
    for (size_t i = 0; i < sizeof plain_forms / sizeof plain_forms[0]; i++)
        if (strlen(plain_forms[i].character) == length && memcmp(plain_forms[i].character, character, length) == 0) {
            text_add_bytes(out, &plain_forms[i].plain, 1);
            return;
        }
    text_add(out, "?");
}

/* Bytes of the character at `at`, by its first one; what gnuplot got was well formed. */
static size_t character_length(const char *at, size_t left)
{
    unsigned char first = (unsigned char)*at;
    size_t length = first < 0xC0 ? 1 : first < 0xE0 ? 2 : first < 0xF0 ? 3 : 4;
    return length < left ? length : left;
}

/* A line of gnuplot's, its blanks at the end left out. All text in it has passed escape_gnuplot(): no control characters. */
static void add_line(struct text *out, const char *line, size_t length, const struct terminal *terminal)
{
    while (length > 0 && line[length - 1] == ' ')
        length--;
    for (size_t at = 0, used; at < length; at += used) {
        used = character_length(line + at, length - at);
        add_character(out, line + at, used, terminal->utf8);
    }
    text_add(out, "\n");
}

static enum status add_chart(const char *folder, const struct chart *chart, const struct terminal *terminal, struct text *out, struct problem *problem)
{
    char path[LOAD_PATH];
    struct text drawn = { 0 };
    enum status status = load_path(folder, chart->name, CHART_TEXT_EXTENSION, path, problem);
    if (status == STATUS_OK)
        status = load_file(path, &drawn, problem);
    const char *line = status == STATUS_OK && drawn.bytes ? drawn.bytes : "";
    while (*line) {
        size_t length = strcspn(line, "\n");
        add_line(out, line, length, terminal);
        line += length + (line[length] == '\n');
    }
    text_release(&drawn);
    return status;
}

static void sweep(const char *folder, const struct chart_list *charts)
{
    static const char *const extensions[] = { ".gp", CHART_TEXT_EXTENSION };
    char path[LOAD_PATH];
    struct problem ignored;
    for (size_t i = 0; i < charts->n_items; i++)
        for (size_t j = 0; j < sizeof extensions / sizeof extensions[0]; j++)
            if (load_path(folder, charts->items[i].name, extensions[j], path, &ignored) == STATUS_OK)
                unlink(path);
    rmdir(folder);
}

enum status chart_show(const struct chart_source *source, const struct terminal *terminal, struct text *out,
                       struct chart_list *charts, struct problem *problem)
{
    const char *place = getenv("TMPDIR");
    char folder[LOAD_PATH];
    struct chart_source fitted = *source;
    fitted.columns = terminal->columns;
    *charts = (struct chart_list){ 0 };
    snprintf(folder, sizeof folder, "%.3000s/plumestone-XXXXXX", place && *place ? place : "/tmp");
    if (!mkdtemp(folder))
        return problem_set(problem, STATUS_IO, NULL, "no folder can be made for the drawing: '%.3000s': %s", folder, strerror(errno));
    enum status status = chart_write_all(&fitted, terminal->colour ? CHART_COLOURED_TEXT : CHART_TEXT, folder, charts, problem);
    for (size_t i = 0; status == STATUS_OK && i < charts->n_items; i++)
        status = add_chart(folder, &charts->items[i], terminal, out, problem);
    sweep(folder, charts);
    return status;
}
