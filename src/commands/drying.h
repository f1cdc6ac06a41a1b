#ifndef COMMANDS_DRYING_H
#define COMMANDS_DRYING_H

#include "analysis/drying_study.h"
#include "commands/study.h"

/* What --weighings adds to an answer. Release with drying_release(). */
struct drying {
    struct weighing_list weighings;
    struct drying_study study;
    const struct drying_study *told; /* &study, or NULL without --weighings */
};

/* Reads the weighings that the options name, if any, and judges them. Status of the worst problem. */
enum status drying_open(struct run *run, const struct study *study, struct drying *drying);
void drying_release(struct drying *drying);

#endif
