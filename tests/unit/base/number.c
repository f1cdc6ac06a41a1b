#include "support/check.h"

#include "base/number.h"

#include <stdlib.h>

static double parsed(const char *text, char mark)
{
    double value = -777;
    const char *reason = number_parse(text, strlen(text), mark, &value);
    if (reason)
        fprintf(stderr, "'%s' %s\n", text, reason);
    CU_ASSERT_PTR_NULL(reason);
    return value;
}

/* The reason must say `word`, and the value must stay as it was. */
static void check_refused(const char *text, char mark, const char *word)
{
    double value = -777;
    const char *reason = number_parse(text, strlen(text), mark, &value);
    if (!reason || !strstr(reason, word))
        fprintf(stderr, "'%s': got \"%s\", want \"%s\"\n", text, reason ? reason : "(accepted)", word);
    CU_ASSERT(reason != NULL && strstr(reason, word) != NULL);
    CU_ASSERT(value == -777);
}

static void plain_numbers(void)
{
    CU_ASSERT(parsed("12.5", '.') == 12.5);
    CU_ASSERT(parsed("+7", '.') == 7);
    CU_ASSERT(parsed("-0.25", '.') == -0.25);
    CU_ASSERT(parsed(".5", '.') == 0.5);
    CU_ASSERT(parsed("5.", '.') == 5);
    CU_ASSERT(parsed("1e3", '.') == 1000);
    CU_ASSERT(parsed("1E+3", '.') == 1000);
    CU_ASSERT(parsed("25e-1", '.') == 2.5);
    CU_ASSERT(parsed("1,5", ',') == 1.5);
    CU_ASSERT(parsed("-1,5e2", ',') == -150);
    CU_ASSERT(parsed("0007", '.') == 7);
    double zero = parsed("-0", '.');
    CU_ASSERT(zero == 0 && signbit(zero));
}

/* 400 digits: correctly rounded, as strtod does. */
static void long_mantissa(void)
{
    char text[412] = "0.1";
    memset(text + 3, '3', 400);
    text[403] = '\0';
    CU_ASSERT(parsed(text, '.') == strtod(text, NULL));
    CU_ASSERT(parsed("9007199254740993", '.') == 9007199254740992.0); /* 2^53 + 1, tie to even */
    CU_ASSERT(parsed("123456789012345678901234567890", '.') == 123456789012345678901234567890.0);
    CU_ASSERT(parsed("1e-300", '.') == 1e-300);
    CU_ASSERT(parsed("1e308", '.') == 1e308);
}

/* Repeatable numbers: xorshift64 of Marsaglia (2003). */
static unsigned long long next_random(unsigned long long *state)
{
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    return *state;
}

/* How many random numbers are tried: DECIMALS in the environment. */
static unsigned long count_tries(void)
{
    const char *wanted = getenv("DECIMALS");
    return wanted ? strtoul(wanted, NULL, 10) : 300000;
}

/* The short way must give strtod's bits. */
static void fast_path_is_exact(void)
{
    unsigned long n_tried = count_tries();
    unsigned long long state = 88172645463325252ull;
    size_t n_different = 0;
    for (unsigned long i = 0; i < n_tried; i++) {
        char text[64];
        unsigned long long digits = next_random(&state) >> (next_random(&state) % 60);
        int point = (int)(next_random(&state) % 12), exponent = (int)(next_random(&state) % 50) - 25;
        unsigned long long power = 1;
        for (int k = 0; k < point; k++)
            power *= 10;
        if (i % 3 == 0)
            snprintf(text, sizeof text, "%llu.%0*llue%d", digits / power, point ? point : 1, point ? digits % power : 0, exponent);
        else
            snprintf(text, sizeof text, "%llu.%0*llu", digits / power, point ? point : 1, point ? digits % power : 0);
        double value = parsed(text, '.'), want = strtod(text, NULL);
        n_different += memcmp(&value, &want, sizeof value) != 0;
    }
    CU_ASSERT_EQUAL(n_different, 0);
}

/* Bits at random, of usual sizes and of all, few decimals, and ties in the 17th digit. */
static void all_digits_are_those_of_printf(void)
{
    unsigned long n_tried = count_tries();
    unsigned long long state = 88172645463325252ull;
    size_t n_different = 0;
    for (unsigned long i = 0; i < n_tried; i++) {
        unsigned long long bits = next_random(&state);
        char got[NUMBER_ALL_ROOM], want[64];
        double value;
        if (i % 2 == 0)
            bits = (bits & 0x800FFFFFFFFFFFFFull) | (1023 - 12 + next_random(&state) % 64) << 52;
        memcpy(&value, &bits, sizeof value);
        if (i % 4 == 1)
            value = (double)(bits % 1000000) / pow(10, (double)(next_random(&state) % 8));
        if (i % 16 == 3)
            value = ldexp((double)(bits >> 11), -(int)(3 + next_random(&state) % 12)); /* few digits behind the point, many before it */
        snprintf(want, sizeof want, "%.17g", value);
        size_t length = number_show_all(value, got);
        n_different += strcmp(got, want) != 0 || length != strlen(want);
    }
    CU_ASSERT_EQUAL(n_different, 0);
}

static void all_digits_at_the_ends(void)
{
    static const double values[] = { 0, -0.0, 1, -1, 10, 0.1, 0.001, 0x1p-9, 0x1.fffffffffffffp-10, 1e15, 999999999999999.9, 1e16, 1e17, 99999999999999.98,
                                     9.9999999999999982, 0.99999999999999989, 999.99999999999989, 1e-4, 5e-324, 1.7976931348623157e308, 0.5, 123456, -2285.5734278579971 };
    for (size_t i = 0; i < sizeof values / sizeof values[0]; i++) {
        char got[NUMBER_ALL_ROOM], want[64];
        snprintf(want, sizeof want, "%.17g", values[i]);
        CU_ASSERT_EQUAL(number_show_all(values[i], got), strlen(want));
        check_text(got, want);
    }
}

static void not_finite(void)
{
    const char *texts[] = { "nan", "NaN(123)", "inf", "-Infinity", "+INF" };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
        check_refused(texts[i], '.', "not a finite number");
}

static void other_notations(void)
{
    check_refused("0x1A", '.', "not a decimal number");
    check_refused("0x1p3", '.', "not a decimal number");
    check_refused("0b101", '.', "not a decimal number");
}

static void out_of_range(void)
{
    check_refused("1e400", '.', "out of range");
    check_refused("-1e400", '.', "out of range");
    check_refused("1e-400", '.', "out of range");
    check_refused("4.9e-324", '.', "out of range");
    check_refused("1e99999999999999999999", '.', "out of range");
    CU_ASSERT(parsed("0e400", '.') == 0);
}

static void malformed(void)
{
    const char *texts[] = { "1.2.3", "--5", "1e", "1e+", ".", "-", "+", "e5", "1 .5", "abc", "5-", "1e5.5", "+-3", "..5" };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
        check_refused(texts[i], '.', "is not a number");
    check_refused("", '.', "is empty");
    check_refused("24O1", '.', "letter O");
    check_refused("l2.5", '.', "a one belongs");
}

static void thousands(void)
{
    const char *texts[] = { "1 000", "1,000.5", "1_000", "1'000", "1,000,000", "12 345.5" };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
        check_refused(texts[i], '.', "thousands separator");
    check_refused("1.000,5", ',', "thousands separator");
    check_refused("1.000,5", '.', "thousands separator");
    check_refused("1,000", '.', "thousands separator or a decimal comma");
}

static void decimal_marks(void)
{
    check_refused("1,5", '.', "decimal comma");
    check_refused("1.5", ',', "decimal commas");
}

static void units_glued_on(void)
{
    const char *texts[] = { "310kN", "12.5 mm", "15%", "5\"", "20 °C" };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
        check_refused(texts[i], '.', "unit belongs in the heading");
}

static void odd_characters(void)
{
    check_refused("\xE2\x88\x92" "3", '.', "U+2212");
    check_refused("\xEF\xBC\x91", '.', "fullwidth");
    check_refused("\xD9\xA1", '.', "Arabic");
    check_refused("12\xC2\xA0", '.', "U+00A0");
    check_refused("\xC2\xA0" "12", '.', "U+00A0");
    check_refused("1\xE2\x80\xAF" "000", '.', "U+202F");
    check_refused("12\t3", '.', "control character");
    double value = 0;
    const char *reason = number_parse("1\0" "2", 3, '.', &value);
    CU_ASSERT(reason != NULL && strstr(reason, "NUL") != NULL);
}

/* Ties to even on decimals. Source: ASTM E29-22, section 6.4 (R3 is its own example). */
static void rounding(void)
{
    CU_ASSERT(number_round(4125, 10, false) == 4120); /* R1 */
    CU_ASSERT(number_round(4135, 10, false) == 4140);
    CU_ASSERT(number_round(4145, 10, false) == 4140);
    CU_ASSERT(number_round(662.5, 5, false) == 660); /* R2 */
    CU_ASSERT(number_round(667.5, 5, false) == 670);
    CU_ASSERT(number_round(6025, 50, false) == 6000); /* R3 */
    CU_ASSERT(number_round(6075, 50, false) == 6100);
    CU_ASSERT(number_round(17.45, 0.1, false) == 17.4); /* R4 */
    CU_ASSERT(number_round(17.55, 0.1, false) == 17.6);
    CU_ASSERT(number_round(0.15, 0.1, false) == 0.2); /* R5: 0.15/0.1 is 1.4999999999999998 in binary */
    CU_ASSERT(number_round(2.675, 0.01, false) == 2.68);
    CU_ASSERT(number_round(6025, 50, true) == 6050); /* R6 */
    CU_ASSERT(number_round(-4125, 10, false) == -4120);
    CU_ASSERT(number_round(-6025, 50, true) == -6050);
    CU_ASSERT(number_round(2.675001, 0.01, false) == 2.68);
    CU_ASSERT(number_round(2.66499, 0.01, false) == 2.66);
}

/* The double nearest to the decimal, not 3 * 0.1 = 0.30000000000000004. */
static void rounding_is_clean(void)
{
    CU_ASSERT(number_round(0.3, 0.1, false) == 0.3);
    CU_ASSERT(number_round(0.7, 0.1, false) == 0.7);
    CU_ASSERT(number_round(0.15, 0.05, false) == 0.15);
    CU_ASSERT(number_round(123456789.3, 1, false) == 123456789);
    CU_ASSERT(number_round(987654321.4, 1, false) == 987654321);
    CU_ASSERT(number_round(1e300, 0.1, false) == 1e300);
    CU_ASSERT(isnan(number_round(NAN, 0.1, false)));
    CU_ASSERT(number_round(1.26, 0, false) == 1.26);
}

static void decimals(void)
{
    CU_ASSERT_EQUAL(number_decimals(10), 0);
    CU_ASSERT_EQUAL(number_decimals(1), 0);
    CU_ASSERT_EQUAL(number_decimals(0.1), 1);
    CU_ASSERT_EQUAL(number_decimals(0.05), 2);
    CU_ASSERT_EQUAL(number_decimals(2.5), 1);
    CU_ASSERT_EQUAL(number_decimals(0.001), 3);
    CU_ASSERT_EQUAL(number_decimals(1e-9), 9);
}

static void check_shown(double value, double step, const char *want)
{
    char text[64];
    number_show(value, step, "n/a", text, sizeof text);
    check_text(text, want);
}

static void showing(void)
{
    check_shown(22.4996, 0.1, "22.5");
    check_shown(613.041, 10, "610");
    check_shown(0.15, 0.1, "0.2");
    check_shown(-0.04, 0.1, "0.0");
    check_shown(-0.0, 1, "0");
    check_shown(NAN, 1, "n/a");
    check_shown(2.68795, 0.05, "2.70");
    char text[4];
    number_show(123456.7, 0.1, "-", text, sizeof text);
    check_text(text, "123");
}

static void check_significant(double value, int digits, const char *want)
{
    char text[64];
    number_show_significant(value, digits, text, sizeof text);
    check_text(text, want);
}

static void significant(void)
{
    check_significant(0, 3, "0");
    check_significant(-0.0, 3, "0");
    check_significant(NAN, 3, "-");
    check_significant(9.996, 3, "10.0");
    check_significant(0.00123456, 3, "0.00123");
    check_significant(123456, 3, "123000");
    check_significant(999999, 3, "1000000");
    check_significant(1.5, 3, "1.50");
    check_significant(-1.005, 3, "-1.00"); /* tie to even on the decimal */
    check_significant(1.015, 3, "1.02");
    check_significant(0.0001, 2, "0.00010");
    check_significant(0.00001234, 3, "1.23e-05");
    check_significant(1234567, 3, "1.23e+06");
    check_significant(1000, 4, "1000");
}

static void whole(void)
{
    CU_ASSERT(number_is_whole(12, 6) && number_is_whole(0.545, 4) && number_is_whole(0, 1) && number_is_whole(1740.45, 6));
    CU_ASSERT(!number_is_whole(12 / 0.006894757293168361, 6) && !number_is_whole(1.0 / 3, 6) && !number_is_whole(12345, 4));
    CU_ASSERT(!number_is_whole(NAN, 6));
    CU_ASSERT(number_is_whole(0.006894757293168361 * 2000 / 0.006894757293168361, 6)); /* there and back */
}

static void check_complaint(const char *typed, size_t length, const char *expected)
{
    double value;
    char complaint[200];
    const char *wrong = number_parse(typed, length, '.', &value);
    CU_ASSERT_PTR_NOT_NULL_FATAL(wrong);
    number_complain(wrong, typed, complaint, sizeof complaint);
    check_text(complaint, expected);
}

/* The number of an option: no columns about, so no advice on ';'. */
static void complaints_show_how_to_write_it(void)
{
    check_complaint("12,5MPa", 4, "has a decimal comma: write 12.5MPa");
    check_complaint("0,95", 4, "has a decimal comma: write 0.95");
    check_complaint("12,500", 6, "has a thousands separator or a decimal comma: write 12500 or 12.500");
    check_complaint("7..5", 4, "is not a number");
}

int main(void)
{
    static const struct check_case cases[] = {
        { "plain numbers", plain_numbers },
        { "long mantissa", long_mantissa },
        { "fast path gives the bits of strtod", fast_path_is_exact },
        { "all digits are those of printf", all_digits_are_those_of_printf },
        { "all digits at the ends", all_digits_at_the_ends },
        { "not finite", not_finite },
        { "other notations", other_notations },
        { "out of range", out_of_range },
        { "malformed", malformed },
        { "thousands", thousands },
        { "decimal marks", decimal_marks },
        { "units glued on", units_glued_on },
        { "odd characters", odd_characters },
        { "rounding", rounding },
        { "rounding is clean", rounding_is_clean },
        { "decimals", decimals },
        { "showing", showing },
        { "significant", significant },
        { "whole in so many digits", whole },
        { "complaints show how to write it", complaints_show_how_to_write_it },
    };
    return check_run("number", cases, sizeof cases / sizeof cases[0]);
}
