#include "commands/drying.h"

enum status drying_open(struct run *run, const struct study *study, struct drying *drying)
{
    const struct study_options *options = &study->options;
    *drying = (struct drying){.told = NULL};
    if (options->weighings == NULL)
        return STATUS_OK;
    enum status status = weighing_list_read(options->weighings, &drying->weighings, &run->problems);
    if (status == STATUS_OK)
        status = drying_study_make(&drying->weighings, &study->set, options->confidence, &drying->study, &run->problems);
    if (status == STATUS_OK)
        drying->told = &drying->study;
    return status;
}

void drying_release(struct drying *drying)
{
    drying_study_release(&drying->study);
    weighing_list_release(&drying->weighings);
}
