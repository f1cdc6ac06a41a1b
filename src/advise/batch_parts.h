#ifndef ADVISE_SRC_BATCH_PARTS_H
#define ADVISE_SRC_BATCH_PARTS_H

#include "advise/batch_sheet.h"

/* The stages of a batch sheet, in their order. */

/* batch_recipe.c: the mix by name, or between two mixes of an aggregate. Everything but the yield. */
enum status batch_recipe_find(const struct batch_request *request, struct batch_recipe *recipe, struct problem_list *problems);

/*
 * The recipe at a fraction of an aggregate, between the tested mixes on both sides (set NULL: all mixes count as tested). False
 * where there is none on one side, or where their binders or pigments differ.
 */
bool batch_recipe_between(const struct mix_list *mixes, const struct specimen_set *set, const char *aggregate, double fraction,
                          struct batch_recipe *recipe);

/* batch_materials.c: names, materials and moistures of all ingredients; what is missing is told. */
enum status batch_ingredients_find(struct batch_sheet *sheet, struct problem_list *problems);

/* batch_yield.c: measured, or from particle densities, or assumed. Needs the ingredients. */
void batch_yield_find(struct batch_sheet *sheet);

/* batch_buy.c: bags and costs. Needs the amounts. */
void batch_buy(struct batch_sheet *sheet);

/* batch_expect.c: densities and masses of the piece. Needs the amounts. */
enum status batch_expect(struct batch_sheet *sheet, struct problem_list *problems);

/* Loose parts of an ingredient in the recipe: 0 when it has none. */
double batch_role_parts(const struct mix *mix, enum batch_role role);

#endif
