#ifndef SPECIMEN_SPECIMEN_H
#define SPECIMEN_SPECIMEN_H

#include "base/problem.h"
#include "specimen/quantity.h"

#include <stddef.h>

enum shape { SHAPE_UNKNOWN, SHAPE_CUBE, SHAPE_CYLINDER, SHAPE_BEAM, SHAPE_SLAB, SHAPE_CORE, SHAPE_COUNT };
enum loading { LOADING_UNKNOWN, LOADING_AXIAL, LOADING_CENTRE_POINT, LOADING_THIRD_POINT, LOADING_SPLITTING, LOADING_COUNT };
enum moisture { MOISTURE_UNKNOWN, MOISTURE_AS_CAST, MOISTURE_SATURATED, MOISTURE_AIR_DRY, MOISTURE_OVEN_DRY, MOISTURE_COUNT };
enum trial_result { RESULT_NONE, RESULT_PASS, RESULT_FAIL };

/* Words as typed in files and shown; unknown word gives the _UNKNOWN value. */
const char *shape_word(enum shape shape);
const char *loading_word(enum loading loading);
const char *moisture_word(enum moisture moisture);
enum shape shape_find(const char *word);       /* also "prism" for beam */
enum loading loading_find(const char *word);
enum moisture moisture_find(const char *word); /* blanks, '-' and '_' alike; "equilibrium" = air-dry, "ssd" = saturated */

enum specimen_flag {
    FLAG_LENGTH_CORRECTED = 1 << 0,    /* length/diameter correction applied */
    FLAG_CORRECTION_UNPROVED = 1 << 1, /* ... below 1600 kg/m3, where it is not validated */
    FLAG_FRACTURE_OUTSIDE = 1 << 2,    /* third-point: fracture just outside the middle third */
    FLAG_FRACTURE_DISCARD = 1 << 3,    /* more than 5 % of span outside: no strength */
    FLAG_NO_BATCH = 1 << 4,            /* counts as its own batch */
    FLAG_DOUBTFUL_VALUE = 1 << 5,      /* something about it was asked: docs/methods/plausibility.md */
    FLAG_OUTLIER = 1 << 6,             /* named by an outlier test, never removed */
    FLAG_READY_VALUE = 1 << 7,         /* some property given ready, not computed */
    FLAG_RANGE_WIDE = 1 << 8,          /* range within its batch beyond the precision limit */
    FLAG_BATCH_ASSUMED = 1 << 9        /* its batch is not told: it counts with one that is */
};
#define FLAG_KINDS 10
/* Short word for one flag bit, e.g. "length-corrected". */
const char *flag_word(unsigned flag);
/* What it says of a specimen, in plain words. */
const char *flag_meaning(unsigned flag);

/* Kinds of units that a specimen's numbers were typed in. */
enum typed_unit { TYPED_LENGTH, TYPED_MASS, TYPED_FORCE, TYPED_DENSITY, TYPED_STRESS, TYPED_COUNT };

/* Results beside the properties: shown, but neither fitted nor demanded. Base units kg/m3 and per cent. */
enum further {
    FURTHER_OVEN_DRY_DENSITY,    /* ASTM C567 or by sizes: docs/methods/density.md */
    FURTHER_ABSORPTION_BOILED,   /* these five ASTM C642: docs/methods/absorption.md */
    FURTHER_BULK_DRY,
    FURTHER_BULK_IMMERSED,
    FURTHER_BULK_BOILED,
    FURTHER_APPARENT,
    FURTHER_COUNT
};
struct further_row {
    const char *words;    /* "bulk density, dry" */
    const char *json_key; /* "bulk_density_dry_kg_m3" */
    enum property like;   /* has the same units */
};
const struct further_row *further_row(enum further further);

/*
 * One specimen as measured. Lengths mm, masses kg, loads N, NaN = not given.
 * Text is borrowed from whoever filled it.
 */
struct specimen {
    const char *path;
    size_t line;
    const char *id, *mix, *batch, *aggregate, *note; /* "" when absent */
    double aggregate_fraction;                       /* 0 to 1 */
    enum shape shape;
    enum loading loading;
    enum moisture moisture;
    enum trial_result result;
    double length_mm, width_mm, height_mm, diameter_mm, span_mm;
    double break_load_n, fracture_from_support_mm;
    double mass_kg, mass_submerged_kg, mass_saturated_kg, mass_oven_dry_kg, mass_boiled_kg;
    double sinker_submerged_kg; /* apparent mass of the sinker alone in water, for floating specimens */
    double age_days;
    long cast_on, tested_on; /* days since 1970-01-01, LONG_MIN = not given */
    double value[PROPERTY_COUNT]; /* ready values in, all properties out */
    const struct unit *typed[TYPED_COUNT]; /* the unit last met of each kind, for questions; NULL: none told */
    double further[FURTHER_COUNT]; /* out */
    unsigned known, further_known; /* out: a bit for each of value[] and of further[] that is there */
    unsigned flags;
};

/* Sets every number to NaN, dates to LONG_MIN, texts to "". */
void specimen_clear(struct specimen *specimen);

/*
 * Computes every property that the measurements allow, into value[] and
 * flags, with the standards' formulas (docs/methods).
 *
 * Density: `mass` (in the state that moisture names) over the volume by
 * displacement in water of 998 kg/m3 when mass_submerged is given, else over
 * the volume by sizes. Without `mass` the oven-dry mass, else the saturated one
 * is taken, unless moisture names another state; moisture is then filled in.
 * Strength: by shape and loading. Usual loading: axial for cube, cylinder and
 * core, third-point for a beam, centre-point for a slab. A cube's missing sides
 * equal those given. Third-point without fracture_from_support counts as broken
 * inside the middle third. Shape unknown: a diameter makes a cylinder.
 * Also fills age_days from the dates, the shape when there is no doubt about
 * it, and further[].
 *
 * Errors (status STATUS_INPUT; place.column is the name of the column rule): a
 * ready value that differs from the computed one by more than its rounding
 * (both 1 % and one printed step, the coarser of SI and US); impossible values
 * and combinations (zero or negative sizes, masses, loads; saturated below
 * oven-dry; tested before cast; length under one diameter; a slab under axial
 * load; a size that a break_load needs and that is missing).
 * Doubts (implausible values) ask and never alter. Notices say why a result
 * stays absent. Returns false when any error was added.
 */
bool specimen_derive(struct specimen *specimen, struct problem_list *problems);

/* The loading that is told, else the usual one of the shape. */
enum loading specimen_loading(const struct specimen *specimen, enum shape shape);

#endif
