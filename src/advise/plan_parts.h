#ifndef ADVISE_SRC_PLAN_PARTS_H
#define ADVISE_SRC_PLAN_PARTS_H

#include "advise/plan.h"
#include "advise/search.h"

/* plan.c: the scatter about a curve at a fraction. */
struct plan_scatter plan_scatter_of_curve(const struct curve *curve, double x);
/* plan_reach.c: fills plan->reaches for a point on a curve. */
void plan_reach_make(const struct search *search, const struct candidate *candidate, double power, struct plan *plan);

/* plan_trial.c: the one next trial. */
void plan_trial_make(const struct search *search, struct plan_trial *trial);

#endif
