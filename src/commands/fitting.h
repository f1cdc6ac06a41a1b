#ifndef COMMANDS_FITTING_H
#define COMMANDS_FITTING_H

#include "analysis/growth_study.h"
#include "commands/study.h"
#include "output/answer.h"

/*
 * Fits each property by each selected aggregate. properties n_properties of
 * them; 0 means density and every strength and absorption that was measured.
 * predictor PROPERTY_COUNT: the aggregate fraction. A fit that cannot be had
 * becomes a notice in run and is left out of fits. Release with fitting_release().
 */
enum status fitting_by_aggregate(struct run *run, const struct study *study, const enum property *properties,
                                 size_t n_properties, enum property predictor, struct fit_list *fits);
void fitting_release(struct fit_list *fits);

/* `fit --response`: any column on any others. */
enum status fitting_general(struct run *run, const struct study *study);

/* `fit --on age`: each property of each mix over its ages. properties: as above, strengths when 0. */
enum status fitting_on_age(struct run *run, const struct study *study, const enum property *properties, size_t n_properties);

/* Strengths of the study over age, for a report: nothing is refused and nothing is said of it. STATUS_MEMORY. */
enum status fitting_ages_beside(struct run *run, const struct study *study, const struct selection *settled, struct growth_study *ages);

/* Laws that `fit` knows beside enum law, for --on age alone. */
enum { FITTING_LAW_HYPERBOLIC = LAW_COUNT + 1, FITTING_LAW_ROOT_EXPONENTIAL };

#endif
