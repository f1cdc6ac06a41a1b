#ifndef SPECIMEN_SPECIMEN_BLOCK_H
#define SPECIMEN_SPECIMEN_BLOCK_H

#include "specimen/specimen_set_store.h"

/* Columns of numbers, NaN where a row has none; a bit of `used` for each that some row has one in, the others hold nothing. */
#define BLOCK_COLUMNS 6
struct block_numbers {
    unsigned used;
    double at[BLOCK_COLUMNS][STRETCH_ROWS_MOST];
};
_Static_assert(PROPERTY_COUNT <= BLOCK_COLUMNS, "properties have a column each");
_Static_assert(FURTHER_COUNT <= BLOCK_COLUMNS, "and so have further results");

/* Rows that follow one another and share what they are of. */
struct block_group {
    size_t first;
    const char *mix, *batch, *aggregate;
    double aggregate_fraction;
    struct specimen_kind kind;
};

/*
 * Derived specimens of one stretch of a file about which there is nothing to say, by columns as a set keeps them, so that they are
 * entered all at once. Large: most of its pages are never touched. Texts are lent by the rows.
 */
struct specimen_block {
    struct specimen measured; /* the row above, before it was derived */
    size_t n, n_groups;
    struct block_group groups[STRETCH_ROWS_MOST];
    char ids[STRETCH_BYTES];  /* each with its NUL */
    uint32_t ids_length, id_at[STRETCH_ROWS_MOST];
    struct id_mark id_mark[STRETCH_ROWS_MOST];
    bool ids_count_up;        /* numbers without blanks, each one more than the one above */
    uint8_t moisture[STRETCH_ROWS_MOST], result[STRETCH_ROWS_MOST];
    uint16_t flags[STRETCH_ROWS_MOST];
    int32_t cast_on[STRETCH_ROWS_MOST];
    bool any_cast_on;
    struct block_numbers value, further, age_days; /* the last one a single column */
};

/* NULL when memory is out. Give back with memory_free. */
struct specimen_block *specimen_block_new(void);
void specimen_block_clear(struct specimen_block *block);

/* Adds a derived specimen; there is room for STRETCH_ROWS_MOST. */
void specimen_block_add(struct specimen_block *block, const struct specimen *specimen);

#endif
