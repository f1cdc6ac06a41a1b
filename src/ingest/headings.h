#ifndef INGEST_HEADINGS_H
#define INGEST_HEADINGS_H

#include "ingest/columns.h"

/* A stretch of a heading. Borrowed. */
struct span {
    const char *at;
    size_t length;
};

/* "mass (g)" is the name "mass" and the unit "g"; without a bracket at the end, unit.at is NULL. */
void heading_split(const char *heading, struct span *name, struct span *unit);

/* Like heading_same(), on stretches. */
bool span_same(struct span a, struct span b);
struct span span_of(const char *text);

/*
 * What follows name in the heading, as "g" in "mass_g": at is NULL when the
 * heading does not start with the name, or no '_', '-' or blank follows it.
 */
struct span heading_rest(const char *heading, const char *name);

/*
 * The last unit of the table among the words of a heading ("max_load_kN_derived").
 * Letters that are also words count only at its end. NULL when there is none.
 */
const struct unit *heading_inner_unit(const char *heading, const struct unit *units);

/* The heading of a row nearest to what was wanted, with or without its unit; NULL when none is near. */
const char *heading_nearest(const struct row *row, const char *wanted);

#endif
