#ifndef SPECIMEN_RECORDING_ROW_H
#define SPECIMEN_RECORDING_ROW_H

#include "base/text.h"
#include "specimen/specimen.h"

/* Adds a specimen as measured as a line of a journal, without row_check and line end. Texts hold no line break. */
void recording_row_add(struct text *row, const struct specimen *specimen, bool us);

#endif
