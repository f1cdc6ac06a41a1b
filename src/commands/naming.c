#include "commands/naming.h"

#include "base/text.h"
#include "specimen/quantity.h"

#include <stdio.h>

#define NAMES_MOST (PROPERTY_COUNT + 2)

/* "density, voids and cost" */
static void list_names(const char *const *names, size_t n, char *out, size_t size)
{
    size_t used = 0;
    out[0] = '\0';
    for (size_t i = 0; i < n && used < size; i++)
        used += (size_t)snprintf(out + used, size - used, "%s%s", i == 0 ? "" : i + 1 == n ? " and " : ", ", names[i]);
}

enum status naming_unknown(const char *option, const char *name, bool demand, struct problem *problem)
{
    const char *names[NAMES_MOST];
    char list[256];
    size_t n = 0;
    for (enum property property = 0; property < PROPERTY_COUNT; property++)
        names[n++] = property_row(property)->name;
    if (demand) {
        names[n++] = "piece_mass";
        names[n++] = "cost";
    }
    const char *near = text_nearest(name, names, n);
    if (near)
        return problem_set(problem, STATUS_USAGE, NULL, "--%s: '%s' is no property; did you mean '%s'?", option, name, near);
    list_names(names, n, list, sizeof list);
    return problem_set(problem, STATUS_USAGE, NULL, "--%s: '%s' is no property; there are %s", option, name, list);
}
