#ifndef SPECIMEN_FILE_KINDS_H
#define SPECIMEN_FILE_KINDS_H

#include "ingest/columns.h"

/* A kind of file with all its columns, straight from the tables that read it. Borrows everything. */
struct file_kind {
    const char *name;    /* "mixes.csv" */
    const char *option;  /* "--mixes"; "" for the specimens */
    const char *holds;   /* "one row a recipe" */
    const struct column_rule *rules;
    size_t n_rules;
};

enum { FILE_SPECIMENS, FILE_MIXES, FILE_MATERIALS, FILE_WEIGHINGS, FILE_FRESH, FILE_KINDS };
struct file_kind file_kind(int which);

/* "cube, cylinder, beam, slab or core" for a column of words; NULL for one of any text, of numbers or of dates. */
const char *file_kind_words(int which, size_t rule);

/* Whether the program writes the column itself and passes over it when reading. */
bool file_kind_own(int which, size_t rule);

#endif
