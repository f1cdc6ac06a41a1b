#ifndef BASE_UTF8_H
#define BASE_UTF8_H

#include <stddef.h>

/*
 * Length of the well-formed UTF-8 character at bytes (1 to 4), its code point
 * in *point; 0 when the bytes are malformed, overlong, a surrogate or cut off.
 * left > 0. Source: RFC 3629, section 4.
 */
size_t utf8_next(const char *bytes, size_t left, unsigned long *point);

/*
 * What a terminal may show for the character at bytes: itself, or U+FFFD for
 * C0, C1, DEL, marks that turn the writing direction, line separators and bad
 * bytes. *length gets the bytes consumed, *shown_length the length of the result.
 */
const char *utf8_printable(const char *bytes, size_t left, size_t *length, size_t *shown_length);

/* The largest length <= limit that does not cut a character of text in two. */
size_t utf8_cut(const char *text, size_t limit);

#endif
