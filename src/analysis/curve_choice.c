#include "analysis/curve_choice.h"

#include <math.h>

/* AICc values this near are not told apart (Burnham and Anderson 2002, section 2.6). */
#define AICC_TIE 2.0

static bool error_smaller(const struct curve *curve, const struct curve *than)
{
    if (isnan(than->cross_validation_rmse))
        return !isnan(curve->cross_validation_rmse);
    return curve->cross_validation_rmse < than->cross_validation_rmse;
}

/* Half way between the values that were tested: the lower strength, the higher of anything else. */
static bool more_cautious(const struct curve *curve, const struct curve *than)
{
    const double half_way = (curve->x_min + curve->x_max) / 2;
    const double value = curve_value(curve, half_way), other = curve_value(than, half_way);
    return property_is_strength(curve->property) ? value < other : value > other;
}

enum law curve_choose_cautious(const struct curve *curves)
{
    enum law chosen = LAW_COUNT;
    for (enum law law = 0; law < LAW_COUNT; law++)
        if (curves[law].fitted && (chosen == LAW_COUNT || more_cautious(&curves[law], &curves[chosen])))
            chosen = law;
    return chosen;
}

bool curve_is_tied(const struct curve *curve, double smallest)
{
    return curve->fitted && curve->aicc <= smallest + AICC_TIE;
}

double curve_smallest_aicc(const struct curve *curves)
{
    double smallest = INFINITY;
    for (enum law law = 0; law < LAW_COUNT; law++)
        if (curves[law].fitted && curves[law].aicc < smallest)
            smallest = curves[law].aicc;
    return smallest;
}

enum law curve_choose_law(const struct curve *curves)
{
    enum law chosen = LAW_COUNT;
    double smallest = curve_smallest_aicc(curves);
    for (enum law law = 0; law < LAW_COUNT; law++)
        if (curve_is_tied(&curves[law], smallest) && (chosen == LAW_COUNT || error_smaller(&curves[law], &curves[chosen])))
            chosen = law;
    return chosen;
}
