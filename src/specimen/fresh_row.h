#ifndef SPECIMEN_FRESH_ROW_H
#define SPECIMEN_FRESH_ROW_H

#include "specimen/fresh_list.h"
#include "specimen/recipe_file.h"

enum fresh_rule {
    FRESH_BATCH, FRESH_MIX, FRESH_MASS_FULL, FRESH_MASS_EMPTY, FRESH_MEASURE, FRESH_BATCH_MASS, FRESH_DESIGN, FRESH_AIR_FREE,
    FRESH_CEMENT, FRESH_FINE, FRESH_COARSE, FRESH_DENSITY, FRESH_AIR, FRESH_NOTE, FRESH_RULES
};
_Static_assert(FRESH_RULES <= RECIPE_COLUMNS_MOST, "more columns than a recipe file has");

/* Computes the results of a row whose numbers were read; density_kg_m3 holds a ready one. False after an error. */
bool fresh_row_derive(const struct recipe_file *file, const struct row *row, struct fresh_batch *batch);

#endif
