#ifndef OUTPUT_SRC_QUALITY_JSON_H
#define OUTPUT_SRC_QUALITY_JSON_H

#include "output/answer_quality.h"
#include "output/json_build.h"

/* Puts "quality": an array, empty without a list. */
void quality_put(struct json_build *build, json_t *object, const struct specimen_set *set, const struct quality_list *list);

#endif
