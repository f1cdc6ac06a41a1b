#ifndef INGEST_COLUMNS_H
#define INGEST_COLUMNS_H

#include "ingest/reader.h"

#include <stdbool.h>
#include <stddef.h>

/* A unit as it may be typed. value in base unit = value typed * factor. Tables end with symbol NULL. */
struct unit {
    const char *symbol;
    double factor;
    bool us; /* belongs to the US customary system */
};

enum cell_kind { CELL_TEXT, CELL_NUMBER, CELL_DATE };

/* What a file may hold. A table of these describes one kind of file. */
struct column_rule {
    const char *name;          /* canonical, e.g. "break_load" */
    enum cell_kind kind;
    const struct unit *units;  /* NULL: pure number, or text */
    bool unit_optional;        /* a heading without unit takes units[0] (fractions, days) */
    bool free_text;            /* may hold line breaks */
};

/* `--column break_load="Load at failure (kN)"`: name is the canonical name. A unit in
 * brackets at the end of heading ("fc28[MPa]") that is not part of the file's heading gives the unit. */
struct column_map {
    const char *name;
    const char *heading;
    const char *unit; /* from `NAME[UNIT]=...` or NULL */
};

/*
 * Takes `NAME=HEADING` or `NAME[UNIT]=HEADING` apart. The map owns copies;
 * release with column_map_release().
 * STATUS_USAGE  no '=', or nothing on one side of it; words in problem
 */
enum status column_map_parse(const char *text, struct column_map *map, struct problem *problem);
void column_map_release(struct column_map *map);

/*
 * The unit of a table by its symbol, or NULL. '_' reads as '/', '³' as '3',
 * '²' as '2', '^' and blanks do not count. Case counts only where two symbols
 * of the table differ in nothing else.
 */
const struct unit *unit_match(const struct unit *units, const char *symbol, size_t length);

/* Where a rule was found in this file. index is -1 when absent. */
struct column_binding {
    long index;
    const struct unit *unit; /* NULL for pure numbers and text */
    char heading[80];        /* as the user wrote it */
};

/*
 * Matches a heading row to rules: maps first, then names without regard to
 * case, blanks, '_' and '-'; unit from `mass_g`, `mass [g]` or `mass (g)`.
 * Reports: heading twice, empty heading, unknown unit (with the units that
 * would do), missing unit, map that names no heading (with the nearest),
 * map to an unknown column. Unknown extra headings become notices, with
 * "did you mean" when near a rule name.
 * STATUS_INPUT when any error was added.
 */
enum status columns_bind(const struct row *heading, const struct column_rule *rules, size_t n_rules,
                         const struct column_map *maps, size_t n_maps,
                         struct column_binding *bindings, struct problem_list *problems);

/* True when the texts agree without regard to case, blanks, '_' and '-'. */
bool heading_same(const char *a, const char *b);

/*
 * Line breaks belong in free text only: elsewhere they mean that a quote has
 * swallowed the next rows. Adds a problem for each other cell that holds one,
 * with the line where its quote opened. True when there is none.
 */
bool row_check_breaks(const struct row *row, const struct column_rule *rules, size_t n_rules,
                      const struct column_binding *bindings, struct problem_list *problems);

/*
 * Reads the number of a bound cell into base units. Empty (and NA, n/a, -, ?)
 * gives NaN and true. False after adding a problem with its place.
 */
bool cell_number(const struct row *row, const struct column_binding *binding,
                 const struct dialect *dialect, double *value, struct problem_list *problems);

/* ISO date as days since 1970-01-01. Empty gives LONG_MIN and true. */
bool cell_date(const struct row *row, const struct column_binding *binding, long *days,
               struct problem_list *problems);

/* Text of a bound cell, "" when absent. Borrowed from the row. */
const char *cell_text(const struct row *row, const struct column_binding *binding);

#endif
