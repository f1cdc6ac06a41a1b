#ifndef OUTPUT_DRYING_JSON_H
#define OUTPUT_DRYING_JSON_H

#include "analysis/drying_study.h"
#include "output/json_build.h"

/* Puts what one specimen's weighings say into an object; keys in docs/json.md. */
void drying_json_put(struct json_build *build, json_t *object, const struct drying_result *result, double confidence);

/* Adds all of them as a JSON array; "null" without a study. STATUS_MEMORY. */
enum status drying_json_array(const struct drying_study *study, struct text *out);

#endif
