#include "advise/search.h"

static bool demanded(const struct demand *demands, size_t n, enum property property)
{
    for (size_t i = 0; i < n; i++)
        if (demand_property(&demands[i]) == property)
            return true;
    return false;
}

bool recommendation_uses(const struct recommend_request *request, const struct recommendation *answer, enum property property)
{
    return property == PROPERTY_DENSITY || (request->seek == SEEK_STRONGEST && property == answer->strength)
        || demanded(request->targets, request->n_targets, property) || demanded(request->limits, request->n_limits, property);
}

void recommendation_holds_for(const struct specimen_set *set, const struct recommend_request *request,
                              const struct recommendation *answer, bool us, struct text *text)
{
    const size_t before = text->length;
    char words[120];
    for (enum property property = 0; property < PROPERTY_COUNT; property++) {
        if (!set->value[property] || !recommendation_uses(request, answer, property))
            continue;
        selection_words(set, &answer->selection, property, us, words, sizeof words);
        text_addf(text, "%s%s (%s)", text->length > before ? ", " : "", property_row(property)->words,
                  words[0] ? words : "age, moisture and shape not told");
    }
}
