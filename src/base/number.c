#include "base/number.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>

/* A value counts as a tie within this share of itself: 0.15/0.1 is 1.4999999999999998 in binary. */
#define TIE_RELATIVE 1e-9
/* ... but never more than this part of a step, or large numbers would all be ties. */
#define TIE_LARGEST 1e-3

#define STEPS_LARGEST 4503599627370496.0 /* 2^52: no digits left below one step */
#define DECIMALS_LARGEST 15
#define WHOLE_WITHIN 1e-9

int number_decimals(double step)
{
    if (!(step > 0) || !isfinite(step))
        return 0;
    double scaled = step;
    for (int decimals = 0; decimals < DECIMALS_LARGEST; decimals++, scaled = step * pow(10, decimals))
        if (scaled >= 0.5 && fabs(scaled - nearbyint(scaled)) <= TIE_RELATIVE * scaled)
            return decimals;
    return DECIMALS_LARGEST;
}

/* Whole steps in a magnitude from 0 to below STEPS_LARGEST. */
static double round_steps(double steps, bool half_up)
{
    double whole = (double)(int64_t)steps, part = steps - whole;
    if (fabs(part - 0.5) > TIE_LARGEST || fabs(part - 0.5) > TIE_RELATIVE * fmax(steps, 1))
        return part < 0.5 ? whole : whole + 1;
    return half_up || fmod(whole, 2) != 0 ? whole + 1 : whole;
}

double number_round(double value, double step, bool half_up)
{
    if (!isfinite(value) || !(step > 0) || !isfinite(step))
        return value;
    double steps = fabs(value) / step;
    if (steps >= STEPS_LARGEST)
        return value;
    double whole = round_steps(steps, half_up);
    if (step < STEPS_LARGEST && step == (double)(int64_t)step)
        return copysign(whole * step, value);
    /* Whole number over a power of ten gives the double nearest to the decimal; whole * step does not. */
    int decimals = number_decimals(step);
    double power = pow(10, decimals), scaled = nearbyint(step * power);
    double rounded = decimals < DECIMALS_LARGEST && fabs(step * power - scaled) <= TIE_RELATIVE * scaled
        ? whole * scaled / power : whole * step;
    return copysign(rounded, value);
}

void number_show(double value, double step, const char *absent, char *out, size_t size)
{
    if (isnan(value)) {
        snprintf(out, size, "%s", absent ? absent : "-");
        return;
    }
    double rounded = number_round(value, step, false);
    if (rounded == 0)
        rounded = 0; /* drops the sign of -0 */
    snprintf(out, size, "%.*f", number_decimals(step), rounded);
}

/* Decimal exponent of value once it is rounded to `digits`: 9.996 to three digits is 10.0, exponent 1. */
static int rounded_exponent(double value, int digits)
{
    int exponent = (int)floor(log10(fabs(value)));
    if (fabs(value) >= pow(10, exponent + 1))
        exponent++;
    else if (fabs(value) < pow(10, exponent))
        exponent--;
    double rounded = number_round(fabs(value), pow(10, exponent - digits + 1), false);
    return rounded >= pow(10, exponent + 1) ? exponent + 1 : exponent;
}

void number_show_significant(double value, int digits, char *out, size_t size)
{
    int kept = digits < 1 ? 1 : digits > DECIMALS_LARGEST ? DECIMALS_LARGEST : digits;
    double magnitude = fabs(value);
    if (isnan(value))
        snprintf(out, size, "-");
    else if (value == 0)
        snprintf(out, size, "0");
    else if (magnitude < 1e-4 || magnitude >= 1e6)
        snprintf(out, size, "%.*e", kept - 1, value);
    else {
        int decimals = kept - 1 - rounded_exponent(value, kept);
        double rounded = number_round(value, pow(10, -decimals), false);
        snprintf(out, size, "%.*f", decimals > 0 ? decimals : 0, rounded);
    }
}

bool number_is_whole(double value, int digits)
{
    if (value == 0 || !isfinite(value))
        return value == 0;
    double last = pow(10, floor(log10(fabs(value))) - digits + 1);
    return fabs(number_round(value, last, false) - value) <= WHOLE_WITHIN * fabs(value);
}
