#ifndef ADVISE_RECIPE_DENSITY_H
#define ADVISE_RECIPE_DENSITY_H

#include "analysis/mix_class.h"
#include "specimen/fresh_list.h"
#include "specimen/mixes.h"

/*
 * Oven-dry density of each mix of a set by what went into the mixer, as ASTM
 * C567 calculates it: the mean over its batches where the fresh concrete was
 * weighed, else from the recipe, whose masses follow from its parts, the loose
 * bulk densities and the yield.
 *
 * fresh       matched with the set; NULL: none
 * calculated  out, set->n_mixes
 *
 * A recipe that lacks something is no error: a notice says what. A yield that is
 * neither measured nor known from the densities of the particles is not guessed.
 * STATUS_MEMORY
 * Source: docs/methods/density.md, docs/methods/batch-sheet.md
 */
enum status recipe_densities_find(const struct mix_list *mixes, const struct material_list *materials, const struct fresh_list *fresh,
                                  const struct specimen_set *set, struct calculated_density *calculated, struct problem_list *problems);

#endif
