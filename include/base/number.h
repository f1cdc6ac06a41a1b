#ifndef BASE_NUMBER_H
#define BASE_NUMBER_H

#include <stdbool.h>
#include <stddef.h>

/*
 * Strict numbers. Grammar [+-]?digits[.digits][e[+-]digits] (or ".5", "5."),
 * decimal mark '.' or ',' as told; nothing else: no hex, inf, nan, units,
 * thousands marks or odd spaces. Returns NULL on success, else a sentence
 * fragment saying what is wrong and what to do ("has a thousands separator: write 1000.5").
 * Never depends on the locale.
 */
const char *number_parse(const char *bytes, size_t length, char decimal_mark, double *value);

/*
 * A complaint of number_parse about a number that stands by itself, without the advice that is for cells of a table; one with a
 * decimal comma is shown as it should be: "has a decimal comma: write 12.5MPa".
 */
void number_complain(const char *wrong, const char *typed, char *out, size_t size);

/*
 * Rounds to a multiple of step (0.1, 0.05, 5, 10 ...), ties to even, decided
 * on decimals: 0.15 to 0.1 gives 0.2 and 2.675 to 0.01 gives 2.68 although the
 * doubles lie a hair off (relative tie tolerance 1e-9). Source: ASTM E29.
 * half_up gives the schoolbook rule instead.
 */
double number_round(double value, double step, bool half_up);

/* Whether so many significant digits say all of a value, as they do in the unit that it was typed in and hardly in another. */
bool number_is_whole(double value, int digits);

/* Decimals that show a multiple of step exactly: 0.05 -> 2, 10 -> 0. */
int number_decimals(double step);

/* Writes value rounded to step, half-even; "-0" shows as "0", NaN as `absent`. */
void number_show(double value, double step, const char *absent, char *out, size_t size);

/*
 * Writes all digits that a double can need, as printf's %.17g has them in the
 * C locale: read back, it is the same double. Returns the length. Usual sizes
 * take a tenth of the time of printf.
 */
#define NUMBER_ALL_ROOM 32
size_t number_show_all(double value, char out[NUMBER_ALL_ROOM]);

/* Writes with `digits` significant digits, plain (no exponent for 1e-4 to 1e6). NaN as "-". */
void number_show_significant(double value, int digits, char *out, size_t size);

#endif
