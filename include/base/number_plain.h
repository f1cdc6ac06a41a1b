#ifndef BASE_NUMBER_PLAIN_H
#define BASE_NUMBER_PLAIN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* 10^0 to 10^22, each exact in a double. */
extern const double number_powers_of_ten[];

#define NUMBER_PLAIN_LONGEST 15 /* so many digits are below 2^53, exact in a double */

/* The number that the digits from *at on make behind those already read; *at is left where they end, at `end` at the latest. */
static inline int64_t number_plain_digits(const char **at, const char *end, int64_t before)
{
    const char *next = *at;
    for (; next < end; next++) {
        const unsigned digit = (unsigned)(unsigned char)*next - '0';
        if (digit > 9)
            break;
        before = before * 10 + digit;
    }
    *at = next;
    return before;
}

/*
 * Nearly every number of a file, read where it is needed: a few digits, perhaps the mark ('.' or ',') among them. False for all
 * else, good or bad, with *value as it was: number_parse knows it. Gives what number_parse would, the nearest double: one
 * division of exact doubles is correctly rounded (Clinger 1990).
 */
static inline bool number_plain(const char *bytes, size_t length, char mark, double *value)
{
    const char *at = bytes, *const end = bytes + length;
    if (length == 0 || length > NUMBER_PLAIN_LONGEST)
        return false;
    const int64_t whole = number_plain_digits(&at, end, 0);
    if (at == end) {
        *value = (double)whole;
        return true;
    }
    if (*at != mark || length == 1) /* a mark alone is no number */
        return false;
    const char *const fraction = ++at;
    const int64_t digits = number_plain_digits(&at, end, whole);
    if (at < end)
        return false;
    *value = (double)digits / number_powers_of_ten[end - fraction];
    return true;
}

#endif
