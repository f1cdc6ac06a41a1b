#ifndef COMMANDS_NAMING_H
#define COMMANDS_NAMING_H

#include "base/problem.h"

#include <stdbool.h>

/*
 * A name that is no property, given to --option: the nearest one, else all that there are; with `demand` also piece_mass and
 * cost, which may be demanded too. STATUS_USAGE with the sentence in problem.
 */
enum status naming_unknown(const char *option, const char *name, bool demand, struct problem *problem);

#endif
