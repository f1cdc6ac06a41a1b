#include "ingest/headings.h"

#include "base/text.h"

#include <stdio.h>
#include <string.h>

#define SYMBOL_LONGEST 32

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static bool is_joint(char c)
{
    return c == ' ' || c == '_' || c == '-' || c == '\t' || c == '\n' || c == '\r';
}

struct span span_of(const char *text)
{
    return (struct span){ text, strlen(text) };
}

static struct span span_trim(struct span span)
{
    while (span.length > 0 && is_joint(span.at[span.length - 1]))
        span.length--;
    while (span.length > 0 && is_joint(span.at[0])) {
        span.at++;
        span.length--;
    }
    return span;
}

bool span_same(struct span a, struct span b)
{
    size_t i = 0, j = 0;
    for (;; i++, j++) {
        while (i < a.length && is_joint(a.at[i]))
            i++;
        while (j < b.length && is_joint(b.at[j]))
            j++;
        if (i == a.length || j == b.length)
            return i == a.length && j == b.length;
        if (lower(a.at[i]) != lower(b.at[j]))
            return false;
    }
}

bool heading_same(const char *a, const char *b)
{
    return span_same(span_of(a), span_of(b));
}

void heading_split(const char *heading, struct span *name, struct span *unit)
{
    struct span all = span_trim(span_of(heading));
    *name = all;
    *unit = (struct span){ NULL, 0 };
    char last = all.length > 0 ? all.at[all.length - 1] : 0;
    if (last != ')' && last != ']')
        return;
    char opener = last == ')' ? '(' : '[';
    size_t i = all.length - 1;
    while (i > 0 && all.at[i] != opener)
        i--;
    if (all.at[i] != opener)
        return;
    *unit = span_trim((struct span){ all.at + i + 1, all.length - i - 2 });
    *name = span_trim((struct span){ all.at, i });
}

struct span heading_rest(const char *heading, const char *name)
{
    size_t i = 0;
    for (; *name; name++) {
        if (is_joint(*name))
            continue;
        while (is_joint(heading[i]))
            i++;
        if (heading[i] == '\0' || lower(heading[i]) != lower(*name))
            return (struct span){ NULL, 0 };
        i++;
    }
    return is_joint(heading[i]) ? span_trim(span_of(heading + i)) : (struct span){ NULL, 0 };
}

/* U+00B2 and U+00B3 as digits; other bytes as they are. Returns the bytes used. */
static size_t symbol_letter(const char *at, size_t left, char *letter)
{
    *letter = at[0];
    if (left >= 2 && at[0] == '\xC2' && (at[1] == '\xB2' || at[1] == '\xB3')) {
        *letter = at[1] == '\xB2' ? '2' : '3';
        return 2;
    }
    return 1;
}

/* kg_m3, "kg / m³", kg per m^3 all become kg/m3. False when it is too long for a unit. */
static bool symbol_plain(const char *symbol, size_t length, char out[SYMBOL_LONGEST])
{
    size_t n = 0;
    for (size_t i = 0; i < length;) {
        char letter;
        i += symbol_letter(symbol + i, length - i, &letter);
        if (is_joint(letter))
            letter = '/';
        if (letter == '^' || (letter == '/' && (n == 0 || out[n - 1] == '/')))
            continue;
        if (n + 1 == SYMBOL_LONGEST)
            return false;
        out[n++] = letter;
        if (letter == '/' && n > 5 && memcmp(out + n - 5, "/per/", 5) == 0)
            n -= 4;
    }
    if (n > 0 && out[n - 1] == '/')
        n--;
    out[n] = '\0';
    return n > 0;
}

static bool same_without_case(const char *a, const char *b)
{
    while (*a && lower(*a) == lower(*b)) {
        a++;
        b++;
    }
    return *a == *b;
}

/* "mPa" for MPa: only the case of the prefix differs, and it may be meant. */
static bool prefix_doubtful(const char *wanted, const char *symbol)
{
    return lower(wanted[0]) == 'm' && wanted[0] != symbol[0] && wanted[1] && strcmp(wanted + 1, symbol + 1) == 0;
}

const struct unit *unit_match(const struct unit *units, const char *symbol, size_t length)
{
    char wanted[SYMBOL_LONGEST], typed[SYMBOL_LONGEST];
    const struct unit *found = NULL;
    bool clash = false;
    if (!units || !symbol_plain(symbol, length, wanted))
        return NULL;
    for (const struct unit *unit = units; unit->symbol; unit++) {
        if (!symbol_plain(unit->symbol, strlen(unit->symbol), typed))
            continue;
        if (strcmp(wanted, typed) == 0)
            return unit;
        if (!same_without_case(wanted, typed) || prefix_doubtful(wanted, typed))
            continue;
        clash |= found && (found->factor < unit->factor || found->factor > unit->factor);
        found = unit;
    }
    return clash ? NULL : found;
}

static bool is_word_end(char c)
{
    return c == '\0' || is_joint(c) || strchr("()[],;:", c);
}

/* One letter, or "in", is a unit only at the end: "depth in mould" is not inches. "1" is a count. */
static bool trusted_inside(struct span word, bool last)
{
    bool in = word.length == 2 && lower(word.at[0]) == 'i' && lower(word.at[1]) == 'n';
    if (word.length == 1 && word.at[0] == '1')
        return false;
    return last || (word.length > 1 && !in);
}

/* The unit that ends at `end`, as long as possible ("kg_m3" before "m3"). */
static const struct unit *unit_ending_at(const char *heading, size_t end, const struct unit *units)
{
    bool last = end == strlen(heading);
    for (size_t start = 0; start < end; start++) {
        struct span word = { heading + start, end - start };
        if ((start > 0 && !is_word_end(heading[start - 1])) || is_word_end(heading[start]) || !trusted_inside(word, last))
            continue;
        const struct unit *unit = unit_match(units, word.at, word.length);
        if (unit)
            return unit;
    }
    return NULL;
}

const struct unit *heading_inner_unit(const char *heading, const struct unit *units)
{
    for (size_t end = strlen(heading); end > 0; end--) {
        if (!is_word_end(heading[end]) || is_word_end(heading[end - 1]))
            continue;
        const struct unit *unit = unit_ending_at(heading, end, units);
        if (unit)
            return unit;
    }
    return NULL;
}

const char *heading_nearest(const struct row *row, const char *wanted)
{
    const char *nearest = NULL;
    unsigned best = 9;
    for (size_t i = 0; i < row->n_cells; i++) {
        struct span name, unit;
        char bare[128];
        heading_split(row->cells[i].text, &name, &unit);
        snprintf(bare, sizeof bare, "%.*s", (int)(name.length < sizeof bare ? name.length : sizeof bare - 1), name.at);
        unsigned whole = text_distance(wanted, row->cells[i].text), part = text_distance(wanted, bare);
        unsigned distance = whole < part ? whole : part;
        if (distance < best && (size_t)distance * 3 <= strlen(wanted)) {
            best = distance;
            nearest = row->cells[i].text;
        }
    }
    return nearest;
}
