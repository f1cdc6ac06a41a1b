#ifndef OUTPUT_RESULTS_JSON_H
#define OUTPUT_RESULTS_JSON_H

#include "analysis/mix_class.h"
#include "output/json_build.h"
#include "specimen/fresh_list.h"

/* Parts of `results --json`, each as a JSON array; "null" for NULL. Keys in docs/json.md. STATUS_MEMORY. */
enum status classes_json_array(const struct specimen_set *set, const struct mix_class_list *classes, struct text *out);
enum status fresh_json_array(const struct fresh_list *fresh, struct text *out);
enum status soaked_json_array(const struct specimen_set *set, struct text *out);

/* The fresh concrete under the key "fresh" of an object; null for NULL. */
void fresh_put(struct json_build *build, json_t *object, const struct fresh_list *fresh);

#endif
