#ifndef CLI_LOOKUP_H
#define CLI_LOOKUP_H

#include "cli/option.h"

/* The row of that name in any group, or NULL. */
const struct option_row *option_find(const struct option_group *groups, const char *name);

/* The nearest option name for "did you mean", or NULL. */
const char *option_nearest(const struct option_group *groups, const char *name);

/* "FILE", or the choices as "a|b|c" into out; "" for a flag. */
void option_argument(const struct option_row *row, char *out, size_t size);

#endif
