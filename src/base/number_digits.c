#include "base/number.h"

#include <float.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

_Static_assert(DBL_MANT_DIG == 53, "the short way takes doubles apart");

#define DIGITS 17
#define LEAST 0x1p-9          /* from here to below MOST all powers of ten that are needed are in the table */
#define MOST 1e15
#define FRACTION_BITS 52

__extension__ typedef unsigned __int128 wide;

static const uint64_t powers[] = {
    UINT64_C(1), UINT64_C(10), UINT64_C(100), UINT64_C(1000), UINT64_C(10000), UINT64_C(100000), UINT64_C(1000000), UINT64_C(10000000),
    UINT64_C(100000000), UINT64_C(1000000000), UINT64_C(10000000000), UINT64_C(100000000000), UINT64_C(1000000000000),
    UINT64_C(10000000000000), UINT64_C(100000000000000), UINT64_C(1000000000000000), UINT64_C(10000000000000000),
    UINT64_C(100000000000000000), UINT64_C(1000000000000000000), UINT64_C(10000000000000000000),
};

/* mantissa / 2^shift * 10^power to a whole number, ties to even. */
static uint64_t scaled(uint64_t mantissa, unsigned shift, int power)
{
    wide product = (wide)mantissa * powers[power], one = (wide)1 << shift, rest = product & (one - 1), half = one >> 1;
    uint64_t whole = (uint64_t)(product >> shift);
    return whole + (rest > half || (rest == half && whole % 2 == 1));
}

/* The DIGITS digits of a value as one whole number; exponent is that of ten in the first digit. */
static uint64_t digits_of(double value, int *exponent)
{
    uint64_t bits;
    memcpy(&bits, &value, sizeof bits);
    int binary = (int)(bits >> FRACTION_BITS & 0x7FF) - 1023;
    uint64_t mantissa = (bits & ((UINT64_C(1) << FRACTION_BITS) - 1)) | UINT64_C(1) << FRACTION_BITS;
    unsigned shift = (unsigned)(FRACTION_BITS - binary);
    /* floor(binary * log10(2)) is the exponent, or one less */
    *exponent = (binary * 1233 - (binary < 0 ? 4095 : 0)) / 4096;
    uint64_t digits = scaled(mantissa, shift, DIGITS - 1 - *exponent);
    if (digits >= powers[DIGITS]) {
        ++*exponent;
        digits = scaled(mantissa, shift, DIGITS - 1 - *exponent);
    }
    return digits;
}

/* Without trailing zeros; exponent is that of the first digit. Returns the length. */
static size_t set_point(const char *digits, size_t n, int exponent, char *out)
{
    size_t length = 0, whole = exponent < 0 ? 0 : (size_t)exponent + 1;
    if (exponent < 0) {
        memcpy(out, "0.0000", 6);
        length = 1 + (size_t)-exponent;
    }
    for (size_t i = 0; i < n || i < whole; i++) {
        if (i == whole && whole > 0)
            out[length++] = '.';
        out[length++] = i < n ? digits[i] : '0';
    }
    out[length] = '\0';
    return length;
}

size_t number_show_all(double value, char out[NUMBER_ALL_ROOM])
{
    double magnitude = fabs(value);
    if (!(magnitude >= LEAST && magnitude < MOST))
        return (size_t)snprintf(out, NUMBER_ALL_ROOM, "%.17g", value);
    char digits[DIGITS];
    int exponent;
    size_t n = DIGITS, sign = value < 0;
    uint64_t rest = digits_of(magnitude, &exponent);
    for (size_t i = DIGITS; i-- > 0; rest /= 10)
        digits[i] = (char)('0' + rest % 10);
    while (n > 1 && digits[n - 1] == '0')
        n--;
    out[0] = '-';
    return sign + set_point(digits, n, exponent, out + sign);
}
