#ifndef COMMANDS_FITTING_H
#define COMMANDS_FITTING_H

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

#endif
