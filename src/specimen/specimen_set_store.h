#ifndef SPECIMEN_SPECIMEN_SET_STORE_H
#define SPECIMEN_SPECIMEN_SET_STORE_H

#include "base/text.h"
#include "specimen/specimen_set.h"

#include <limits.h>

#define NOT_KNOWN UINT32_MAX

/* A look-up table by open addressing. The hashes are kept, so that it grows and searches without looking at the names. */
struct name_slot { uint32_t hash, number; /* index + 1; 0: free */ };
struct name_table {
    struct name_slot *slots;
    size_t n_slots, n_used;
};

/* Which names there are and what index each belongs to. Names that are numbers above all before them are kept as runs. */
struct number_run { uint32_t first, n, index; }; /* n numbers that count up from `first`, as their indices do */
struct name_index {
    struct number_run *runs;  /* rising */
    size_t n_runs, run_capacity;
    bool any_number;
    uint32_t highest;         /* of all names that are numbers */
    struct name_table others; /* names that are in no run */
};

/* A name as a number: NOT_KNOWN when it is none but for blanks. */
struct number_mark {
    uint32_t number;
    bool has_blanks;
};

/* What of an id can be told beforehand. */
struct id_mark {
    struct number_mark number;
    uint32_t hash; /* of an id that is no number; else it is not worked out */
};

/* Where a mix was first met and where its aggregate and fraction were first given: file and line. */
struct set_place {
    uint32_t file, line;
};
struct mix_places {
    struct set_place first, aggregate, fraction;
};

/* Texts that never move, such as the names of mixes: blocks, each linked to the one before. */
struct name_block {
    struct name_block *before;
    size_t used, size;
    char bytes[];
};

/* The headings of one file, by rule; NULL: it has no such column. */
#define SPECIMEN_RULES_MOST 48
struct file_headings {
    char *of[SPECIMEN_RULES_MOST];
};

/* What the arrays of a set need while they grow. */
struct set_store {
    size_t row_capacity;
    struct text names;        /* of specimens and batches, as far as they are no numbers, each with its NUL; the first one is "" */
    struct name_index id_index, batch_index;
    struct name_table mix_table;
    struct name_block *texts;
    size_t mix_capacity, place_capacity, batch_capacity, run_capacity, kind_capacity, aggregate_capacity, path_capacity;
    struct mix_places *mix_places;
    struct file_headings *headings; /* of the files whose headings were understood, up to n_headings */
    size_t n_headings, heading_capacity;
    char made_name[160];      /* of the mix of the row that is being entered, when it names none */
};

/* Frees a store and all its names. NULL is fine. */
void set_store_release(struct set_store *store);

/*
 * Enters one derived specimen. All or nothing: when a conflict was added to
 * problems (id taken, mix with another aggregate or fraction), the set is as
 * before and the result is STATUS_INPUT. STATUS_MEMORY when memory is out.
 */
enum status set_enter(struct specimen_set *set, const struct specimen *specimen, uint32_t file, const struct mix_list *mixes,
                      struct problem_list *problems);

/*
 * Enters the rows of a block from *from on, up to the first about which there is something to say: its index, or n, goes to *from.
 * first: path and line of the first row of the block. STATUS_MEMORY when memory is out.
 */
struct specimen_block;
enum status set_enter_block(struct specimen_set *set, const struct specimen_block *block, size_t *from, struct place first, uint32_t file,
                            const struct mix_list *mixes);

/* The date of a specimen as a set keeps it. */
static inline int32_t specimen_cast_on_kept(const struct specimen *specimen)
{
    return specimen->cast_on == LONG_MIN ? INT32_MIN : (int32_t)specimen->cast_on;
}

/* Room for n more rows that stand one below the other, and for n more mixes and batches, before anything is changed. False when memory is out. */
bool set_reserve_rows(struct specimen_set *set, size_t n);
/* Room at once for about n more rows, so that columns need not be moved while they grow. False when memory is out. */
bool set_expect_rows(struct specimen_set *set, size_t n);
bool set_reserve_groups(struct specimen_set *set, size_t n);

/* ---- where rows stand (specimen_set_places.c) ---- */

/* Room for one more run of rows. False when memory is out. */
bool set_places_reserve(struct specimen_set *set);
/* The next rows; there is room for a run. */
void set_places_add(struct specimen_set *set, const struct set_run *run);
/* As when only these rows had been added. False when memory is out, and then nothing has changed. */
bool set_places_keep(struct specimen_set *set, const bool *wanted);

/* ---- what columns are called (specimen_set_headings.c) ---- */

/* Keeps the headings that the rules are bound to in a file. False when memory is out. */
bool set_headings_keep(struct specimen_set *set, uint32_t file, const struct column_binding *bindings);
void set_headings_release(struct set_store *store);

/* Makes an array that exists only once some row needs it, with what the rows before have. False when memory is out. */
bool set_need_doubles(const struct specimen_set *set, double **array, double before);
bool set_need_bytes(const struct specimen_set *set, uint8_t **array, uint8_t before);
bool set_need_dates(struct specimen_set *set); /* those of their batches */
bool set_need_ids(struct specimen_set *set);   /* those of their runs */

/* Index of an aggregate by name, added when new; NOT_KNOWN when memory is out. */
uint32_t set_aggregate(struct specimen_set *set, const char *name);

/*
 * Counts rows without a batch in files that tell batches with one that is there, after a doubt for each; sets has_batch_column
 * to whether any is told. Before the batches are counted. False when memory is out.
 */
bool set_assume_batches(struct specimen_set *set, struct problem_list *problems);

/* Index of a kind, added when new, or NOT_KNOWN when there is no room. */
uint32_t set_kind(struct specimen_set *set, struct specimen_kind kind);

/* Drops look-up tables, settles mixes without aggregate, counts batches. False when memory is out. */
bool set_finish(struct specimen_set *set);

/* A copy that stays where it is as long as the set; NULL when memory is out. */
const char *set_keep_text(struct set_store *store, const char *name);

/*
 * The name of a specimen or batch as a set keeps it: a number without blanks as such, with NAME_IS_NUMBER; any other by where it
 * begins among the names. mark: of the same text.
 */
#define NAME_NONE 0u
#define NAME_IS_NUMBER ((uint32_t)1 << 31)

/* Not of "". False when memory is out. */
bool set_keep_name(struct set_store *store, const char *text, struct number_mark mark, uint32_t *name);
const char *set_name_text(const struct set_store *store, uint32_t name, struct name_room *room);
bool set_name_is(const struct set_store *store, uint32_t name, const char *text, struct number_mark mark);

/* Place of a row already in the set, as "line 12" or "other.csv:12". */
void set_place_words(const struct specimen_set *set, struct set_place there, uint32_t here, char *out, size_t size);

/* ---- look-up tables (specimen_set_names.c) ---- */

/* Hash of a name without case and blanks, so that names alike in all but that fall together. */
uint32_t name_hash(const char *name, uint32_t seed);
bool name_alike(const char *a, const char *b);

/* Room for n more. False when memory is out. */
bool name_table_reserve(struct name_table *table, size_t n);
void name_table_add(struct name_table *table, uint32_t hash, uint32_t index);
void name_table_release(struct name_table *table);

/* Asks the processor for where a search for this hash will begin. */
void name_table_expect(const struct name_table *table, uint32_t hash);

/* Walks the entries that have this hash: start with *slot = hash; NOT_KNOWN ends it. */
uint32_t name_table_next(const struct name_table *table, uint32_t hash, size_t *slot);

/* ---- names by number (specimen_set_numbers.c) ---- */

struct number_mark number_mark_of(const char *name);

static inline bool number_mark_is_plain(struct number_mark mark)
{
    return mark.number != NOT_KNOWN && !mark.has_blanks;
}

/* Whether this is a number above all that were added: then no name is like it. */
bool name_index_is_below(const struct name_index *index, struct number_mark mark);

/* The index of a number in the runs, which holds it without blanks; NOT_KNOWN when it is in none. */
uint32_t name_index_run(const struct name_index *index, uint32_t number);

/* Room for n more. False when memory is out. */
bool name_index_reserve(struct name_index *index, size_t n);

/* Takes names that count up, all above those before them, of rows that do so too. There is room for them. */
void name_index_add_run(struct name_index *index, struct number_run run);

/* The number of an index in the runs; NOT_KNOWN when it is in none. */
uint32_t name_index_number(const struct name_index *index, uint32_t of);

/* Takes a new name into the runs; false when it does not belong there, but into the others. */
bool name_index_add(struct name_index *index, struct number_mark mark, uint32_t number);
void name_index_release(struct name_index *index);

/* ---- ids (specimen_set_ids.c) ---- */

struct id_mark id_mark_of(const char *id);

/* Asks the processor for where the search for this id will begin. */
void id_expect(const struct name_index *index, const struct id_mark *mark);

/* The row that has this id (*same), else the last one whose id is alike, else NOT_KNOWN. */
uint32_t id_find(const struct specimen_set *set, const char *id, const struct id_mark *mark, bool *same);

/* The id becomes that of the next row, of this line. False when memory is out. */
bool id_enter(struct specimen_set *set, const char *id, const struct id_mark *mark, size_t line);

/* Numbers that count up from `first`, all above those before them, become the ids of n rows, which there is room for. Likewise. */
bool ids_enter_run(struct specimen_set *set, uint32_t first, size_t n, size_t row);

/* ---- rows set aside (specimen_set_aside.c) ---- */

struct set_aside {
    const char *path;       /* NULL: strict */
    struct text text;       /* the file to be */
    struct text heading;    /* raw heading of the rows in it */
    struct text file_heading; /* raw heading of the file being read, without reason and place */
    bool skip_two;          /* the file being read was itself set aside: its reason and place are dropped */
    char separator;
    size_t n_rows;
};
void set_aside_heading(struct set_aside *aside, const struct row *row, char separator);

/* Keeps a row with its reason. STATUS_INPUT after a problem when its heading is not that of the rows before. */
enum status set_aside_row(struct set_aside *aside, const struct row *row, const char *reason, struct problem_list *problems);

/* Writes the file when any row was set aside. */
enum status set_aside_write(struct set_aside *aside, struct problem_list *problems);
void set_aside_release(struct set_aside *aside);

/* ---- columns to fields (specimen_set_rules.c) ---- */

/* A column that fills a field of its specimens: what its cells need, found once for a file. */
struct active_rule {
    const struct column_binding *binding;
    size_t column, offset; /* of the cell in its row, of the field in struct specimen */
    unsigned kind;         /* enum field_kind */
    unsigned typed;        /* enum typed_unit of its numbers; TYPED_COUNT: of none of these kinds */
    double factor;         /* of its unit */
};

/*
 * Fills a specimen, cleared or as filled from the row above, from the bound cells of a row, all of them even when some are bad;
 * those that are as_above it has already. False when a problem was added.
 */
bool specimen_take_row(struct specimen *specimen, const struct row *row, const struct column_binding *bindings,
                       const struct active_rule *active, size_t n_active, const struct dialect *dialect,
                       struct problem_list *problems);

/* Rules bound in this file; returns how many. The bindings must stay where they are. */
size_t specimen_active_rules(const struct column_binding *bindings, struct active_rule *active);

/* Whether some bound column measures something. */
bool specimen_rules_measure(const struct column_binding *bindings);

/* Whether the first measured column, from the left, is in a US unit. */
bool specimen_rules_us(const struct column_binding *bindings);

/* Index of a rule by its name. */
size_t specimen_rule_index(const char *name);

#endif
