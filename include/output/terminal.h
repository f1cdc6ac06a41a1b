#ifndef OUTPUT_TERMINAL_H
#define OUTPUT_TERMINAL_H

#include <stdbool.h>

/* What the place that an answer goes to can show. */
struct terminal {
    unsigned columns;   /* TERMINAL_COLUMNS_LEAST to TERMINAL_COLUMNS_MOST */
    bool colour, utf8;
};

#define TERMINAL_COLUMNS_LEAST 50
#define TERMINAL_COLUMNS_MOST 120

/*
 * Of a descriptor, -1 for none: the window's width, else COLUMNS, else 80;
 * colours only on a terminal, not with NO_COLOR (no-color.org) nor TERM=dumb;
 * UTF-8 as LC_ALL, LC_CTYPE or LANG says, whichever comes first (POSIX).
 */
struct terminal terminal_of(int descriptor);

#endif
