#ifndef SPECIMEN_FRESH_LIST_H
#define SPECIMEN_FRESH_LIST_H

#include "base/problem.h"
#include "specimen/specimen_set.h"

#include <stdbool.h>
#include <stddef.h>

/* What was measured of one batch while it was fresh, and what follows. NaN = not given, or not to be had. */
struct fresh_batch {
    char *batch, *mix;              /* mix "" = not told */
    size_t line;
    double mass_full_kg, mass_empty_kg, measure_m3;
    double batch_kg;                /* everything that went into the mixer, water included */
    double design_m3, air_free_m3;  /* air_free: volume of the same batch without air */
    double cement_kg, fine_dry_kg, coarse_dry_kg;
    double air_measured_pct;        /* by another method */
    /* results: specimen/fresh.h, and the oven-dry density of density.h */
    double density_kg_m3, yield_m3, relative_yield, cement_content_kg_m3, air_pct, oven_dry_kg_m3;
    /* by fresh_list_match */
    uint32_t set_mix, set_batch;    /* FRESH_NOT_FOUND */
    bool air_doubtful;              /* light aggregate may have drunk water */
};
#define FRESH_NOT_FOUND UINT32_MAX

struct fresh_list {
    char *path;
    struct fresh_batch *items;
    size_t n_items;
    const struct specimen_set *set; /* by fresh_list_match, borrowed; NULL before */
    bool us_units;                  /* the first density or mass of the file is in a US unit */
};

/*
 * Reads tests of fresh concrete, a row a batch: docs/files.md. Computes what
 * the row allows. On failure the list is empty.
 * Errors: a measure full that is not heavier than empty, part of what the
 * density needs, parts that weigh more than the whole batch, a ready density
 * that differs from the computed one by more than 1 %, a batch twice.
 * Doubts: implausible density, relative yield or air. Notices: what cannot be
 * computed because the mass of the batch is missing.
 * STATUS_INPUT with all problems; STATUS_IO; STATUS_MEMORY
 * Source: docs/methods/fresh-density.md
 */
enum status fresh_list_read(const char *path, struct fresh_list *list, struct problem_list *problems);

/*
 * Finds each batch in the set, by its name within its mix. A batch whose mix is
 * not told must have a name of its own. Air is doubtful unless the mix is known
 * to hold no light aggregate.
 * Error: a name that batches of several mixes have. Notice: no such batch.
 * STATUS_INPUT when an error was added.
 */
enum status fresh_list_match(struct fresh_list *list, const struct specimen_set *set, struct problem_list *problems);
void fresh_list_release(struct fresh_list *list);

#endif
