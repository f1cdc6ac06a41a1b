#ifndef BASE_TEXT_H
#define BASE_TEXT_H

#include <stdbool.h>
#include <stddef.h>

/*
 * A growing text buffer. Zero-initialise; release with text_release().
 * After a failed allocation `failed` stays true and additions do nothing, so
 * callers check once at the end. bytes is NUL-terminated when not NULL.
 */
struct text {
    char *bytes;
    size_t length, capacity;
    bool failed;
};

void text_add(struct text *text, const char *string);
void text_add_bytes(struct text *text, const char *bytes, size_t length);
void text_addf(struct text *text, const char *format, ...) __attribute__((format(printf, 2, 3)));
void text_clear(struct text *text);
void text_release(struct text *text);

/* Whether bytes are well-formed UTF-8; *at gets the offset of the first bad byte. */
bool text_is_utf8(const char *bytes, size_t length, size_t *at);

/* Adds string with C0, C1, DEL, bidi marks and invalid UTF-8 shown as U+FFFD: safe for a terminal. */
void text_add_printable(struct text *text, const char *string);

/* Whether both are one name: case and '_', '-', ' ' do not count. */
bool text_same(const char *a, const char *b);

/* Edit distance for "did you mean", capped at 9; case and '_', '-', ' ' do not count. */
unsigned text_distance(const char *a, const char *b);

/* Nearest of n candidates within a third of the length, else the only one that begins with it (three letters and more), or NULL. */
const char *text_nearest(const char *wanted, const char *const *candidates, size_t n);

#endif
