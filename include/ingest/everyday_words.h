#ifndef INGEST_EVERYDAY_WORDS_H
#define INGEST_EVERYDAY_WORDS_H

#include "ingest/columns.h"

/*
 * What people call a column when they do not call it by its name: "weight" for mass. Only ever a suggestion, since "load" may
 * be any load. everyday_column gives the column that a heading, with or without its unit, should be called by; NULL when the
 * words are not known or none of the rules is meant.
 */
const char *everyday_column(const char *heading, const struct column_rule *rules, size_t n_rules);

#endif
