#include "analysis/curve.h"

#include "analysis/coefficient.h"

#include <math.h>

#define CHANCE_LARGEST (1 - 1e-9) /* nothing is surer than this */

static double to_fit_scale(const struct curve *curve, double y)
{
    return law_is_log(curve->law) ? log(y) : y;
}

static double to_own_scale(const struct curve *curve, double on_fit_scale)
{
    return law_is_log(curve->law) ? exp(on_fit_scale) : on_fit_scale;
}

static double centre(const struct curve *curve, const double *terms)
{
    double sum = 0;
    for (size_t term = 0; term < curve->fit.n_terms; term++)
        sum += curve->fit.coefficient[term] * terms[term];
    return sum;
}

double curve_value(const struct curve *curve, double x)
{
    double terms[3];
    if (!curve->fitted)
        return NAN;
    law_design(curve->law, x, terms);
    return to_own_scale(curve, centre(curve, terms));
}

/* Distance of the bound from the curve on the fit's scale, the same on both sides. */
static double margin(const struct curve *curve, const double *terms, const struct assurance *assurance)
{
    switch (assurance->kind) {
    case ASSURANCE_MEAN:
        return mixed_fit_mean_margin(&curve->fit, terms, assurance->confidence);
    case ASSURANCE_NEXT_BATCH:
        return mixed_fit_next_batch_margin(&curve->fit, terms, assurance->specimens_per_batch, assurance->confidence);
    case ASSURANCE_FRACTILE:
        return mixed_fit_tolerance_margin(&curve->fit, terms, 1 - assurance->fractile, assurance->confidence);
    default:
        return NAN;
    }
}

double curve_bound(const struct curve *curve, double x, const struct assurance *assurance, int side)
{
    double terms[3];
    if (!curve->fitted)
        return NAN;
    law_design(curve->law, x, terms);
    double distance = margin(curve, terms, assurance);
    return to_own_scale(curve, centre(curve, terms) + (side < 0 ? -distance : distance));
}

double curve_chance(const struct curve *curve, double x, double value, double specimens_per_batch, int side)
{
    double terms[3];
    if (!curve->fitted || (law_is_log(curve->law) && !(value > 0)))
        return NAN;
    law_design(curve->law, x, terms);
    double distance = (centre(curve, terms) - to_fit_scale(curve, value)) * (side < 0 ? 1 : -1);
    double chance = mixed_fit_next_batch_chance(&curve->fit, terms, specimens_per_batch, distance);
    return isnan(chance) ? chance : fmin(fmax(chance, 1 - CHANCE_LARGEST), CHANCE_LARGEST);
}

bool curve_variance(const struct curve *curve, double x, double *variance, double *df)
{
    double terms[3];
    struct contrast contrast;
    *variance = *df = NAN;
    if (!curve->fitted)
        return false;
    law_design(curve->law, x, terms);
    mixed_fit_contrast(&curve->fit, terms, &contrast);
    double slope = law_is_log(curve->law) ? curve_value(curve, x) : 1;
    *variance = contrast.variance_mean * slope * slope;
    *df = contrast.df;
    return isfinite(*variance) && *df > 0;
}

void curve_confidence(const struct curve *curve, double x, double confidence, double *lower, double *upper)
{
    const struct assurance half = { .kind = ASSURANCE_MEAN, .confidence = (1 + confidence) / 2 };
    double terms[3];
    *lower = *upper = NAN;
    if (!curve->fitted)
        return;
    law_design(curve->law, x, terms);
    double middle = centre(curve, terms), distance = margin(curve, terms, &half);
    *lower = to_own_scale(curve, middle - distance);
    *upper = to_own_scale(curve, middle + distance);
}

/*
 * Coefficient `term` for y and x counted in other units, as a combination of the coefficients in base units; returns what is
 * added to it. y = a + b x becomes y/u = a/u + (b v/u) x/v; ln y = a + b ln x becomes ln(y/u) = (a - ln u + b ln v) + b ln(x/v).
 */
static double in_units(const struct curve *curve, size_t term, struct curve_units units, double combination[3])
{
    bool log_predictor = curve->law == LAW_POWER;
    combination[term] = log_predictor ? 1 : pow(units.x, (double)term);
    if (!law_is_log(curve->law)) {
        combination[term] /= units.y;
        return 0;
    }
    if (term > 0)
        return 0;
    if (log_predictor)
        combination[1] = log(units.x);
    return -log(units.y);
}

void curve_coefficient_in(const struct curve *curve, size_t term, struct curve_units units, double confidence, struct coefficient_row *row)
{
    double combination[3] = { 0 };
    struct contrast contrast = { NAN, NAN, NAN, NAN };
    const char *predictor = curve->predictor < PROPERTY_COUNT ? property_row(curve->predictor)->name : "aggregate_fraction";
    law_term_name(curve->law, term, predictor, row->name, sizeof row->name);
    if (curve->fitted && term < curve->fit.n_terms) {
        double shift = in_units(curve, term, units, combination);
        mixed_fit_contrast(&curve->fit, combination, &contrast);
        contrast.estimate += shift;
    }
    coefficient_test(&contrast, confidence, row);
}

void curve_coefficient(const struct curve *curve, size_t term, double confidence, struct coefficient_row *row)
{
    curve_coefficient_in(curve, term, (struct curve_units){ 1, 1 }, confidence, row);
}
