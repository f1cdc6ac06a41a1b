/*
 * Looks at what was written, as its readers would.
 *
 * inspect html FILE      the skeleton of a page: its elements without their text and the values of attributes
 * inspect markdown FILE  the skeleton of the page that md4c makes of it
 * inspect csv FILE       the number of cells of each row; fails on a cell that a spreadsheet takes for a formula
 * inspect screen FILE    fails on bytes that steer a terminal or turn the writing direction
 * inspect json FILE TEXT fails when no string of the document is TEXT
 */
#include <csv.h>
#include <ctype.h>
#include <jansson.h>
#include <md4c-html.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct bytes { char *text; size_t length; };

static void add(struct bytes *bytes, const char *text, size_t length)
{
    char *more = realloc(bytes->text, bytes->length + length + 1);
    if (!more)
        exit(2);
    memcpy(more + bytes->length, text, length);
    bytes->text = more;
    bytes->length += length;
    bytes->text[bytes->length] = '\0';
}

static struct bytes read_all(const char *path)
{
    struct bytes bytes = {0};
    FILE *file = fopen(path, "rb");
    if (!file) {
        perror(path);
        exit(2);
    }
    char part[65536];
    size_t n;
    add(&bytes, "", 0);
    while ((n = fread(part, 1, sizeof part, file)) > 0)
        add(&bytes, part, n);
    fclose(file);
    return bytes;
}

/* Prints an element without the values of its attributes; where it ends. */
static const char *print_element(const char *at)
{
    char quote = '\0';
    for (; *at && (quote || *at != '>'); at++) {
        if (quote)
            quote = *at == quote ? '\0' : quote;
        else if (*at == '"' || *at == '\'')
            quote = *at;
        else
            putchar(*at == '\n' ? ' ' : *at);
    }
    return at;
}

/* Names of elements and of their attributes, and whether text follows, one element a line. */
static void print_skeleton(const char *page)
{
    for (const char *at = page; (at = strchr(at, '<')) != NULL;) {
        at++;
        if (!isalpha((unsigned char)*at) && !strchr("/!?", *at))
            continue;
        at = print_element(at);
        const char *text = *at ? at + 1 + strspn(at + 1, " \n") : at;
        puts(*text && *text != '<' ? " text" : "");
    }
}

static void add_html(const char *text, MD_SIZE length, void *page)
{
    add(page, text, length);
}

static int print_markdown(const struct bytes *markdown)
{
    struct bytes page = {0};
    int failed = md_html(markdown->text, (MD_SIZE)markdown->length, add_html, &page, MD_DIALECT_GITHUB, 0);
    if (!failed && page.text)
        print_skeleton(page.text);
    free(page.text);
    return failed != 0;
}

struct table { size_t cells, formulas; };

/* What spreadsheets start a formula with, also behind blanks and in full width; a plain number is none. */
static bool is_formula(const char *cell, size_t length)
{
    char text[4096];
    snprintf(text, sizeof text, "%.*s", (int)length, cell);
    const char *first = text + strspn(text, " ");
    char *rest;
    strtod(first, &rest);
    if (*first && *rest == '\0')
        return false;
    static const char *const wide[] = {"\xEF\xBC\x9D", "\xEF\xBC\x8B", "\xEF\xBC\x8D", "\xEF\xBC\xA0"};
    for (size_t i = 0; i < sizeof wide / sizeof *wide; i++)
        if (strncmp(first, wide[i], strlen(wide[i])) == 0)
            return true;
    return *first && strchr("=+-@\t\r\n", *first) && strcmp(first, "-") != 0;
}

static void take_cell(void *cell, size_t length, void *context)
{
    struct table *table = context;
    table->cells++;
    if (is_formula(cell, length)) {
        fprintf(stderr, "a formula: %.*s\n", (int)length, (char *)cell);
        table->formulas++;
    }
}

static void take_row(int end, void *context)
{
    (void)end;
    struct table *table = context;
    printf("%zu cells\n", table->cells);
    table->cells = 0;
}

static int print_csv(const struct bytes *file)
{
    struct csv_parser parser;
    struct table table = {0};
    if (csv_init(&parser, CSV_STRICT | CSV_STRICT_FINI) != 0)
        return 2;
    bool good = csv_parse(&parser, file->text, file->length, take_cell, take_row, &table) == file->length &&
                csv_fini(&parser, take_cell, take_row, &table) == 0;
    csv_free(&parser);
    return !good || table.formulas > 0;
}

static bool is_control(const unsigned char *at)
{
    return (*at < 0x20 && *at != '\n') || *at == 0x7F || (*at == 0xC2 && at[1] >= 0x80 && at[1] <= 0x9F);
}

/* U+200E, U+200F, U+202A to U+202E, U+2066 to U+2069 */
static bool turns_direction(const unsigned char *at)
{
    if (at[0] != 0xE2)
        return false;
    if (at[1] == 0x80)
        return at[2] == 0x8E || at[2] == 0x8F || (at[2] >= 0xAA && at[2] <= 0xAE);
    return at[1] == 0x81 && at[2] >= 0xA6 && at[2] <= 0xA9;
}

static int check_screen(const struct bytes *bytes)
{
    for (size_t i = 0; i < bytes->length; i++) {
        const unsigned char *at = (const unsigned char *)bytes->text + i;
        if (is_control(at) || turns_direction(at)) {
            fprintf(stderr, "byte %zu: %.3s\n", i, (const char *)at);
            return 1;
        }
    }
    return 0;
}

static bool holds(const json_t *value, const char *text)
{
    const char *key;
    json_t *item;
    size_t i;
    if (json_is_string(value))
        return strcmp(json_string_value(value), text) == 0;
    if (json_is_array(value)) {
        json_array_foreach(value, i, item)
            if (holds(item, text))
                return true;
    }
    if (json_is_object(value)) {
        json_object_foreach((json_t *)value, key, item)
            if (holds(item, text))
                return true;
    }
    return false;
}

static int check_json(const struct bytes *bytes, const char *text)
{
    json_t *document = json_loadb(bytes->text, bytes->length, JSON_REJECT_DUPLICATES, NULL);
    bool good = document && (!text || holds(document, text));
    json_decref(document);
    return !good;
}

int main(int argc, char **argv)
{
    if (argc < 3)
        return fputs("usage: see inspect.c\n", stderr), 2;
    struct bytes bytes = read_all(argv[2]);
    int code = 2;
    if (strcmp(argv[1], "html") == 0)
        code = (print_skeleton(bytes.text), 0);
    else if (strcmp(argv[1], "markdown") == 0)
        code = print_markdown(&bytes);
    else if (strcmp(argv[1], "csv") == 0)
        code = print_csv(&bytes);
    else if (strcmp(argv[1], "screen") == 0)
        code = check_screen(&bytes);
    else if (strcmp(argv[1], "json") == 0)
        code = check_json(&bytes, argc > 3 ? argv[3] : NULL);
    free(bytes.text);
    return fflush(stdout) == 0 ? code : 2;
}
