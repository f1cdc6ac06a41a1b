#ifndef OUTPUT_TRIALS_JSON_H
#define OUTPUT_TRIALS_JSON_H

#include "analysis/trials.h"
#include "output/json_build.h"

/* Puts the array `trials` of docs/json.md under that key; empty for NULL. */
void trials_put(struct json_build *build, json_t *object, const struct specimen_set *set, const struct mix_trials_list *trials);
/* The same array as text, for `results --json`. STATUS_MEMORY. */
enum status trials_json_array(const struct specimen_set *set, const struct mix_trials_list *trials, struct text *out);

#endif
