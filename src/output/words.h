#ifndef OUTPUT_WORDS_H
#define OUTPUT_WORDS_H

#include "advise/recommend.h"
#include "base/text.h"
#include "specimen/specimen_set.h"

#include <stddef.h>

/* Longest phrase these functions write, NUL included. Longer text is cut. */
#define WORDS_MAX 256

/* Adds string with "kg/m3" and "lb/ft3" as they are printed: "kg/m³", "lb/ft³". */
void words_add_printed(struct text *out, const char *string);

/* A value in the unit that is shown, not rounded. */
double words_shown(enum property property, double value, bool us);

/* "1490 kg/m3"; "-" for NaN. */
void words_value(enum property property, double value, bool us, char out[WORDS_MAX]);

/* "1450 to 1530", without the unit; "-" unless both ends are known. */
void words_range(enum property property, double lower, double upper, bool us, char out[WORDS_MAX]);

/* What is demanded: "compressive strength", "piece mass", "cost"; the JSON word is "compressive_strength", "piece_mass", "cost". */
const char *words_demand(const struct demand *demand);
const char *words_demand_json(const struct demand *demand);

/* A value of a demanded thing with its unit: "10.2 MPa", "11.6 kg", "94 a m3". */
void words_demand_value(const struct demand *demand, double value, bool us, char out[WORDS_MAX]);

/* Names of the set, or "" for SAMPLE_ALL and a NULL set. */
const char *words_aggregate(const struct specimen_set *set, uint32_t aggregate);
const char *words_mix(const struct specimen_set *set, uint32_t mix);

/* "mix P-40" or "0.42 of expanded clay". */
void words_recipe(const struct specimen_set *set, const struct candidate *candidate, char out[WORDS_MAX]);

/* "next batch, 95 %": how the assured value is meant. */
void words_assurance(const struct assurance *assurance, char out[WORDS_MAX]);

/* "tested" or "interpolated". */
const char *words_kind(const struct candidate *candidate);

/* All flags of a specimen, "length-corrected outlier"; "" without any. */
void words_flags(unsigned flags, char out[WORDS_MAX]);

#endif
