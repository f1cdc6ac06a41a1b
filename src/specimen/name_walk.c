#include "specimen/name_walk.h"

/*
 * U+00C0 to U+017F: the plain letter and its accent, '.' where there is none.
 * Accents: a grave, b acute, c circumflex, d tilde, e diaeresis, f ring, g
 * cedilla, h macron, i breve, j ogonek, k dot above, l caron, m double acute.
 * Source: Unicode character database, canonical decompositions.
 */
static const char plain[] =
    "AAAAAA.CEEEEIIII.NOOOOO..UUUUY..aaaaaa.ceeeeiiii.nooooo..uuuuy.y"
    "AaAaAaCcCcCcCcDd..EeEeEeEeEeGgGgGgGgHh..IiIiIiIiI...JjKk.LlLlLl."
    "...NnNnNn...OoOoOo..RrRrRrSsSsSsSsTtTt..UuUuUuUuUuUuWwYyYZzZzZz.";
static const char accents[] =
    "abcdef.gabceabce.dabcde..abceb..abcdef.gabceabce.dabcde..abceb.e"
    "hhiijjbbcckkllll..hhiikkjjllcciikkggcc..ddhhiijjk...ccgg.bbggll."
    "...bbggll...hhiimm..bbggllbbccggllggll..ddhhiiffmmjjccccebbkkll.";

/* The combining signs of those accents, in their order. */
static const unsigned short combining[] = { 0x300, 0x301, 0x302, 0x303, 0x308, 0x30A, 0x327, 0x304, 0x306, 0x328, 0x307, 0x30C, 0x30B };

enum { FIRST = 0xC0, LAST = 0x17F, ACCENT_BASE = 0x80 };

static unsigned char small(char c)
{
    return (unsigned char)(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
}

/* The character of a two-byte sequence, 0 when there is none here. */
static unsigned two_byte_character(const char *at)
{
    unsigned char first = (unsigned char)at[0], second = (unsigned char)at[1];
    return (first & 0xE0) == 0xC0 && (second & 0xC0) == 0x80 ? (first & 0x1Fu) << 6 | (second & 0x3Fu) : 0;
}

static unsigned char next_beyond_ascii(struct name_walk *walk)
{
    unsigned character = two_byte_character(walk->at);
    if (character >= FIRST && character <= LAST && plain[character - FIRST] != '.') {
        walk->at += 2;
        walk->accent = (unsigned char)(ACCENT_BASE + accents[character - FIRST] - 'a');
        return small(plain[character - FIRST]);
    }
    for (unsigned i = 0; i < sizeof combining / sizeof combining[0]; i++)
        if (combining[i] == character) {
            walk->at += 2;
            return (unsigned char)(ACCENT_BASE + i);
        }
    return (unsigned char)*walk->at++;
}

unsigned char name_walk_next(struct name_walk *walk)
{
    if (walk->accent) {
        unsigned char accent = walk->accent;
        walk->accent = 0;
        return accent;
    }
    while (*walk->at == ' ')
        walk->at++;
    if ((unsigned char)*walk->at >= ACCENT_BASE)
        return next_beyond_ascii(walk);
    return *walk->at ? small(*walk->at++) : 0;
}
