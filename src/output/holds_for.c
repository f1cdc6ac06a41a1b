#include "output/holds_for.h"

void holds_for_put(struct json_build *build, json_t *object, const struct selection_state *state)
{
    json_put_number(build, object, "age_days", state->age_days);
    json_put_text(build, object, "moisture", moisture_word(state->moisture));
    json_put_text(build, object, "shape", shape_word(state->kind.shape));
    json_put_text(build, object, "loading", loading_word(state->kind.loading));
    json_put_number(build, object, "size_mm", state->kind.size_mm);
}

void holds_for_append(struct json_build *build, json_t *array, const struct specimen_set *set, const struct selection *selection,
                      enum property property)
{
    const struct selection_state state = selection_state(set, selection, property);
    json_t *row = json_append_object(build, array);
    json_put_text(build, row, "property", property_row(property)->name);
    holds_for_put(build, row, &state);
}

void holds_for_put_recommendation(struct json_build *build, const struct specimen_set *set, const struct recommend_request *request,
                                  const struct recommendation *answer)
{
    json_t *array = json_put_array(build, build->root, "holds_for");
    for (enum property property = 0; property < PROPERTY_COUNT; property++)
        if (set->value[property] && recommendation_uses(request, answer, property))
            holds_for_append(build, array, set, &answer->selection, property);
}
