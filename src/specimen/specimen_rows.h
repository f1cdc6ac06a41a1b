#ifndef SPECIMEN_SPECIMEN_ROWS_H
#define SPECIMEN_SPECIMEN_ROWS_H

#include "specimen/row_seals.h"
#include "specimen/specimen_set_store.h"

/* Reads a specimens file row by row, for those who want the rows and not a set. */
struct specimen_rows {
    const struct column_map *maps;
    size_t n_maps;
    bool rows_optional;
    bool seals_unread;   /* row_check is not judged here */
    /*
     * Gets each row whose cells are good, as measured; its texts are lent for
     * the length of the call. Problems it adds may name columns by their rules.
     */
    enum status (*take)(struct specimen *specimen, void *context);
    void *context;
    struct problem_list *problems;
    /* private */
    struct column_binding bindings[SPECIMEN_RULES_MOST];
    struct active_rule active[SPECIMEN_RULES_MOST];
    size_t n_active;
    struct dialect dialect;
    struct row_seals seals;
};

/* STATUS_INPUT when an error was added; else as reader_run, or what `take` returned. */
enum status specimen_rows_read(struct specimen_rows *rows, const char *path);

#endif
