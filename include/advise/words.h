#ifndef ADVISE_WORDS_H
#define ADVISE_WORDS_H

#include "advise/recommend.h"
#include "base/text.h"

/*
 * Recipes, demands and outcomes in words, so that the sentence, the reasons
 * and every table say a thing in one way. out is cut to size.
 */

/* "1490 kg/m3" in standard rounding. */
void value_words(enum property property, double value, bool us, char *out, size_t size);

/* The step that values of a property are printed in: "10 kg/m3", "0.05 MPa". */
void step_words(enum property property, bool us, char *out, size_t size);

/* "compressive strength", "piece mass", "cost". */
const char *demand_words(const struct demand *demand);

/* Money for so much concrete: per m3, or per yd3 in US units, as concrete is sold there. "cost per m3"; "per m3"; the number; "237.13". */
const char *cost_heading_words(bool us);
const char *cost_unit_words(bool us);
double cost_shown(double per_m3, bool us);
void cost_words(double per_m3, bool us, char *out, size_t size);

/* "a" or "an", as the word behind it wants. */
const char *article_words(const char *noun);

/* The demanded value itself, not rounded, in the unit that it was typed in: "12 MPa"; where answers are shown in another: "12 MPa = 1740 psi". */
void demand_value_words(const struct demand *demand, bool us, char *out, size_t size);

/* "400 x 400 x 40 mm" with "x" for times; in US units "16 x 16 x 1.5 in", unless it was told in millimetres. One that was told by its volume: "6.4 L". */
void piece_words(const struct piece *piece, bool us, const char *times, char *out, size_t size);

/* An outcome's estimate or assured value, with as many digits as keep it on its side of the demand; "none" below zero. */
void outcome_words(const struct demand_outcome *outcome, double value, bool us, char *out, size_t size);

/* "mix 'P40' (perlite at 0.4 by loose volume)" or "perlite at 0.42 by loose volume". */
void recipe_words(const struct specimen_set *set, const struct candidate *candidate, char *out, size_t size);

/* A fraction as far as it has decimals, five at most: "0.46". */
void fraction_words(double fraction, char *out, size_t size);

/*
 * "the next batch of 3", "the mean of the recipe", "95 of 100 specimens":
 * whose assured value it is. Where the scatter of batches and of specimens
 * cannot be told apart, the next batch is the next specimen.
 */
void assured_subject_words(const struct assurance *assurance, bool batches_apart, char *out, size_t size);

/*
 * The same for all demands of a candidate, with the confidence: "the next batch of 3, 95 % sure", or
 * "the next batch of 3 (compressive strength) or the next specimen (flexural strength), 95 % sure". STATUS_MEMORY.
 */
enum status assured_basis_words(const struct assurance *assurance, const struct candidate *candidate, struct text *text);

#endif
