#ifndef SPECIMEN_SPECIMEN_BLOCK_H
#define SPECIMEN_SPECIMEN_BLOCK_H

#include "specimen/specimen_set_store.h"

/* Room in a column. Not a power of two: columns written side by side would push one another out of the processor's cache. */
#define BLOCK_ROOM (STRETCH_ROWS_MOST + 40)

/* Columns of numbers, NaN where a row has none; a bit of `used` for each that some row has one in, the others hold nothing. */
#define BLOCK_COLUMNS 6
struct block_numbers {
    unsigned used;
    double at[BLOCK_COLUMNS][BLOCK_ROOM];
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
    struct specimen specimen; /* as the row above was measured; derived only while a row is being added */
    size_t n, n_groups;
    bool ids_count_up;        /* numbers without blanks, each one more than the one above */
    uint32_t ids_length;
    char ids[STRETCH_BYTES];  /* each with its NUL */
    uint32_t id_at[BLOCK_ROOM];
    struct id_mark id_mark[BLOCK_ROOM];
    uint8_t moisture[BLOCK_ROOM], result[BLOCK_ROOM];
    uint16_t flags[BLOCK_ROOM];
    int32_t cast_on[BLOCK_ROOM];
    struct block_numbers value, further, age_days; /* the last one a single column */
    struct block_group groups[BLOCK_ROOM];
};

/* NULL when memory is out. Give back with memory_free. */
struct specimen_block *specimen_block_new(void);
void specimen_block_clear(struct specimen_block *block);

/* Adds a derived specimen; there is room for STRETCH_ROWS_MOST. */
void specimen_block_add(struct specimen_block *block, const struct specimen *specimen);

#endif
