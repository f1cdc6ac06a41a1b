#include "commands/testing.h"

#include "base/memory.h"

static enum status measure_all(const struct specimen_set *set, const struct selection *selection, const struct mix_summary_list *means,
                               struct quality_list *list, struct problem *problem)
{
    enum status status = STATUS_OK;
    for (int property = 0; status != STATUS_MEMORY && property < PROPERTY_COUNT; property++) {
        struct quality *quality = &list->items[list->n_items];
        if (set->value[property] == NULL)
            continue;
        status = quality_measure(set, selection, means, (enum property)property, quality, problem);
        if (status == STATUS_OK && quality->within_df > 0)
            list->n_items++;
        else if (status == STATUS_OK)
            quality_release(quality);
    }
    return status == STATUS_MEMORY ? status : STATUS_OK;
}

enum status testing_measure(struct run *run, const struct study *study, const struct selection *selection,
                            const struct mix_summary_list *means, struct quality_list *list)
{
    struct mix_summary_list own = {0};
    struct problem problem = {0};
    *list = (struct quality_list){.items = memory_new(PROPERTY_COUNT, sizeof *list->items)};
    enum status status = list->items ? STATUS_OK : problem_set(&problem, STATUS_MEMORY, NULL, "no memory left");
    if (status == STATUS_OK && !means)
        status = mix_summary_list_make(&study->set, selection, NULL, study->options.confidence, &own, &problem);
    if (status == STATUS_OK)
        status = measure_all(&study->set, selection, means ? means : &own, list, &problem);
    mix_summary_list_release(&own);
    if (status != STATUS_MEMORY)
        return STATUS_OK;
    problem_list_take(&run->problems, &problem);
    return status;
}

void testing_release(struct quality_list *list)
{
    for (size_t i = 0; i < list->n_items; i++)
        quality_release(&list->items[i]);
    memory_free(list->items);
    *list = (struct quality_list){0};
}
