#include "output/escape.h"

#include <string.h>

#define REPLACEMENT "\xEF\xBF\xBD"

/* What stands for the byte at `at` of printable text, NULL for itself. */
typedef const char *stand_in(const char *at);

static void add_replaced(struct text *out, const char *string, stand_in *replace)
{
    struct text printable = { 0 };
    text_add_printable(&printable, string);
    out->failed |= printable.failed;
    size_t start = 0;
    for (size_t i = 0; i < printable.length; i++) {
        const char *other = replace(printable.bytes + i);
        if (!other)
            continue;
        text_add_bytes(out, printable.bytes + start, i - start);
        text_add(out, other);
        start = i + 1;
    }
    if (start < printable.length)
        text_add_bytes(out, printable.bytes + start, printable.length - start);
    text_release(&printable);
}

/* A quote cannot be escaped safely in gnuplot 5.4, so its typographic brother stands in. */
static const char *gnuplot_stand_in(const char *at)
{
    return *at == '\'' ? "\xE2\x80\x99" : NULL;
}

static const char *tic_stand_in(const char *at)
{
    return *at == '%' ? "\xEF\xBC\x85" : gnuplot_stand_in(at); /* full-width percent sign */
}

/* gnuplot leaves '>' as it is in SVG text, where "]]>" is not allowed. */
static void split_section_end(struct text *out, const char *string)
{
    const char *end;
    while ((end = strstr(string, "]]>")) != NULL) {
        text_add_bytes(out, string, (size_t)(end - string));
        text_add(out, "]] >");
        string = end + 3;
    }
    text_add(out, string);
}

static void add_gnuplot(struct text *out, const char *string, stand_in *replace)
{
    struct text label = { 0 };
    add_replaced(&label, string, replace);
    out->failed |= label.failed;
    text_add(out, "'");
    split_section_end(out, label.bytes ? label.bytes : "");
    text_add(out, "'");
    text_release(&label);
}

void escape_gnuplot(struct text *out, const char *string)
{
    add_gnuplot(out, string, gnuplot_stand_in);
}

void escape_gnuplot_tic(struct text *out, const char *string)
{
    add_gnuplot(out, string, tic_stand_in);
}

/* Letters, digits and blanks, but for the letter that a bare address may begin with. */
static bool stands_for_itself(char c)
{
    return (c >= 'a' && c <= 'z' && c != 'w') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == ' ';
}

static const char *markdown_stand_in(const char *at)
{
    static const char escaped[][3] = {
        "\\\\", "\\`", "\\*", "\\_", "\\[", "\\]", "\\<", "\\>", "\\|", "\\~", "\\&", "\\$", "\\@"
    };
    if (stands_for_itself(*at))
        return NULL;
    for (size_t i = 0; i < sizeof escaped / sizeof escaped[0]; i++)
        if (escaped[i][1] == *at)
            return escaped[i];
    /* A heading drops the signs of headings at its end. */
    if (*at == '#' && at[strspn(at, "# ")] == '\0')
        return "\\#";
    /* Many readers turn bare addresses into links. */
    if (strncmp(at, "://", 3) == 0)
        return "\\:";
    return strncmp(at, "www.", 4) == 0 ? "&#119;" : NULL;
}

/* Signs that make a heading, a list or a rule when a line begins with them. */
static size_t markdown_opening(const char *string)
{
    size_t digits = strspn(string, "0123456789");
    if (digits == 0)
        return *string && strchr("#+-=", *string) ? 1 : 0;
    return (string[digits] == '.' || string[digits] == ')') && (string[digits + 1] == ' ' || !string[digits + 1])
        ? digits + 1 : 0;
}

void escape_markdown(struct text *out, const char *string)
{
    add_replaced(out, string, markdown_stand_in);
}

void escape_markdown_line(struct text *out, const char *string)
{
    string += strspn(string, " ");
    size_t opening = markdown_opening(string);
    if (opening > 0) {
        text_add_bytes(out, string, opening - 1);
        text_addf(out, "\\%c", string[opening - 1]);
    }
    escape_markdown(out, string + opening);
}

static const char *html_stand_in(const char *at)
{
    switch (*at) {
    case '&': return "&amp;";
    case '<': return "&lt;";
    case '>': return "&gt;";
    case '"': return "&quot;";
    case '\'': return "&#39;";
    default: return NULL;
    }
}

void escape_html(struct text *out, const char *string)
{
    add_replaced(out, string, html_stand_in);
}

/* The signs that start a formula, also behind blanks and in their full-width form. */
static bool is_formula(const char *string)
{
    static const char *const wide[] = { "\xEF\xBC\x9D", "\xEF\xBC\x8B", "\xEF\xBC\x8D", "\xEF\xBC\xA0" };
    if (*string && strchr("\t\r\n", *string))
        return true;
    string += strspn(string, " ");
    if (*string && strchr("=+-@", *string))
        return true;
    for (size_t i = 0; i < sizeof wide / sizeof wide[0]; i++)
        if (strncmp(string, wide[i], strlen(wide[i])) == 0)
            return true;
    return false;
}

void escape_csv(struct text *out, const char *string)
{
    const char *guard = is_formula(string) ? "'" : "";
    if (!*guard && strcspn(string, "\",;\t\r\n") == strlen(string)) {
        text_add(out, string);
        return;
    }
    text_addf(out, "\"%s", guard);
    for (; *string; string++)
        text_add_bytes(out, *string == '"' ? "\"\"" : string, *string == '"' ? 2 : 1);
    text_add(out, "\"");
}

void escape_utf8(struct text *out, const char *string)
{
    size_t left = strlen(string), at = 0;
    while (left > 0 && !text_is_utf8(string, left, &at)) {
        text_add_bytes(out, string, at);
        text_add(out, REPLACEMENT);
        string += at + 1;
        left -= at + 1;
    }
    text_add_bytes(out, string, left);
}

static bool starts_character(char byte)
{
    return ((unsigned char)byte & 0xC0) != 0x80;
}

size_t escape_width(const char *string)
{
    size_t width = 0;
    for (; *string; string++)
        width += starts_character(*string);
    return width;
}

/* Bytes in front of character number `characters`, counted from 0. */
static size_t character_offset(const char *string, size_t characters)
{
    size_t at = 0;
    for (size_t seen = 0; string[at]; at++)
        if (starts_character(string[at]) && seen++ == characters)
            break;
    return at;
}

static bool is_plain(const char *string, size_t limit)
{
    size_t length = 0;
    while (length <= limit && string[length] >= ' ' && string[length] <= '~')
        length++;
    return length <= limit && string[length] == '\0';
}

/* Leaves the first limit - 1 - tail and the last `tail` characters of what is longer than limit. */
static void cut(struct text *out, const char *string, size_t limit, size_t tail)
{
    if (is_plain(string, limit)) {
        text_add(out, string);
        return;
    }
    struct text printable = { 0 };
    text_add_printable(&printable, string);
    out->failed |= printable.failed;
    const char *shown = printable.bytes ? printable.bytes : "";
    const size_t width = escape_width(shown);
    if (width <= limit) {
        text_add(out, shown);
    } else {
        text_add_bytes(out, shown, character_offset(shown, limit - 1 - tail));
        text_add(out, "\xE2\x80\xA6");
        text_add(out, shown + character_offset(shown, width - tail));
    }
    text_release(&printable);
}

void escape_cut(struct text *out, const char *string, size_t limit)
{
    cut(out, string, limit, 0);
}

void escape_cut_middle(struct text *out, const char *string, size_t limit)
{
    cut(out, string, limit, (limit - 1) / 2);
}
