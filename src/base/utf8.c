#include "base/utf8.h"

#include "base/text.h"

#include <stdint.h>
#include <string.h>

#define ASCII_STEP 32

static size_t utf8_length(unsigned char first)
{
    if (first < 0x80)
        return 1;
    if (first >= 0xC2 && first <= 0xDF)
        return 2;
    if (first >= 0xE0 && first <= 0xEF)
        return 3;
    return first >= 0xF0 && first <= 0xF4 ? 4 : 0;
}

size_t utf8_next(const char *bytes, size_t left, unsigned long *point)
{
    static const unsigned long smallest[] = { 0, 0, 0x80, 0x800, 0x10000 };
    const unsigned char *b = (const unsigned char *)bytes;
    size_t length = utf8_length(b[0]);
    if (length == 0 || length > left)
        return 0;
    unsigned long value = length == 1 ? b[0] : b[0] & (0xFFu >> (length + 1));
    for (size_t i = 1; i < length; i++) {
        if ((b[i] & 0xC0) != 0x80)
            return 0;
        value = value << 6 | (b[i] & 0x3F);
    }
    if (value < smallest[length] || value > 0x10FFFF || (value >= 0xD800 && value <= 0xDFFF))
        return 0;
    *point = value;
    return length;
}

/* Controls, line separators, and marks that turn the writing direction (Unicode UAX 9). */
static bool point_is_hidden(unsigned long point)
{
    return point < 0x20 || (point >= 0x7F && point <= 0x9F) || point == 0x061C || point == 0x200E
        || point == 0x200F || (point >= 0x2028 && point <= 0x202E) || (point >= 0x2066 && point <= 0x2069)
        || point == 0xFEFF || (point & 0xFFFE) == 0xFFFE;
}

const char *utf8_printable(const char *bytes, size_t left, size_t *length, size_t *shown_length)
{
    unsigned long point = 0;
    *length = utf8_next(bytes, left, &point);
    if (*length != 0 && !point_is_hidden(point)) {
        *shown_length = *length;
        return bytes;
    }
    if (*length == 0)
        *length = 1;
    *shown_length = 3;
    return "\xEF\xBF\xBD";
}

size_t utf8_cut(const char *text, size_t limit)
{
    size_t length = strnlen(text, limit + 1);
    if (length <= limit)
        return length;
    length = limit;
    while (length > 0 && ((unsigned char)text[length] & 0xC0) == 0x80)
        length--;
    return length;
}

/* Whether the next bytes are ASCII, as many as make sense to look at together. */
static bool next_are_ascii(const char *bytes, size_t left)
{
    uint64_t words[ASCII_STEP / sizeof(uint64_t)], all = 0;
    if (left < sizeof words)
        return false;
    memcpy(words, bytes, sizeof words);
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        all |= words[i];
    return (all & UINT64_C(0x8080808080808080)) == 0;
}

bool text_is_utf8(const char *bytes, size_t length, size_t *at)
{
    size_t i = 0;
    while (i < length) {
        unsigned long point;
        if (next_are_ascii(bytes + i, length - i)) {
            i += ASCII_STEP;
            continue;
        }
        size_t step = utf8_next(bytes + i, length - i, &point);
        if (step == 0) {
            if (at)
                *at = i;
            return false;
        }
        i += step;
    }
    return true;
}
