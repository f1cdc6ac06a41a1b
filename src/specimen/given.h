#ifndef SPECIMEN_GIVEN_H
#define SPECIMEN_GIVEN_H

#include "specimen/specimen.h"

#include <string.h>

/*
 * All that specimen_derive may change of what was given, to have a specimen as it was measured once more without copying the whole
 * (further[] is worked out anew each time).
 */
struct given {
    enum shape shape;
    enum moisture moisture;
    unsigned flags;
    double age_days, value[PROPERTY_COUNT];
};

static inline void given_keep(struct given *given, const struct specimen *specimen)
{
    given->shape = specimen->shape;
    given->moisture = specimen->moisture;
    given->flags = specimen->flags;
    given->age_days = specimen->age_days;
    memcpy(given->value, specimen->value, sizeof given->value);
}

static inline void given_restore(const struct given *given, struct specimen *specimen)
{
    specimen->shape = given->shape;
    specimen->moisture = given->moisture;
    specimen->flags = given->flags;
    specimen->age_days = given->age_days;
    memcpy(specimen->value, given->value, sizeof given->value);
}

#endif
