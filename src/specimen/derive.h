#ifndef SPECIMEN_DERIVE_H
#define SPECIMEN_DERIVE_H

#include "specimen/specimen.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <string.h>

/* One run of specimen_derive, handed from step to step. */
struct derivation {
    struct specimen *specimen;
    struct problem_list *problems;
    enum shape shape;     /* as given, or as the sizes and the loading leave no doubt about */
    enum loading loading; /* as given, or the usual one for the shape */
    double length_mm, width_mm, height_mm; /* a cube's missing sides filled in */
    unsigned ready;       /* bit per property: given ready and not computed */
    unsigned known;       /* bit per property: has a value, ready or computed */
    bool ordinary;        /* every measure that is given is plausible, so there is nothing to say about any by itself */
};

/* Place of a column of this specimen, named by its rule. */
#define AT_COLUMN(specimen, name) (&(struct place){(specimen)->path, (specimen)->line, (name)})

/* A measured number of a specimen: where it is kept and what it may be. */
struct measure {
    const char *column;
    size_t offset;
    const char *unit;
    bool zero_allowed;
    double least, most; /* plausible */
    const char *question; /* asked outside that */
};
extern const struct measure specimen_measures[];
extern const size_t n_specimen_measures;

static inline double measure_value(const struct specimen *specimen, const struct measure *measure)
{
    double value;
    memcpy(&value, (const char *)specimen + measure->offset, sizeof value);
    return value;
}

/* "12.5 mm" for messages; masses below 1 kg in g, loads from 1000 N in kN. Returns out. */
#define SHOWN_SIZE 48
const char *show_with_unit(double value, const char *unit, char out[SHOWN_SIZE]);

/* What is left of derivation_settle when the value is infinite or was given ready. */
void derivation_settle_odd(struct derivation *run, enum property property, double computed, const char *column);

/*
 * Takes a computed property: out of range, or unlike the ready value, is an
 * error. NaN is nothing computed. column is the measurement to blame.
 */
static inline void derivation_settle(struct derivation *run, enum property property, double computed, const char *column)
{
    double *value = &run->specimen->value[property];
    if (isfinite(computed) && isnan(*value)) {
        *value = computed;
        run->known |= 1u << property;
    } else if (!isnan(computed))
        derivation_settle_odd(run, property, computed, column);
}

/* Adds the error that a value which `purpose` needs is missing. False. */
bool derivation_lacks(struct derivation *run, const char *column, const char *purpose);

/* Adds an error when a value that `purpose` needs is absent. True when it is there. */
static inline bool derivation_needs(struct derivation *run, double value, const char *column, const char *purpose)
{
    return !isnan(value) || derivation_lacks(run, column, purpose);
}

void find_impossible(struct derivation *run);       /* errors that lie in single values and pairs of masses */
void derive_age(struct derivation *run);
void derive_absorption(struct derivation *run);     /* only where an oven-dry mass is given */
void derive_density(struct derivation *run);
void derive_further(struct derivation *run);        /* after density: a ready oven-dry one is taken over */
void derive_strength(struct derivation *run);       /* after density: the length correction asks for it */
void find_doubtful_measures(struct derivation *run); /* only where they are not all ordinary */
void find_doubtful_results(struct derivation *run); /* only where no error was found */
void find_doubtful_further(struct derivation *run); /* likewise, and where an oven-dry mass is given */

/* Mass in air in the state in which the specimen went under water, kg. */
double mass_put_under_water_kg(const struct specimen *specimen);

/* Volume by the specimen's sizes, m3; NaN when they do not all stand. */
double volume_by_sizes_m3(const struct derivation *run);

#endif
