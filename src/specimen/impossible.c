#include "specimen/derive.h"

#include "specimen/density.h"

#include <limits.h>
#include <math.h>

/* Constant mass is judged to 0.5 % (ASTM C567): closer masses may stand in either order. */
#define SAME_MASS_PCT 0.5

static void check_measure(struct derivation *run, const struct measure *measure)
{
    const double value = measure_value(run->specimen, measure);
    const char *advice = "leave the cell empty when it was not measured";
    char shown[SHOWN_SIZE];
    if (isnan(value) || (isfinite(value) && (value > 0 || (value == 0 && measure->zero_allowed))))
        return;
    if (measure->offset == offsetof(struct specimen, mass_submerged_kg))
        advice = "a specimen that floats is weighed with a sinker, and sinker_submerged given";
    problem_list_add(run->problems, SEVERITY_ERROR, STATUS_INPUT, AT_COLUMN(run->specimen, measure->column),
                     "'%s' is %s: %s", show_with_unit(value, measure->unit, shown),
                     measure->zero_allowed ? "negative" : "not above zero", advice);
}

static void check_measures(struct derivation *run)
{
    for (size_t i = 0; i < n_specimen_measures; i++)
        check_measure(run, &specimen_measures[i]);
}

static void check_ready(struct derivation *run, enum property property)
{
    const struct property_row *row = property_row(property);
    const bool percent = row->units == units_percent;
    const double value = run->specimen->value[property];
    const double most = property == PROPERTY_VOIDS ? 100 : HUGE_VAL;
    char shown[SHOWN_SIZE];
    if (isfinite(value) && (value > 0 || (percent && value == 0)) && value <= most)
        return;
    problem_list_add(run->problems, SEVERITY_ERROR, STATUS_INPUT, AT_COLUMN(run->specimen, row->name),
                     "'%s' is not possible: leave the cell empty when it was not measured",
                     show_with_unit(value, row->si_unit, shown));
}

static void check_fraction(struct derivation *run)
{
    const double fraction = run->specimen->aggregate_fraction;
    char shown[SHOWN_SIZE];
    if (isnan(fraction) || (fraction >= 0 && fraction <= 1))
        return;
    problem_list_add(run->problems, SEVERITY_ERROR, STATUS_INPUT, AT_COLUMN(run->specimen, "aggregate_fraction"),
                     fraction > 1 && fraction <= 100
                         ? "'%s' is above 1: for per cent write the heading as 'aggregate_fraction [%%]'"
                         : "'%s' is not between 0 and 1",
                     show_with_unit(fraction, "", shown));
}

/* A soaked or as-received specimen cannot weigh less than the same specimen dried. */
static void check_above_dry(struct derivation *run, double mass_kg, const char *column, double forgiven_pct)
{
    const double dry_kg = run->specimen->mass_oven_dry_kg;
    char shown[SHOWN_SIZE], shown_dry[SHOWN_SIZE];
    if (isnan(mass_kg) || mass_kg >= dry_kg * (1 - forgiven_pct / 100))
        return;
    problem_list_add(run->problems, SEVERITY_ERROR, STATUS_INPUT, AT_COLUMN(run->specimen, column),
                     "'%s' is less than mass_oven_dry, '%s': were the two exchanged?",
                     show_with_unit(mass_kg, "kg", shown), show_with_unit(dry_kg, "kg", shown_dry));
}

/* Under water every specimen weighs less than in air: else its volume would be nothing. */
static void check_above_submerged(struct derivation *run, double mass_kg, const char *column)
{
    const struct specimen *specimen = run->specimen;
    const double alone_kg = density_submerged_alone_kg(specimen->mass_submerged_kg, specimen->sinker_submerged_kg);
    char shown[SHOWN_SIZE], shown_air[SHOWN_SIZE];
    if (isnan(alone_kg) || isnan(mass_kg) || alone_kg < mass_kg)
        return;
    problem_list_add(run->problems, SEVERITY_ERROR, STATUS_INPUT, AT_COLUMN(specimen, "mass_submerged"),
                     "'%s' under water is not less than %s, '%s': was a sinker left in?",
                     show_with_unit(alone_kg, "kg", shown), column, show_with_unit(mass_kg, "kg", shown_air));
}

static void check_sizes_together(struct derivation *run)
{
    const struct specimen *specimen = run->specimen;
    char shown[SHOWN_SIZE], shown_other[SHOWN_SIZE];
    if (specimen->span_mm > run->length_mm)
        problem_list_add(run->problems, SEVERITY_ERROR, STATUS_INPUT, AT_COLUMN(specimen, "span"),
                         "'%s' is longer than the specimen, '%s'", show_with_unit(specimen->span_mm, "mm", shown),
                         show_with_unit(run->length_mm, "mm", shown_other));
    if (specimen->fracture_from_support_mm > specimen->span_mm / 2)
        problem_list_add(run->problems, SEVERITY_ERROR, STATUS_INPUT, AT_COLUMN(specimen, "fracture_from_support"),
                         "'%s' is more than half the span: measure from the nearer support",
                         show_with_unit(specimen->fracture_from_support_mm, "mm", shown));
}

void find_impossible(struct derivation *run)
{
    const struct specimen *specimen = run->specimen;
    if (!run->ordinary)
        check_measures(run);
    for (unsigned left = run->ready; left != 0; left &= left - 1)
        check_ready(run, (enum property)__builtin_ctz(left));
    check_fraction(run);
    if (!isnan(specimen->mass_oven_dry_kg)) {
        check_above_dry(run, specimen->mass_kg, "mass", SAME_MASS_PCT);
        check_above_dry(run, specimen->mass_saturated_kg, "mass_saturated", 0);
        check_above_dry(run, specimen->mass_boiled_kg, "mass_boiled", 0);
    }
    if (!isnan(specimen->mass_submerged_kg)) {
        check_above_submerged(run, specimen->mass_kg, "mass");
        check_above_submerged(run, specimen->mass_saturated_kg, "mass_saturated");
        check_above_submerged(run, specimen->mass_boiled_kg, "mass_boiled");
        check_above_submerged(run, specimen->mass_oven_dry_kg, "mass_oven_dry");
    }
    check_sizes_together(run);
}

void derive_age(struct derivation *run)
{
    struct specimen *specimen = run->specimen;
    if (specimen->cast_on == LONG_MIN || specimen->tested_on == LONG_MIN)
        return;
    if (specimen->tested_on < specimen->cast_on) {
        problem_list_add(run->problems, SEVERITY_ERROR, STATUS_INPUT, AT_COLUMN(specimen, "tested_on"),
                         "is %ld days before cast_on: were the two exchanged?", specimen->cast_on - specimen->tested_on);
        return;
    }
    const double days = (double)(specimen->tested_on - specimen->cast_on);
    char shown[SHOWN_SIZE];
    if (isnan(specimen->age_days)) {
        specimen->age_days = days;
        run->ordinary = false; /* nobody has looked at it yet */
    } else if (fabs(specimen->age_days - days) > fmax(1, 0.05 * days))
        problem_list_add(run->problems, SEVERITY_DOUBT, STATUS_OK, AT_COLUMN(specimen, "age"),
                         "'%s', but the dates are %.0f days apart: which is right?",
                         show_with_unit(specimen->age_days, "days", shown), days);
}
