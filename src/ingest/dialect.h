#ifndef INGEST_DIALECT_H
#define INGEST_DIALECT_H

#include "ingest/reader.h"

/* The separator of a heading line: whichever of tab, ';' and ',' stands most often outside quotes and brackets. */
char dialect_separator(const char *bytes, size_t length);

/*
 * The decimal mark of the rows in bytes: ',' when at least as many columns read 1,5 as
 * 1.5, and some does. Always '.' with separator ','.
 */
char dialect_decimal_mark(const char *bytes, size_t length, char separator);

#endif
