#ifndef SPECIMEN_SPECIMEN_SET_H
#define SPECIMEN_SPECIMEN_SET_H

#include "ingest/columns.h"
#include "specimen/kind.h"
#include "specimen/mixes.h"
#include "specimen/specimen.h"

#include <math.h>
#include <stdint.h>

/* A mix as met in the specimens (aggregate and fraction belong to the mix, not to the specimen). */
struct set_mix {
    const char *name;
    uint32_t aggregate;        /* index into aggregates */
    double aggregate_fraction; /* NaN when not known */
    uint32_t n_specimens, n_batches;
};

struct set_batch {
    uint32_t name;    /* unique within its mix only; 0 when the row had none. Use specimen_set_batch_name */
    uint32_t mix;
    int32_t cast_on;  /* of its first row: days since 1970-01-01, INT32_MIN = not given */
};

/* Rows of a set that stand one below the other in a file. */
struct set_run {
    uint32_t first, n; /* rows of the set */
    uint32_t line;     /* of the first one */
    uint32_t file;     /* index into paths */
};

/*
 * All specimens of a study, kept by columns; what rows share is kept once as
 * long as they share it. value[p] is NULL when no row has that property. A set
 * owns its names and arrays; everything handed out borrows from it. Release
 * with specimen_set_release().
 */
struct specimen_set {
    size_t n;
    uint32_t *batch;                /* n, as all that follow; a batch is of one mix: specimen_set_mix */
    uint8_t *moisture;              /* NULL: all are of one state. Use specimen_set_moisture */
    uint8_t *result;                /* of trials; NULL when no row has one */
    uint16_t *kind;                 /* index into kinds; NULL: all of the first one, if any is told */
    uint16_t *flags;
    double *age_days;               /* NaN = not given; NULL: all are of one age. Use specimen_set_age */
    int32_t *cast_on;               /* as in set_batch; NULL: all rows of a batch are of one day. Use specimen_set_cast_on */
    double *value[PROPERTY_COUNT];  /* base units, NaN = not available */
    double *further[FURTHER_COUNT]; /* likewise; NULL when no row has it */
    uint32_t *id;                   /* NULL: all are numbers that rise. Use specimen_set_id */
    struct set_run *runs;           /* rising: where the rows stand; use specimen_set_place */
    size_t n_runs;
    struct specimen_kind *kinds;    /* those met; the size is that of the first one */
    size_t n_kinds;
    struct set_mix *mixes;
    size_t n_mixes;
    struct set_batch *batches;
    size_t n_batches;
    char **aggregates;
    size_t n_aggregates;
    char **paths;
    size_t n_paths;
    bool has_one_age;               /* as long as age_days is NULL, one_age_days, NaN = not given, is the age of all; false: none is known */
    double one_age_days;
    enum moisture one_moisture;     /* likewise, as long as moisture is NULL */
    bool has_aggregate_column, has_fraction;
    bool has_batch_column;          /* with a batch in some cell */
    size_t n_batch_assumed;         /* rows that count with a batch for want of one of their own */
    bool us_units;                  /* the first measured column was in a US unit */
    size_t n_set_aside;
    uint64_t fingerprint;           /* of all bytes read, order of files included, if it was asked for */
    struct set_store *store;        /* private: capacities, text pool, look-up tables */
};

struct specimen_set_settings {
    const struct column_map *maps;
    size_t n_maps;
    const char *set_aside_path;     /* NULL: strict */
    const struct mix_list *mixes;   /* NULL: no mixes file */
    bool fingerprint;               /* wanted */
};

/*
 * Reads specimen files (columns of docs/files.md) in order into one set.
 * Adds every problem with its place; duplicate specimen ids, the same file
 * twice, a mix with two fractions or two aggregates are errors. A row without
 * a batch counts as a batch of its own where its file tells none, else with the
 * nearest batch of its mix (docs/methods/random-batch.md), after a doubt.
 * With set_aside_path bad rows go there whole, with place and reason added
 * in front, and the rest is used.
 * STATUS_INPUT when errors remain; STATUS_TOO_FEW when no row is left.
 */
enum status specimen_set_read(const char *const *paths, size_t n_paths,
                              const struct specimen_set_settings *settings,
                              struct specimen_set *set, struct problem_list *problems);
void specimen_set_release(struct specimen_set *set);

/*
 * Takes the other rows out (wanted: n). For showing a part: mixes, batches and
 * their counts stay as they were read, and nothing more can be read into the
 * set. False when memory is out; the set is then as before.
 */
bool specimen_set_keep(struct specimen_set *set, const bool *wanted);

/* Index of the mix of a row. */
static inline uint32_t specimen_set_mix(const struct specimen_set *set, size_t i)
{
    return set->batches[set->batch[i]].mix;
}

/* Where the rows end that follow this one, before `to`, and are of its batch: most batches stand together. */
static inline size_t specimen_set_batch_end(const struct specimen_set *set, size_t from, size_t to)
{
    size_t end = from + 1;
    while (end < to && set->batch[end] == set->batch[from])
        end++;
    return end;
}

/* Room for the digits of a name that is a number: such a name lies there. */
struct name_room {
    char digits[12];
};
/* The id of a row; "row 7" when line 7 of its file gives none. */
const char *specimen_set_id(const struct specimen_set *set, size_t i, struct name_room *room);
/* The name of a batch; "" when its row had none. */
const char *specimen_set_batch_name(const struct specimen_set *set, size_t batch, struct name_room *room);

static inline enum moisture specimen_set_moisture(const struct specimen_set *set, size_t i)
{
    return set->moisture ? (enum moisture)set->moisture[i] : set->one_moisture;
}

/* NaN and INT32_MIN when not given. */
static inline double specimen_set_age(const struct specimen_set *set, size_t i)
{
    return set->age_days ? set->age_days[i] : set->has_one_age ? set->one_age_days : NAN;
}
static inline int32_t specimen_set_cast_on(const struct specimen_set *set, size_t i)
{
    return set->cast_on ? set->cast_on[i] : set->batches[set->batch[i]].cast_on;
}

/* Where a row stands: index of the path it was read from, and its line there, 0 when it was not read. */
size_t specimen_set_file(const struct specimen_set *set, size_t i);
size_t specimen_set_line(const struct specimen_set *set, size_t i);
struct place specimen_set_place(const struct specimen_set *set, size_t i);
/* What the file of a row calls a column (by the name of its rule); NULL when it has none, or the row was not read. */
const char *specimen_set_heading(const struct specimen_set *set, size_t i, const char *column);

double specimen_set_value(const struct specimen_set *set, size_t i, enum property property);
/* Index of the kind of a row, and the kind, by index or by row; all unknown in a set that tells none. */
static inline size_t specimen_set_kind_index(const struct specimen_set *set, size_t i)
{
    return set->kind ? set->kind[i] : 0;
}
struct specimen_kind specimen_set_kind_at(const struct specimen_set *set, size_t index);
static inline struct specimen_kind specimen_set_kind(const struct specimen_set *set, size_t i)
{
    return specimen_set_kind_at(set, specimen_set_kind_index(set, i));
}
double specimen_set_further(const struct specimen_set *set, size_t i, enum further further);

/* Column rules of specimens.csv (also used by record and by help). */
extern const struct column_rule specimen_rules[];
extern const size_t n_specimen_rules;

#endif
