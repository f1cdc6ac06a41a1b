#include "specimen/derive.h"

#include "base/number.h"

#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* Sizes: 5 mm to 3 m. Masses and loads are judged by the density and strength they give. */
const struct measure specimen_measures[] = {
    {"length", offsetof(struct specimen, length_mm), "mm", false, 5, 3000, "millimetres, centimetres, metres or inches?"},
    {"width", offsetof(struct specimen, width_mm), "mm", false, 5, 3000, "millimetres, centimetres, metres or inches?"},
    {"height", offsetof(struct specimen, height_mm), "mm", false, 5, 3000, "millimetres, centimetres, metres or inches?"},
    {"diameter", offsetof(struct specimen, diameter_mm), "mm", false, 5, 1000, "millimetres, centimetres, metres or inches?"},
    {"span", offsetof(struct specimen, span_mm), "mm", false, 20, 5000, "millimetres, centimetres, metres or inches?"},
    {"break_load", offsetof(struct specimen, break_load_n), "N", false, 1, 1e8, "newtons or kilonewtons?"},
    {"fracture_from_support", offsetof(struct specimen, fracture_from_support_mm), "mm", true, 0, 2500,
     "millimetres, centimetres, metres or inches?"},
    {"mass", offsetof(struct specimen, mass_kg), "kg", false, 0.0005, 2000, "grams or kilograms?"},
    {"mass_submerged", offsetof(struct specimen, mass_submerged_kg), "kg", false, 0.0001, 2000, "grams or kilograms?"},
    {"mass_saturated", offsetof(struct specimen, mass_saturated_kg), "kg", false, 0.0005, 2000, "grams or kilograms?"},
    {"mass_oven_dry", offsetof(struct specimen, mass_oven_dry_kg), "kg", false, 0.0005, 2000, "grams or kilograms?"},
    {"mass_boiled", offsetof(struct specimen, mass_boiled_kg), "kg", false, 0.0005, 2000, "grams or kilograms?"},
    {"sinker_submerged", offsetof(struct specimen, sinker_submerged_kg), "kg", false, 0.0001, 2000, "grams or kilograms?"},
    {"age", offsetof(struct specimen, age_days), "days", true, 0, 5 * 365.25, "is that days?"},
};
const size_t n_specimen_measures = sizeof specimen_measures / sizeof *specimen_measures;

void specimen_clear(struct specimen *specimen)
{
    *specimen = (struct specimen){.id = "", .mix = "", .batch = "", .aggregate = "", .note = ""};
    specimen->aggregate_fraction = NAN;
    for (size_t i = 0; i < n_specimen_measures; i++) {
        const double absent = NAN;
        memcpy((char *)specimen + specimen_measures[i].offset, &absent, sizeof absent);
    }
    for (size_t i = 0; i < PROPERTY_COUNT; i++)
        specimen->value[i] = NAN;
    for (size_t i = 0; i < FURTHER_COUNT; i++)
        specimen->further[i] = NAN;
    specimen->cast_on = specimen->tested_on = LONG_MIN;
}

/* "1.3100" reads as 1.31, "2.1000e+12" as 2.1e+12. */
static void drop_end_zeros(char *number)
{
    char *exponent = strchr(number, 'e'), *end = exponent ? exponent : number + strlen(number), *kept = end;
    if (!strchr(number, '.'))
        return;
    while (kept[-1] == '0')
        kept--;
    if (kept[-1] == '.')
        kept--;
    memmove(kept, end, strlen(end) + 1);
}

const char *show_with_unit(double value, const char *unit, char out[SHOWN_SIZE])
{
    char number[32];
    if (strcmp(unit, "kg") == 0 && value != 0 && fabs(value) < 1) {
        value *= 1000;
        unit = "g";
    } else if (strcmp(unit, "N") == 0 && fabs(value) >= 1000) {
        value /= 1000;
        unit = "kN";
    }
    number_show_significant(value, 5, number, sizeof number);
    drop_end_zeros(number);
    snprintf(out, SHOWN_SIZE, "%s%s%s", number, unit[0] == '\0' ? "" : " ", unit);
    return out;
}

bool derivation_lacks(struct derivation *run, const char *column, const char *purpose)
{
    problem_list_add(run->problems, SEVERITY_ERROR, STATUS_INPUT, AT_COLUMN(run->specimen, column),
                     "is missing: %s needs it", purpose);
    return false;
}

/* Whether a ready value is as near as its own rounding and 1 % allow; one printed step is the coarser of SI and US. */
static bool ready_agrees(const struct property_row *row, double ready, double computed)
{
    const double us_step = row->us_step * unit_find(row->units, row->us_unit)->factor;
    const double allowed = fmax(0.01 * fabs(computed), fmax(row->si_step, us_step));
    return fabs(ready - computed) <= allowed;
}

void derivation_settle_odd(struct derivation *run, enum property property, double computed, const char *column)
{
    struct specimen *specimen = run->specimen;
    const struct property_row *row = property_row(property);
    const double ready = specimen->value[property];
    char shown_ready[SHOWN_SIZE], shown_computed[SHOWN_SIZE];
    if (isinf(computed)) {
        problem_list_add(run->problems, SEVERITY_ERROR, STATUS_INPUT, AT_COLUMN(specimen, column),
                         "puts the %s out of range: check the values and their units", row->words);
        return;
    }
    run->ready &= ~(1u << property);
    specimen->value[property] = computed;
    if (ready_agrees(row, ready, computed))
        return;
    problem_list_add(run->problems, SEVERITY_ERROR, STATUS_INPUT, AT_COLUMN(specimen, row->name),
                     "'%s' does not agree with %s computed from the measurements: "
                     "mend one of them, or leave this cell empty",
                     show_with_unit(ready, row->si_unit, shown_ready),
                     show_with_unit(computed, row->si_unit, shown_computed));
}

/* A round specimen is a cylinder and a bent one a beam, whatever it is called. */
static enum shape effective_shape(const struct specimen *specimen)
{
    if (specimen->shape != SHAPE_UNKNOWN)
        return specimen->shape;
    if (!isnan(specimen->diameter_mm))
        return SHAPE_CYLINDER;
    const bool bent = specimen->loading == LOADING_CENTRE_POINT || specimen->loading == LOADING_THIRD_POINT;
    return bent ? SHAPE_BEAM : SHAPE_UNKNOWN;
}

static double first_given(double a, double b, double c)
{
    return !isnan(a) ? a : !isnan(b) ? b : c;
}

/* Unrolled, so that every limit is a constant: a fifth of the instructions of the loop. */
static bool measures_ordinary(const struct specimen *specimen)
{
#pragma GCC unroll 14
    for (size_t i = 0; i < sizeof specimen_measures / sizeof *specimen_measures; i++) {
        const double value = measure_value(specimen, &specimen_measures[i]);
        if (value < specimen_measures[i].least || value > specimen_measures[i].most)
            return false;
    }
    return true;
}

static unsigned properties_given(const struct specimen *specimen)
{
    unsigned given = 0;
#pragma GCC unroll 6
    for (unsigned i = 0; i < PROPERTY_COUNT; i++)
        if (!isnan(specimen->value[i]))
            given |= 1u << i;
    return given;
}

static void derivation_begin(struct derivation *run, struct specimen *specimen, struct problem_list *problems)
{
    const enum shape shape = effective_shape(specimen);
    const unsigned given = properties_given(specimen);
    *run = (struct derivation){.specimen = specimen, .problems = problems, .shape = shape, .loading = specimen_loading(specimen, shape),
                               .length_mm = specimen->length_mm, .width_mm = specimen->width_mm, .height_mm = specimen->height_mm,
                               .ready = given, .known = given, .ordinary = measures_ordinary(specimen)};
    if (shape == SHAPE_CUBE) {
        run->length_mm = first_given(specimen->length_mm, specimen->width_mm, specimen->height_mm);
        run->width_mm = first_given(specimen->width_mm, specimen->length_mm, specimen->height_mm);
        run->height_mm = first_given(specimen->height_mm, run->length_mm, run->width_mm);
    }
}

bool specimen_derive(struct specimen *specimen, struct problem_list *problems)
{
    const size_t errors_before = problems->n_errors, doubts_before = problems->n_doubts;
    struct derivation run;
    derivation_begin(&run, specimen, problems);
    find_impossible(&run);
    derive_age(&run);
    if (!run.ordinary)
        find_doubtful_measures(&run);
    if (!isnan(specimen->mass_oven_dry_kg))
        derive_absorption(&run);
    derive_density(&run);
    derive_further(&run);
    derive_strength(&run);
    specimen->shape = run.shape;
    specimen->known = run.known;
    if (specimen->batch[0] == '\0')
        specimen->flags |= FLAG_NO_BATCH;
    if (run.ready != 0)
        specimen->flags |= FLAG_READY_VALUE;
    const bool good = problems->n_errors == errors_before;
    if (good)
        find_doubtful_results(&run);
    if (problems->n_doubts != doubts_before)
        specimen->flags |= FLAG_DOUBTFUL_VALUE;
    return good;
}
