#ifndef ANALYSIS_SRC_CURVE_CHOICE_H
#define ANALYSIS_SRC_CURVE_CHOICE_H

#include "analysis/curve.h"

/* Which of LAW_COUNT curves of the same results to go by; LAW_COUNT when none is fitted. Source: docs/methods/laws.md */

double curve_smallest_aicc(const struct curve *curves);
/* Whether a curve's AICc is not told apart from the smallest. */
bool curve_is_tied(const struct curve *curve, double smallest);

/*
 * Smallest AICc; among those that are tied with it the smallest error, an
 * error that cannot be had counting as the largest. A fit without scatter has
 * no AICc: it ranks as the best.
 */
enum law curve_choose_law(const struct curve *curves);

/* Every law of two terms goes through two means: what tells them apart is the scatter, which says nothing of the shape. */
enum law curve_choose_cautious(const struct curve *curves);

#endif
