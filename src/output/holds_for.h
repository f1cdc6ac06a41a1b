#ifndef OUTPUT_HOLDS_FOR_H
#define OUTPUT_HOLDS_FOR_H

#include "advise/recommend.h"
#include "analysis/sample.h"
#include "output/json_build.h"

/* Keys age_days, moisture, shape, loading, size_mm of what results are of; null where nothing is told. */
void holds_for_put(struct json_build *build, json_t *object, const struct selection_state *state);

/* One object more for the array `holds_for`: the property and the keys above, by a settled selection. */
void holds_for_append(struct json_build *build, json_t *array, const struct specimen_set *set, const struct selection *selection,
                      enum property property);

/* The whole array `holds_for` of the answer: an object for each property that a recommendation, or a plan made from it, rests on. */
void holds_for_put_recommendation(struct json_build *build, const struct specimen_set *set, const struct recommend_request *request,
                                  const struct recommendation *answer);

#endif
