#ifndef OUTPUT_INFLUENCE_WORDS_H
#define OUTPUT_INFLUENCE_WORDS_H

#include "analysis/influence.h"
#include "output/json_build.h"

/* What the units of an influence are called: "batch '3' of 'P-40'", "row 7". */
struct influence_names {
    char of[INFLUENCE_UNITS][160];
    size_t row[INFLUENCE_UNITS]; /* the first, from 1 */
};

/* Names of the batches of a study, or the specimens where none is told. */
void influence_name_curve(const struct specimen_set *set, const struct curve_set *curves, const struct influence *influence,
                          struct influence_names *names);
/* batches: a name a row, or NULL. */
void influence_name_rows(const struct influence *influence, const char *const *batches, struct influence_names *names);

/* One line on what moves the fit most, one on the residuals; nothing that cannot be had. */
void influence_say(const struct influence *influence, const struct influence_names *names, struct text *out);

/* The keys `influence` and `shapiro_wilk` of a fit; NULL: an empty array and nulls. */
void influence_put(struct json_build *build, json_t *fit, const struct influence *influence, const struct influence_names *names);

#endif
