#ifndef OUTPUT_SRC_COEFFICIENTS_H
#define OUTPUT_SRC_COEFFICIENTS_H

#include "analysis/curve.h"
#include "output/json_build.h"
#include "output/table.h"

/* The table of a fit's terms, each value with its interval first. Starts one, takes rows, shows and releases it. */
struct coefficients_table { struct table table; char interval[32]; };
void coefficients_start(struct coefficients_table *table, double confidence);
void coefficients_add(struct coefficients_table *table, const struct coefficient_row *row);
void coefficients_show(struct coefficients_table *table, struct text *out);

/* One member of the array `coefficients` in JSON. */
void coefficients_put(struct json_build *build, json_t *array, const struct coefficient_row *row);

/* The object `lack_of_fit`; nulls when it could not be had. */
void coefficients_put_lack(struct json_build *build, json_t *fit, const struct lack_of_fit *lack);

/* "lack of fit: F 3.1 on 4 and 12 degrees of freedom, p 0.06", a line; nothing when it could not be had. */
void coefficients_say_lack(const struct lack_of_fit *lack, struct text *out);

#endif
