#ifndef SPECIMEN_SRC_FILE_RULES_H
#define SPECIMEN_SRC_FILE_RULES_H

#include "ingest/columns.h"

/* The columns of the files beside the specimens, each where its file is read. */
extern const struct column_rule mix_rules[], material_rules[], weighing_rules[], fresh_rules[];
extern const size_t n_mix_rules, n_material_rules, n_weighing_rules, n_fresh_rules;

#endif
