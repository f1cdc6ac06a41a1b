#include "base/text.h"

#include "base/memory.h"
#include "base/utf8.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* Room for `more` bytes and the closing NUL. */
static bool text_reserve(struct text *text, size_t more)
{
    if (text->failed)
        return false;
    if (more < text->capacity - text->length)
        return true;
    void *block = text->bytes;
    if (more >= (size_t)-1 / 4 || !memory_reserve(&block, &text->capacity, text->length + more + 1, 1)) {
        text->failed = true;
        return false;
    }
    text->bytes = block;
    return true;
}

void text_add_bytes(struct text *text, const char *bytes, size_t length)
{
    if (!text_reserve(text, length))
        return;
    if (length)
        memcpy(text->bytes + text->length, bytes, length);
    text->length += length;
    text->bytes[text->length] = '\0';
}

void text_add(struct text *text, const char *string)
{
    text_add_bytes(text, string, strlen(string));
}

void text_addf(struct text *text, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    va_list again;
    va_copy(again, arguments);
    size_t room = text->bytes ? text->capacity - text->length : 0; /* mostly enough, and then once is enough */
    int length = vsnprintf(text->bytes ? text->bytes + text->length : NULL, room, format, arguments);
    va_end(arguments);
    bool fits = length >= 0 && (size_t)length < room && !text->failed;
    if (length < 0)
        text->failed = true;
    else if (!fits && (fits = text_reserve(text, (size_t)length)))
        vsnprintf(text->bytes + text->length, (size_t)length + 1, format, again);
    if (fits)
        text->length += (size_t)length;
    else if (text->bytes)
        text->bytes[text->length] = '\0';
    va_end(again);
}

void text_clear(struct text *text)
{
    text->length = 0;
    if (text->bytes)
        text->bytes[0] = '\0';
}

void text_release(struct text *text)
{
    memory_free(text->bytes);
    *text = (struct text){ 0 };
}

void text_add_printable(struct text *text, const char *string)
{
    size_t left = strlen(string);
    while (left > 0) {
        size_t length, shown_length;
        const char *shown = utf8_printable(string, left, &length, &shown_length);
        text_add_bytes(text, shown, shown_length);
        string += length;
        left -= length;
    }
}

#define DISTANCE_CAP 9u
#define DISTANCE_LONGEST 127

static char letter_lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static bool is_joint(char c)
{
    return c == '_' || c == '-' || c == ' ';
}

bool text_same(const char *a, const char *b)
{
    for (;; a++, b++) {
        while (is_joint(*a))
            a++;
        while (is_joint(*b))
            b++;
        if (letter_lower(*a) != letter_lower(*b))
            return false;
        if (!*a)
            return true;
    }
}

/* Letters without case, '_', '-', ' '; DISTANCE_LONGEST + 1 when the text is longer than that. */
static size_t distance_letters(const char *text, char letters[DISTANCE_LONGEST])
{
    size_t n = 0;
    for (; *text; text++) {
        if (is_joint(*text))
            continue;
        if (n == DISTANCE_LONGEST)
            return n + 1;
        letters[n++] = letter_lower(*text);
    }
    return n;
}

static unsigned least(unsigned a, unsigned b)
{
    return a < b ? a : b;
}

/* Optimal string alignment: one swap of neighbours counts as one slip. */
static unsigned alignment_distance(const char *a, size_t n_a, const char *b, size_t n_b)
{
    unsigned rows[3][DISTANCE_LONGEST + 1];
    for (size_t j = 0; j <= n_b; j++)
        rows[0][j] = (unsigned)j;
    for (size_t i = 1; i <= n_a; i++) {
        unsigned *now = rows[i % 3], *last = rows[(i - 1) % 3], *before = rows[(i + 1) % 3];
        now[0] = (unsigned)i;
        for (size_t j = 1; j <= n_b; j++) {
            unsigned replace = last[j - 1] + (a[i - 1] != b[j - 1]);
            now[j] = least(replace, least(last[j], now[j - 1]) + 1);
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                now[j] = least(now[j], before[j - 2] + 1);
        }
    }
    return rows[n_a % 3][n_b];
}

unsigned text_distance(const char *a, const char *b)
{
    char letters_a[DISTANCE_LONGEST], letters_b[DISTANCE_LONGEST];
    size_t n_a = distance_letters(a, letters_a), n_b = distance_letters(b, letters_b);
    if (n_a > DISTANCE_LONGEST || n_b > DISTANCE_LONGEST)
        return strcmp(a, b) == 0 ? 0 : DISTANCE_CAP;
    size_t gap = n_a > n_b ? n_a - n_b : n_b - n_a;
    if (gap >= DISTANCE_CAP)
        return DISTANCE_CAP;
    return least(alignment_distance(letters_a, n_a, letters_b, n_b), DISTANCE_CAP);
}

/* The only candidate that begins with what was typed, at least three letters of it, or NULL. */
static const char *only_begun(const char *wanted, const char *const *candidates, size_t n)
{
    char typed[DISTANCE_LONGEST], letters[DISTANCE_LONGEST];
    size_t n_typed = distance_letters(wanted, typed);
    const char *begun = NULL;
    for (size_t i = 0; i < n && n_typed >= 3 && n_typed <= DISTANCE_LONGEST; i++) {
        size_t n_letters = distance_letters(candidates[i], letters);
        if (n_letters < n_typed || n_letters > DISTANCE_LONGEST || memcmp(typed, letters, n_typed) != 0)
            continue;
        if (begun)
            return NULL;
        begun = candidates[i];
    }
    return begun;
}

const char *text_nearest(const char *wanted, const char *const *candidates, size_t n)
{
    const char *nearest = NULL;
    unsigned best = DISTANCE_CAP;
    for (size_t i = 0; i < n; i++) {
        unsigned distance = text_distance(wanted, candidates[i]);
        if (distance < best) {
            best = distance;
            nearest = candidates[i];
        }
    }
    if (best > 0 && (size_t)best * 3 > strlen(wanted))
        return only_begun(wanted, candidates, n);
    return nearest;
}
