#include "commands/fitting.h"

#include "output/answer_age.h"

#include <math.h>

static const enum property strengths[] = {PROPERTY_COMPRESSIVE_STRENGTH, PROPERTY_FLEXURAL_STRENGTH, PROPERTY_SPLITTING_STRENGTH};

static size_t measured_strengths(const struct study *study, enum property *properties)
{
    size_t n = 0;
    for (size_t i = 0; i < sizeof strengths / sizeof strengths[0]; i++)
        if (study->set.value[strengths[i]])
            properties[n++] = strengths[i];
    return n;
}

static enum growth_law growth_law_of(int law)
{
    switch (law) {
    case LAW_EXPONENTIAL: return GROWTH_EXPONENTIAL;
    case FITTING_LAW_HYPERBOLIC: return GROWTH_HYPERBOLIC;
    case FITTING_LAW_ROOT_EXPONENTIAL: return GROWTH_ROOT_EXPONENTIAL;
    default: return GROWTH_LAW_COUNT;
    }
}

/* Why there is no curve at all; the notes say it mix by mix. */
static enum status refuse(struct run *run, const struct growth_study *ages)
{
    if (ages->n_items > 0)
        problem_list_add(&run->problems, SEVERITY_ERROR, STATUS_NUMERIC, NULL, "no curve over age could be fitted; of the first mix: %s",
                         age_curve_why_not(&ages->items[0]));
    else
        problem_list_add(&run->problems, SEVERITY_ERROR, STATUS_TOO_FEW, NULL,
                         "no mix has results at two ages: strength with age needs a column 'age' and specimens of one mix broken at several");
    return run->problems.worst;
}

enum status fitting_on_age(struct run *run, const struct study *study, const enum property *properties, size_t n_properties)
{
    enum property measured[PROPERTY_COUNT];
    struct growth_study ages;
    struct age_question question = {
        .properties = n_properties ? properties : measured,
        .n_properties = n_properties ? n_properties : measured_strengths(study, measured),
        .law = growth_law_of(study->options.law), .selection = study->selection,
        .age_days = study->options.age_days, .reference_mix = study->options.reference, .confidence = study->options.confidence,
    };
    enum status status = growth_study_make(&study->set, &question, &ages, &run->problems);
    if (status != STATUS_OK)
        return status;
    if (growth_study_fitted(&ages) == 0)
        status = refuse(run, &ages);
    else
        status = study->options.json ? answer_age_json(&study->set, &ages, &run->out)
                                     : answer_age_table(&study->set, &ages, study->us, &run->out);
    growth_study_release(&ages);
    return study_deliver(run, study, status);
}

enum status fitting_ages_beside(struct run *run, const struct study *study, const struct selection *settled, struct growth_study *ages)
{
    enum property measured[PROPERTY_COUNT];
    struct problem_list unheard = {0}; /* what is used is said beside the recommendation */
    struct age_question question = {
        .properties = measured, .n_properties = measured_strengths(study, measured), .law = GROWTH_LAW_COUNT,
        .selection = *settled, .age_days = settled->age_days, .reference_mix = NULL, .confidence = study->options.confidence,
    };
    enum status status = growth_study_make(&study->set, &question, ages, &unheard);
    problem_list_release(&unheard);
    if (status == STATUS_MEMORY)
        problem_list_add(&run->problems, SEVERITY_ERROR, status, NULL, "no memory left to fit curves over age");
    return status;
}
