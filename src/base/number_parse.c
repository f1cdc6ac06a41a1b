#include "base/number.h"
#include "base/number_plain.h"

#include <ctype.h>
#include <locale.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <stdio.h>
#include <string.h>

/* strtod_l() is in glibc, the BSDs and macOS, though their headers show it only on request. */
double strtod_l(const char *text, char **end, locale_t locale);

#define NUMBER_LONGEST 1000
#define MANTISSA_EXACT 9007199254740992u /* 2^53: whole numbers up to here are exact in a double */
#define POWER_EXACT 22                   /* 10^22 is the largest power of ten exact in a double */

const double number_powers_of_ten[] = { 1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
                                        1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22 };

/* A number taken apart by the grammar. */
struct decimal {
    uint64_t mantissa;  /* significant digits as a whole number, of those that fit */
    bool mantissa_fits; /* false when digits did not fit into mantissa */
    bool negative;
    long exponent;      /* value = mantissa * 10^exponent */
};

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* Digits from position i; returns where they end. */
static size_t take_digits(const char *bytes, size_t length, size_t i, struct decimal *decimal)
{
    uint64_t mantissa = decimal->mantissa;
    for (; i < length && is_digit(bytes[i]); i++) {
        if (mantissa <= MANTISSA_EXACT / 10 - 1)
            mantissa = mantissa * 10 + (uint64_t)(bytes[i] - '0');
        else
            decimal->mantissa_fits = false;
    }
    decimal->mantissa = mantissa;
    return i;
}

/* `e[+-]digits` at i; returns where it ends, 0 when malformed. */
static size_t take_exponent(const char *bytes, size_t length, size_t i, struct decimal *decimal)
{
    bool negative = false;
    long exponent = 0;
    i++;
    if (i < length && (bytes[i] == '+' || bytes[i] == '-'))
        negative = bytes[i++] == '-';
    size_t start = i;
    for (; i < length && is_digit(bytes[i]); i++)
        if (exponent < 100000)
            exponent = exponent * 10 + (bytes[i] - '0');
    decimal->exponent += negative ? -exponent : exponent;
    return i == start ? 0 : i;
}

/* The grammar of number.h. */
static bool take_decimal(const char *bytes, size_t length, char mark, struct decimal *decimal)
{
    size_t i = 0;
    *decimal = (struct decimal){ .mantissa_fits = true };
    if (i < length && (bytes[i] == '+' || bytes[i] == '-'))
        decimal->negative = bytes[i++] == '-';
    size_t whole = i;
    i = take_digits(bytes, length, i, decimal);
    size_t digits = i - whole;
    if (i < length && bytes[i] == mark) {
        size_t fraction = ++i;
        i = take_digits(bytes, length, i, decimal);
        digits += i - fraction;
        decimal->exponent = -(long)(i - fraction);
    }
    if (digits == 0)
        return false;
    if (i < length && (bytes[i] == 'e' || bytes[i] == 'E'))
        i = take_exponent(bytes, length, i, decimal);
    return i == length;
}

/* One division or product of exact doubles is correctly rounded, so it equals strtod (Clinger 1990). */
static bool decimal_fast(const struct decimal *decimal, double *value)
{
    if (!decimal->mantissa_fits || decimal->exponent < -POWER_EXACT || decimal->exponent > POWER_EXACT)
        return false;
    double magnitude = (double)decimal->mantissa;
    magnitude = decimal->exponent < 0 ? magnitude / number_powers_of_ten[-decimal->exponent] : magnitude * number_powers_of_ten[decimal->exponent];
    *value = decimal->negative ? -magnitude : magnitude;
    return true;
}

static const char *decimal_slow(const char *bytes, size_t length, char mark, const struct decimal *decimal, double *value)
{
    char copy[NUMBER_LONGEST + 1];
    memcpy(copy, bytes, length);
    copy[length] = '\0';
    char *comma = mark == '.' ? NULL : strchr(copy, mark);
    if (comma)
        *comma = '.';
    locale_t plain = newlocale(LC_ALL_MASK, "C", (locale_t)0);
    if (plain == (locale_t)0)
        return "cannot be read: no memory is left";
    double parsed = strtod_l(copy, NULL, plain);
    freelocale(plain);
    if (!isfinite(parsed))
        return "is out of range: no measurement is that large";
    if (decimal->mantissa > 0 && fabs(parsed) < 2.2250738585072014e-308)
        return "is out of range: it is too small to be held, write 0";
    *value = parsed;
    return NULL;
}

/* One way a number goes wrong: a sign in its bytes, and what to say. */
struct odd_bytes {
    const char *bytes;
    const char *reason;
};

static const struct odd_bytes odd_characters[] = {
    { "\xE2\x88\x92", "has a typographic minus sign (U+2212): write an ordinary '-'" },
    { "\xE2\x80\x93", "has an en dash (U+2013): write an ordinary '-'" },
    { "\xE2\x80\x94", "has an em dash (U+2014): write an ordinary '-'" },
    { "\xEF\xBC\x8D", "has a fullwidth minus sign (U+FF0D): write an ordinary '-'" },
    { "\xC2\xA0", "has a no-break space (U+00A0): remove it" },
    { "\xE2\x80\xAF", "has a narrow no-break space (U+202F): remove it" },
    { "\xE2\x80\x89", "has a thin space (U+2009): remove it" },
    { "\xE2\x80\x8B", "has a zero-width space (U+200B): remove it" },
    { "\xEF\xBB\xBF", "has a byte-order mark (U+FEFF) inside: remove it" },
    { "\xEF\xBC", "has fullwidth digits (U+FF10 and on): write 0 to 9" },
    { "\xD9", "has Arabic digits (U+0660 and on): write 0 to 9" },
    { "\xDB", "has Arabic digits (U+06F0 and on): write 0 to 9" },
    { "\xC2\xBD", "has the fraction one half (U+00BD): write .5" },
    { "\xC2\xBC", "has the fraction one quarter (U+00BC): write .25" },
    { "\xC2\xBE", "has the fraction three quarters (U+00BE): write .75" },
};

static bool has_bytes(const char *bytes, size_t length, const char *wanted)
{
    size_t n = strlen(wanted);
    for (size_t i = 0; i + n <= length; i++)
        if (memcmp(bytes + i, wanted, n) == 0)
            return true;
    return false;
}

static const char *odd_character(const char *bytes, size_t length)
{
    for (size_t i = 0; i < sizeof odd_characters / sizeof odd_characters[0]; i++)
        if (has_bytes(bytes, length, odd_characters[i].bytes))
            return odd_characters[i].reason;
    for (size_t i = 0; i < length; i++)
        if (bytes[i] == '\0')
            return "has a NUL byte inside";
    for (size_t i = 0; i < length; i++)
        if ((unsigned char)bytes[i] < 0x20 || bytes[i] == 0x7F)
            return "has a control character inside: remove it";
    return NULL;
}

static bool starts_without_case(const char *bytes, size_t length, const char *word)
{
    for (size_t i = 0; word[i]; i++)
        if (i >= length || tolower((unsigned char)bytes[i]) != word[i])
            return false;
    return true;
}

/* nan, inf and the like, and numbers of programming languages. Sign already passed. */
static const char *not_decimal(const char *bytes, size_t length)
{
    if (starts_without_case(bytes, length, "nan") || starts_without_case(bytes, length, "inf"))
        return "is not a finite number: leave the cell empty when there is no value";
    if (length > 1 && bytes[0] == '0' && strchr("xXbB", bytes[1]))
        return "is not a decimal number: write it with the digits 0 to 9";
    return NULL;
}

/* Groups of three digits behind each `group` mark, as in 1,000 or 1'000'000. */
static bool grouped(const char *bytes, size_t length, char group, char mark)
{
    size_t i = 0, n_groups = 0;
    while (i < length && is_digit(bytes[i]))
        i++;
    if (i == 0 || i > 3)
        return false;
    while (i + 3 < length && bytes[i] == group && is_digit(bytes[i + 1]) && is_digit(bytes[i + 2]) && is_digit(bytes[i + 3])) {
        i += 4;
        n_groups++;
    }
    return n_groups > 0 && (i == length || bytes[i] == mark);
}

static const char *bad_comma(const char *bytes, size_t length)
{
    const char *comma = memchr(bytes, ',', length), *point = memchr(bytes, '.', length);
    size_t n_commas = 0;
    for (size_t i = 0; i < length; i++)
        n_commas += bytes[i] == ',';
    if (grouped(bytes, length, ',', '.') && (point || n_commas > 1))
        return "has a thousands separator: write 1000.5, not 1,000.5";
    if (grouped(bytes, length, ',', '.'))
        return "has a thousands separator or a decimal comma: write 1000 or 1.000";
    if (point && point < comma)
        return "has a thousands separator and a decimal comma: write 1000.5";
    return n_commas == 1 ? "has a decimal comma: write 1.5, or use ';' or a tab between the columns"
                         : "is not a number: it has several commas";
}

static const char *bad_point(const char *bytes, size_t length)
{
    return grouped(bytes, length, '.', ',') ? "has a thousands separator or a decimal point: this file writes decimal commas, as in 1000,5"
                                            : "has a decimal point: this file writes decimal commas, as in 1,5";
}

static bool only(const char *bytes, size_t length, const char *allowed)
{
    for (size_t i = 0; i < length; i++)
        if (!strchr(allowed, bytes[i]))
            return false;
    return true;
}

/* O for 0, l and I for 1 between digits. */
static const char *look_alike(const char *bytes, size_t length)
{
    if (length > 1 && only(bytes, length, "0123456789.,+-Oo") && strpbrk(bytes, "0123456789") && strpbrk(bytes, "Oo"))
        return "is not a number: the letter O stands where a zero belongs";
    if (length > 1 && only(bytes, length, "0123456789.,+-lI") && strpbrk(bytes, "0123456789") && strpbrk(bytes, "lI"))
        return "is not a number: a letter stands where a one belongs";
    return NULL;
}

/* How many leading bytes look like a plain number. */
static size_t number_prefix(const char *bytes, size_t length)
{
    size_t i = 0;
    while (i < length && (is_digit(bytes[i]) || bytes[i] == '.' || bytes[i] == ','))
        i++;
    return i;
}

static const char *bad_tail(const char *bytes, size_t length)
{
    size_t prefix = number_prefix(bytes, length), rest = prefix;
    if (prefix == 0)
        return "is not a number: only digits, one decimal mark and an exponent may stand here";
    if (bytes[rest] == ' ' && rest + 1 < length && is_digit(bytes[rest + 1]))
        return "has a blank as thousands separator: write 1000.5, not 1 000.5";
    if (strchr("_'", bytes[rest]))
        return "has a thousands separator: write 1000.5";
    if (strchr("eE", bytes[rest]) && only(bytes + rest, length - rest, "eE+-.,0123456789"))
        return "is not a number: the exponent must be whole, as in 1.5e3";
    while (rest < length && bytes[rest] == ' ')
        rest++;
    if (rest < length && (isalpha((unsigned char)bytes[rest]) || strchr("%\"", bytes[rest]) || (unsigned char)bytes[rest] >= 0x80))
        return "is not a plain number: a unit belongs in the heading, as in mass_g, not in the cell";
    return "is not a number: only digits, one decimal mark and an exponent may stand here";
}

/* What is wrong with bytes that are no number; text is their NUL-terminated copy. */
static const char *number_reason(const char *text, size_t length, char mark)
{
    size_t sign = length > 0 && (text[0] == '-' || text[0] == '+');
    const char *bytes = text + sign, *reason = not_decimal(bytes, length - sign);
    length -= sign;
    if (!reason)
        reason = look_alike(bytes, length);
    if (reason)
        return reason;
    size_t prefix = number_prefix(bytes, length);
    char other = mark == '.' ? ',' : '.';
    if (prefix == length && memchr(bytes, other, length))
        return mark == '.' ? bad_comma(bytes, length) : bad_point(bytes, length);
    if (prefix == length && prefix > 0)
        return "is not a number: it has several decimal marks";
    return length == 0 ? "is not a number: it has no digits" : bad_tail(bytes, length);
}

static const char *parse_any(const char *bytes, size_t length, char mark, double *value)
{
    struct decimal decimal;
    char text[NUMBER_LONGEST + 1];
    if (length == 0)
        return "is empty";
    if (length > NUMBER_LONGEST)
        return "is longer than a number may be (1000 characters)";
    if (take_decimal(bytes, length, mark, &decimal))
        return decimal_fast(&decimal, value) ? NULL : decimal_slow(bytes, length, mark, &decimal, value);
    const char *reason = odd_character(bytes, length);
    if (reason)
        return reason;
    memcpy(text, bytes, length);
    text[length] = '\0';
    return number_reason(text, length, mark);
}

const char *number_parse(const char *bytes, size_t length, char decimal_mark, double *value)
{
    const char mark = decimal_mark == ',' ? ',' : '.';
    return number_plain(bytes, length, mark, value) ? NULL : parse_any(bytes, length, mark, value);
}

void number_complain(const char *wrong, const char *typed, char *out, size_t size)
{
    const char *comma = strchr(typed, ',');
    int before = comma ? (int)(comma - typed) : 0;
    if (comma && strncmp(wrong, "has a decimal comma", 19) == 0)
        snprintf(out, size, "has a decimal comma: write %.*s.%.80s", before, typed, comma + 1);
    else if (comma && strncmp(wrong, "has a thousands separator or a decimal comma", 44) == 0)
        snprintf(out, size, "has a thousands separator or a decimal comma: write %.*s%.80s or %.*s.%.80s", before, typed, comma + 1, before, typed, comma + 1);
    else
        snprintf(out, size, "%.*s", (int)strcspn(wrong, ":"), wrong);
}
