#include "commands/fitting.h"

#include "base/memory.h"

#include <math.h>
#include <string.h>

static bool is_selected(const struct study *study, uint32_t aggregate)
{
    const struct selection *selection = &study->selection;
    for (size_t i = 0; i < selection->n_aggregates; i++)
        if (strcmp(selection->aggregates[i], study->set.aggregates[aggregate]) == 0)
            return true;
    return selection->n_aggregates == 0;
}

static size_t mixes_of(const struct study *study, uint32_t aggregate)
{
    size_t n = 0;
    for (size_t i = 0; i < study->set.n_mixes; i++)
        n += study->set.mixes[i].aggregate == aggregate;
    return n;
}

/* One mix has one fraction, whatever is measured of it: said once, not for each property. */
static bool has_one_mix(const struct study *study, uint32_t aggregate, enum property predictor)
{
    return predictor == PROPERTY_COUNT && mixes_of(study, aggregate) < 2;
}

/* The reference is cast to be compared with: nobody misses its curve. */
static bool is_of_reference(const struct study *study, uint32_t aggregate)
{
    for (size_t i = 0; study->options.reference && i < study->set.n_mixes; i++)
        if (study->set.mixes[i].aggregate == aggregate && strcmp(study->set.mixes[i].name, study->options.reference) == 0)
            return true;
    return false;
}

static void say_single_mixes(struct run *run, const struct study *study, enum property predictor)
{
    for (uint32_t aggregate = 0; aggregate < study->set.n_aggregates; aggregate++)
        if (is_selected(study, aggregate) && has_one_mix(study, aggregate, predictor) && !is_of_reference(study, aggregate))
            problem_list_add(&run->problems, SEVERITY_NOTICE, STATUS_TOO_FEW, NULL, "'%s' has one mix: no curve over its fraction",
                             study->set.aggregates[aggregate]);
}

/* Adds one fit, or the reason why there is none. */
static enum status fit_one(struct run *run, const struct study *study, uint32_t aggregate, enum property property,
                           enum property predictor, struct fit_list *fits)
{
    struct problem problem = {0};
    struct curve_set *slot = &fits->items[fits->n_items];
    enum status status = curve_set_fit(&study->set, &study->selection, aggregate, property, predictor,
                                       (enum law)study->options.law, slot, &problem);
    if (status == STATUS_OK) {
        status = influence_of_curve(slot, &fits->influence[fits->n_items++]);
        if (status != STATUS_OK)
            problem_list_add(&run->problems, SEVERITY_ERROR, status, NULL, "no memory left");
        return status;
    }
    if (status != STATUS_TOO_FEW && status != STATUS_NUMERIC) {
        problem_list_take(&run->problems, &problem);
        return status;
    }
    if (!has_one_mix(study, aggregate, predictor))
        problem_list_add(&run->problems, SEVERITY_NOTICE, status, NULL, "no curve for %s of '%s': %s",
                         property_row(property)->words, study->set.aggregates[aggregate], problem.text);
    return STATUS_OK;
}

static size_t measured_properties(const struct study *study, enum property predictor, enum property *properties)
{
    static const enum property usual[] = {PROPERTY_DENSITY, PROPERTY_COMPRESSIVE_STRENGTH, PROPERTY_FLEXURAL_STRENGTH,
                                          PROPERTY_SPLITTING_STRENGTH, PROPERTY_ABSORPTION};
    size_t n = 0;
    for (size_t i = 0; i < sizeof usual / sizeof usual[0]; i++)
        if (study->set.value[usual[i]] && usual[i] != predictor)
            properties[n++] = usual[i];
    return n;
}

enum status fitting_by_aggregate(struct run *run, const struct study *study, const enum property *properties,
                                 size_t n_properties, enum property predictor, struct fit_list *fits)
{
    enum property measured[PROPERTY_COUNT];
    if (n_properties == 0) {
        n_properties = measured_properties(study, predictor, measured);
        properties = measured;
    }
    fits->items = memory_new(n_properties * study->set.n_aggregates, sizeof *fits->items);
    fits->influence = memory_new(n_properties * study->set.n_aggregates, sizeof *fits->influence);
    if (fits->items == NULL || fits->influence == NULL) {
        problem_list_add(&run->problems, SEVERITY_ERROR, STATUS_MEMORY, NULL, "no memory left");
        return STATUS_MEMORY;
    }
    say_single_mixes(run, study, predictor);
    for (size_t i = 0; i < n_properties; i++) {
        for (uint32_t aggregate = 0; aggregate < study->set.n_aggregates; aggregate++) {
            if (!is_selected(study, aggregate))
                continue;
            enum status status = fit_one(run, study, aggregate, properties[i], predictor, fits);
            if (status != STATUS_OK)
                return status;
        }
    }
    return STATUS_OK;
}

void fitting_release(struct fit_list *fits)
{
    for (size_t i = 0; i < fits->n_items; i++)
        curve_set_release(&fits->items[i]);
    memory_free(fits->items);
    memory_free(fits->influence);
}
