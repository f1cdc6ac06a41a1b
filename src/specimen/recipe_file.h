#ifndef SPECIMEN_RECIPE_FILE_H
#define SPECIMEN_RECIPE_FILE_H

#include "ingest/columns.h"

#define RECIPE_COLUMNS_MOST 16

/* What the readers of mixes and of materials share: named rows, each name once. */
struct recipe_file {
    const char *path;
    const struct column_rule *rules;
    size_t n_rules;
    const struct column_map *maps;
    size_t n_maps;
    size_t required;     /* the rule of the name */
    struct problem_list *problems;
    enum status (*take)(struct recipe_file *file, const struct row *row, void *list);
    void *list;
    size_t capacity;     /* of the list */
    struct dialect dialect;
    struct column_binding bindings[RECIPE_COLUMNS_MOST];
    bool failed;
};

/* Reads all rows; *path_copy gets a copy of the path. STATUS_INPUT when any problem was an error. */
enum status recipe_file_read(struct recipe_file *file, char **path_copy);

/* A copy of a text cell, "" when absent. False when memory is out. */
bool recipe_text(struct recipe_file *file, const struct row *row, size_t rule, char **copy);

/* A number in base units, NaN when absent. False after a problem: no number, or outside the possible range. */
struct recipe_range {
    double least, most;
};
bool recipe_number(struct recipe_file *file, const struct row *row, size_t rule, struct recipe_range range, double *value);

/* A name must be there, and once: first_line is the line of the row that has it already, or 0. */
bool recipe_name_good(struct recipe_file *file, const struct row *row, size_t rule, const char *name, size_t first_line);

enum status recipe_memory_out(struct recipe_file *file, const struct row *row);

/*
 * The element whose name (a char * at name_offset) is `name`: exactly if there is one,
 * else without regard to case, blanks, '_' and '-'. NULL when there is none.
 */
const void *recipe_find(const void *items, size_t n_items, size_t item_size, size_t name_offset, const char *name);

#endif
