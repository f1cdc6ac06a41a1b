#ifndef ANALYSIS_SRC_GENERAL_DESIGN_H
#define ANALYSIS_SRC_GENERAL_DESIGN_H

#include "analysis/general_fit.h"

/* A general question as the statistics take it. Owns its arrays; release with general_design_release(). */
struct general_design {
    struct mixed_data data;      /* points into the arrays below */
    char (*names)[80];           /* data.n_terms */
    const char **name_pointers;
    double *design, *response, *weights;
    uint32_t *batch;             /* NULL without batches */
    uint32_t *group;             /* rows with equal predictors share one */
    size_t n_groups;
};

enum status general_design_make(const struct general_fit_question *question, struct general_design *design, struct problem *problem);
void general_design_release(struct general_design *design);

#endif
