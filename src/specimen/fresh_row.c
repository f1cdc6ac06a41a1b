#include "specimen/fresh_row.h"

#include "specimen/density.h"
#include "specimen/derive.h"
#include "specimen/fresh.h"

#include <math.h>

/* A ready density may differ from the computed one by its rounding. */
#define READY_SHARE 0.01
#define WHOLE_BATCH 1.001 /* parts weighed one by one may come to a little more than the sum that was noted */

/* What fresh concrete can be: docs/methods/fresh-density.md. */
#define LEAST_DENSITY_KG_M3 150
#define MOST_DENSITY_KG_M3 3500
#define LEAST_RELATIVE_YIELD 0.7
#define MOST_RELATIVE_YIELD 1.4
#define LEAST_AIR_PCT (-1.0)
#define MOST_AIR_PCT 60

struct fresh_run {
    const struct recipe_file *file;
    const struct row *row;
    struct fresh_batch *batch;
};

/* Place of a column of this row, by the file's own heading when it has one. */
static struct place at(const struct fresh_run *run, enum fresh_rule rule)
{
    const struct column_binding *binding = &run->file->bindings[rule];
    return (struct place){ run->row->path, run->row->line, binding->index >= 0 ? binding->heading : run->file->rules[rule].name };
}

#define TELL(run, rule, severity, status, ...) do { \
        struct place place = at(run, rule); \
        problem_list_add((run)->file->problems, severity, status, &place, __VA_ARGS__); } while (0)

static bool needs(const struct fresh_run *run, enum fresh_rule rule, double value)
{
    if (isnan(value))
        TELL(run, rule, SEVERITY_ERROR, STATUS_INPUT, "is missing: the fresh density needs the measure full and empty, and its volume");
    return !isnan(value);
}

/* By the measure; NaN and true when nothing of it is told. */
static bool measured_density(const struct fresh_run *run, double *density)
{
    const struct fresh_batch *batch = run->batch;
    char full[SHOWN_SIZE], empty[SHOWN_SIZE];
    *density = NAN;
    if (isnan(batch->mass_full_kg) && isnan(batch->mass_empty_kg) && isnan(batch->measure_m3))
        return true;
    bool whole = needs(run, FRESH_MASS_FULL, batch->mass_full_kg);
    whole = needs(run, FRESH_MASS_EMPTY, batch->mass_empty_kg) && whole;
    whole = needs(run, FRESH_MEASURE, batch->measure_m3) && whole;
    if (whole && batch->mass_full_kg <= batch->mass_empty_kg) {
        TELL(run, FRESH_MASS_FULL, SEVERITY_ERROR, STATUS_INPUT, "'%s' is not more than the empty measure, '%s': were the two exchanged?",
             show_with_unit(batch->mass_full_kg, "kg", full), show_with_unit(batch->mass_empty_kg, "kg", empty));
        whole = false;
    }
    if (whole)
        *density = fresh_density_kg_m3(batch->mass_full_kg, batch->mass_empty_kg, batch->measure_m3);
    return whole;
}

static bool settle_density(const struct fresh_run *run)
{
    const double ready = run->batch->density_kg_m3;
    double computed;
    char shown[SHOWN_SIZE], shown_computed[SHOWN_SIZE];
    if (!measured_density(run, &computed))
        return false;
    if (isnan(computed) && isnan(ready)) {
        TELL(run, FRESH_BATCH, SEVERITY_ERROR, STATUS_INPUT,
             "no fresh density is told: give mass_measure_full, mass_measure_empty and measure_volume, or fresh_density");
        return false;
    }
    if (!isnan(computed))
        run->batch->density_kg_m3 = computed;
    if (isnan(computed) || isnan(ready) || fabs(ready - computed) <= fmax(READY_SHARE * computed, 1))
        return true;
    TELL(run, FRESH_DENSITY, SEVERITY_ERROR, STATUS_INPUT,
         "'%s' does not agree with %s computed from the measure: mend one of them, or leave this cell empty",
         show_with_unit(ready, "kg/m3", shown), show_with_unit(computed, "kg/m3", shown_computed));
    return false;
}

static double or_none(double value)
{
    return isnan(value) ? 0 : value;
}

/* Cement and dry aggregate are part of the batch. */
static bool check_parts(const struct fresh_run *run)
{
    const struct fresh_batch *batch = run->batch;
    const double parts_kg = or_none(batch->cement_kg) + or_none(batch->fine_dry_kg) + or_none(batch->coarse_dry_kg);
    char shown[SHOWN_SIZE], shown_parts[SHOWN_SIZE];
    if (isnan(batch->batch_kg) || parts_kg <= batch->batch_kg * WHOLE_BATCH)
        return true;
    TELL(run, FRESH_BATCH_MASS, SEVERITY_ERROR, STATUS_INPUT,
         "'%s' is less than its cement and dry aggregate, '%s': it counts everything that went into the mixer, water included",
         show_with_unit(batch->batch_kg, "kg", shown), show_with_unit(parts_kg, "kg", shown_parts));
    return false;
}

/* Says what cannot be computed for want of the batch's mass. */
static void explain_no_yield(const struct fresh_run *run)
{
    const struct fresh_batch *batch = run->batch;
    const bool wanted = !isnan(batch->design_m3) || !isnan(batch->air_free_m3) || !isnan(batch->cement_kg);
    if (isnan(batch->batch_kg) && wanted)
        TELL(run, FRESH_BATCH_MASS, SEVERITY_NOTICE, STATUS_OK,
             "is missing: without the mass of everything batched there is no yield, cement content or air");
}

static void compute(const struct fresh_run *run)
{
    struct fresh_batch *batch = run->batch;
    batch->yield_m3 = fresh_yield_m3(batch->batch_kg, batch->density_kg_m3);
    batch->relative_yield = fresh_relative_yield(batch->yield_m3, batch->design_m3);
    batch->cement_content_kg_m3 = fresh_cement_content_kg_m3(batch->cement_kg, batch->yield_m3);
    batch->air_pct = fresh_air_pct(batch->batch_kg / batch->air_free_m3, batch->density_kg_m3);
    batch->oven_dry_kg_m3 = density_oven_dry_calculated_kg_m3(batch->fine_dry_kg, batch->coarse_dry_kg, batch->cement_kg, batch->yield_m3);
}

static bool outside(double value, double least, double most)
{
    return value < least || value > most;
}

static void ask(const struct fresh_run *run)
{
    const struct fresh_batch *batch = run->batch;
    char shown[SHOWN_SIZE];
    const bool by_measure = !isnan(batch->measure_m3);
    if (outside(batch->density_kg_m3, LEAST_DENSITY_KG_M3, MOST_DENSITY_KG_M3))
        TELL(run, by_measure ? FRESH_MEASURE : FRESH_DENSITY, SEVERITY_DOUBT, STATUS_OK, "makes the fresh density %s: %s",
             show_with_unit(batch->density_kg_m3, "kg/m3", shown),
             by_measure ? "litres or cubic metres, grams or kilograms?" : "which unit?");
    else if (outside(batch->relative_yield, LEAST_RELATIVE_YIELD, MOST_RELATIVE_YIELD))
        TELL(run, FRESH_DESIGN, SEVERITY_DOUBT, STATUS_OK,
             "makes the batch yield %s times what it was designed for: litres or cubic metres, or was something not counted in batch_mass?",
             show_with_unit(batch->relative_yield, "", shown));
    if (outside(batch->air_pct, LEAST_AIR_PCT, MOST_AIR_PCT))
        TELL(run, FRESH_AIR_FREE, SEVERITY_DOUBT, STATUS_OK,
             "makes the air %s: is it the volume of this batch, with the particle densities of the aggregate?",
             show_with_unit(batch->air_pct, "%", shown));
}

bool fresh_row_derive(const struct recipe_file *file, const struct row *row, struct fresh_batch *batch)
{
    const struct fresh_run run = { file, row, batch };
    bool good = settle_density(&run);
    good = check_parts(&run) && good;
    explain_no_yield(&run);
    if (!good)
        return false;
    compute(&run);
    ask(&run);
    return true;
}
