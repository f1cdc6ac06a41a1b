#ifndef SPECIMEN_SLIPS_H
#define SPECIMEN_SLIPS_H

#include "specimen/specimen.h"

#include <stdbool.h>
#include <stddef.h>

/* What concrete can be, by its properties. docs/methods/plausibility.md */
extern const struct property_range {
    double least, most;
} property_ranges[PROPERTY_COUNT];

/* Whether concrete can have this value. */
static inline bool property_plausible(enum property property, double value)
{
    return value >= property_ranges[property].least && value <= property_ranges[property].most;
}

/*
 * What would explain an implausible density or strength that was computed: a slip in the mass or load and one in the sizes, each
 * with the unit that was typed: "the mass in kg, not g, or one size ten times too large?".
 */
void slip_question(const struct specimen *specimen, enum property property, double value, char *out, size_t size);

/* The unit to show a property of this specimen in: as typed; computed: US when a mass, load or size was. */
const struct unit *slip_shown_unit(const struct specimen *specimen, enum property property, bool computed);

#endif
