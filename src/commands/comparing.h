#ifndef COMMANDS_COMPARING_H
#define COMMANDS_COMPARING_H

#include "cli/option.h"

extern const struct option_group compare_groups[];

#endif
