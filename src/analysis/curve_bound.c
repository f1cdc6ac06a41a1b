#include "analysis/curve.h"

#include "analysis/coefficient.h"
#include "stats/distribution.h"

#include <math.h>

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

/* Student's t with the variance of the prediction and its degrees of freedom; continuous in x and m, careful with few batches. */
static double margin_next_batch(const struct curve *curve, const double *terms, const struct assurance *assurance)
{
    double variance = NAN, df = NAN;
    mixed_fit_prediction(&curve->fit, terms, assurance->specimens_per_batch, &variance, &df);
    return variance == 0 ? 0 : t_quantile(assurance->confidence, df) * sqrt(variance);
}

/* Distance of the bound from the curve on the fit's scale, the same on both sides. */
static double margin(const struct curve *curve, const double *terms, const struct assurance *assurance)
{
    switch (assurance->kind) {
    case ASSURANCE_MEAN:
        return mixed_fit_mean_margin(&curve->fit, terms, assurance->confidence);
    case ASSURANCE_NEXT_BATCH:
        return margin_next_batch(curve, terms, assurance);
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
    double terms[3], variance = NAN, df = NAN;
    if (!curve->fitted || (law_is_log(curve->law) && !(value > 0)))
        return NAN;
    law_design(curve->law, x, terms);
    mixed_fit_prediction(&curve->fit, terms, specimens_per_batch, &variance, &df);
    double distance = (centre(curve, terms) - to_fit_scale(curve, value)) * (side < 0 ? 1 : -1);
    if (variance == 0)
        return distance >= 0 ? 1 : 0;
    double t = distance / sqrt(variance), both_tails = t_two_sided_p(t, df);
    return t >= 0 ? 1 - both_tails / 2 : both_tails / 2;
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
    struct assurance half = { .kind = ASSURANCE_MEAN, .confidence = (1 + confidence) / 2 };
    *lower = curve_bound(curve, x, &half, -1);
    *upper = curve_bound(curve, x, &half, 1);
}

void curve_coefficient(const struct curve *curve, size_t term, double confidence, struct coefficient_row *row)
{
    double combination[3] = { 0 };
    struct contrast contrast = { NAN, NAN, NAN, NAN };
    const char *predictor = curve->predictor < PROPERTY_COUNT ? property_row(curve->predictor)->name : "aggregate_fraction";
    law_term_name(curve->law, term, predictor, row->name, sizeof row->name);
    if (curve->fitted && term < curve->fit.n_terms) {
        combination[term] = 1;
        mixed_fit_contrast(&curve->fit, combination, &contrast);
    }
    coefficient_test(&contrast, confidence, row);
}
