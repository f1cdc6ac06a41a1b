#ifndef SPECIMEN_WEIGHINGS_H
#define SPECIMEN_WEIGHINGS_H

#include "base/problem.h"
#include "specimen/drying.h"

#include <stdbool.h>
#include <stddef.h>

enum drying_place { DRYING_PLACE_UNKNOWN, DRYING_PLACE_OVEN, DRYING_PLACE_AIR };

/* The weighings of one specimen, in order of time; hours from an origin of the file's own. */
struct weighing_series {
    char *specimen;
    enum drying_place place; /* as its rows say */
    size_t line;             /* of its first row in the file */
    struct weighing *items;
    size_t *lines;           /* n_items */
    size_t n_items, capacity;
};

struct weighing_list {
    char *path;
    struct weighing_series *series; /* in order of first appearance */
    size_t n_series, capacity;
    bool us_units;                  /* the masses are in a US unit */
};

/*
 * Reads repeated weighings, a row each: specimen, mass, and one of weighed_on
 * (a date), hours or days; dried_in (oven or air) and note if you like. Rows
 * may stand in any order, but no specimen is weighed twice at one time.
 * On failure the list is empty.
 * STATUS_INPUT with all problems; STATUS_IO; STATUS_MEMORY
 */
enum status weighing_list_read(const char *path, struct weighing_list *list, struct problem_list *problems);
void weighing_list_release(struct weighing_list *list);

#endif
