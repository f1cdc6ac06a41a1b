#ifndef ANALYSIS_SRC_QUALITY_MEASURE_H
#define ANALYSIS_SRC_QUALITY_MEASURE_H

#include "analysis/quality.h"

/* Fills quality->control from the sample. STATUS_MEMORY. */
enum status quality_control_make(const struct specimen_set *set, const struct sample *sample, struct quality *quality);

#endif
