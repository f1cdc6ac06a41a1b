#ifndef OUTPUT_WORDS_H
#define OUTPUT_WORDS_H

#include "advise/recommend.h"
#include "base/text.h"

#include <stddef.h>

/* Longest phrase these functions write, NUL included. Longer text is cut. */
#define WORDS_MAX 256

/* Adds string with "kg/m3", "lb/ft3", "per m3" as they are printed: "kg/m³", "lb/ft³", "per m³". */
void words_add_printed(struct text *out, const char *string);

/* Adds string with a no-break space between a number and the unit or '%' behind it, so that no line ends between them. */
void words_add_unbroken(struct text *out, const char *string);

/* A value in the unit that is shown, not rounded. */
double words_shown(enum property property, double value, bool us);

/* The units that a curve's numbers are shown in. */
struct curve_units words_curve_units(const struct curve *curve, bool us);

/* "1450 to 1530", without the unit; "-" unless both ends are known. */
/* "12.3 % lighter", or "1.0 % heavier" when that much less than nothing; the range, "10.9 to 13.6", is told the same way round. */
void words_lighter(double percent_lighter, char out[WORDS_MAX]);
void words_lighter_range(double percent_lighter, double lower, double upper, char out[WORDS_MAX]);
void words_range(enum property property, double lower, double upper, bool us, char out[WORDS_MAX]);

/* The JSON word of what is demanded: "compressive_strength", "piece_mass", "cost". */
const char *words_demand_json(const struct demand *demand);

/* As value_words and outcome_words, "-" for NaN. */
void words_value(enum property property, double value, bool us, char out[WORDS_MAX]);
void words_outcome(const struct demand_outcome *outcome, double value, bool us, char out[WORDS_MAX]);

/* One word for a column of a table: "compressive". */
const char *words_short(enum property property);

/* Names of the set, or "" for SAMPLE_ALL and a NULL set. */
const char *words_aggregate(const struct specimen_set *set, uint32_t aggregate);
const char *words_mix(const struct specimen_set *set, uint32_t mix);

/* The file told no aggregates apart: its name says nothing then. */
bool words_is_nameless(const struct specimen_set *set, uint32_t aggregate);

/* Short enough for a table or a chart: "mix P-40" or "pumice at 0.42". */
void words_recipe(const struct specimen_set *set, const struct candidate *candidate, char out[WORDS_MAX]);

/* "the next batch of 3, 95 % sure": how the assured value is meant. */
void words_assurance(const struct specimen_set *set, const struct assurance *assurance, char out[WORDS_MAX]);

/* The same for each demand as its own results allow: "the next batch of 3 (density) or the next specimen (...), 95 % sure". */
void words_basis(const struct specimen_set *set, const struct recommend_request *request, const struct recommendation *answer,
                 char out[WORDS_MAX]);

/* "tested" or "interpolated". */
const char *words_kind(const struct candidate *candidate);

/* All flags of a specimen, "length-corrected outlier"; "" without any. */
void words_flags(unsigned flags, char out[WORDS_MAX]);

/* How many specimens have each flag, bit by bit; returns how many flags there are in all. */
size_t words_flag_counts(const struct specimen_set *set, size_t counts[FLAG_KINDS]);

#endif
