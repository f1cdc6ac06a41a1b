#include "specimen/derive.h"

#include "specimen/density.h"
#include "specimen/slips.h"

#include <math.h>
#include <stdio.h>

/* A slip that would explain an implausible value: times factor it is plausible. */
struct slip {
    double factor;
    const char *question;
};

static const struct slip density_ready_slips[] = {
    {1e3, "g/cm3 or kg/m3?"},
    {16.018463373960138, "lb/ft3 or kg/m3?"},
    {0, NULL},
};
static const struct slip strength_ready_slips[] = {
    {1e-3, "psi, kPa or MPa?"},
    {1e3, "kPa or MPa?"},
    {0, NULL},
};
static const struct slip percent_slips[] = {
    {100, "is it a fraction, where 1 is 100 %?"},
    {0, NULL},
};

/* A ready value has no measurements to look at, only its unit. */
static const char *question_about_ready(enum property property, double value)
{
    const struct slip *slip = percent_slips;
    if (property == PROPERTY_DENSITY)
        slip = density_ready_slips;
    else if (property_row(property)->units == units_stress)
        slip = strength_ready_slips;
    for (; slip->question; slip++)
        if (property_plausible(property, value * slip->factor))
            return slip->question;
    return "check the measurements and their units";
}

/* The measurement a computed property leans on most. */
static const char *column_behind(const struct specimen *specimen, enum property property)
{
    if (property == PROPERTY_DENSITY)
        return !isnan(specimen->mass_kg)       ? "mass"
               : specimen->moisture == MOISTURE_OVEN_DRY ? "mass_oven_dry"
                                                         : "mass_saturated";
    if (property == PROPERTY_ABSORPTION)
        return "mass_saturated";
    return property == PROPERTY_VOIDS ? "mass_boiled" : "break_load";
}

static void doubt_property(struct derivation *run, enum property property, double value)
{
    const struct specimen *specimen = run->specimen;
    const struct property_row *row = property_row(property);
    const bool computed = !(run->ready & (1u << property));
    char shown[SHOWN_SIZE], question[200];
    const struct unit *unit = slip_shown_unit(specimen, property, computed);
    show_with_unit(value / unit->factor, unit->symbol, shown);
    if (computed && row->units != units_percent)
        slip_question(specimen, property, value, question, sizeof question);
    else
        snprintf(question, sizeof question, "%s", question_about_ready(property, value));
    if (computed)
        problem_list_add(run->problems, SEVERITY_DOUBT, STATUS_OK,
                         AT_COLUMN(specimen, column_behind(specimen, property)), "makes the %s %s: %s",
                         row->words, shown, question);
    else
        problem_list_add(run->problems, SEVERITY_DOUBT, STATUS_OK, AT_COLUMN(specimen, row->name),
                         "'%s' is not likely: %s", shown, question);
}

static void judge_property(struct derivation *run, enum property property)
{
    const double value = run->specimen->value[property];
    if (!property_plausible(property, value))
        doubt_property(run, property, value);
}

void find_doubtful_measures(struct derivation *run)
{
    const struct specimen *specimen = run->specimen;
    char shown[SHOWN_SIZE];
    for (size_t i = 0; i < n_specimen_measures; i++) {
        const struct measure *measure = &specimen_measures[i];
        const double value = measure_value(specimen, measure);
        if (!(value > 0) || (value >= measure->least && value <= measure->most))
            continue;
        problem_list_add(run->problems, SEVERITY_DOUBT, STATUS_OK, AT_COLUMN(specimen, measure->column),
                         "'%s' is very %s: %s", show_with_unit(value, measure->unit, shown),
                         value < measure->least ? "small" : "large", measure->question);
    }
}

/* Difference of two measurements of one thing, per cent of their mean; 0 when one is absent. */
static double difference_pct(double a, double b)
{
    const double difference = 200 * fabs(a - b) / (a + b);
    return isnan(difference) ? 0 : difference;
}

static void doubt_cube_sides(struct derivation *run)
{
    if (run->shape != SHAPE_CUBE || (run->length_mm == run->width_mm && run->width_mm == run->height_mm))
        return;
    const double least = fmin(run->length_mm, fmin(run->width_mm, run->height_mm));
    const double most = fmax(run->length_mm, fmax(run->width_mm, run->height_mm));
    if (most > 1.1 * least)
        problem_list_add(run->problems, SEVERITY_DOUBT, STATUS_OK, AT_COLUMN(run->specimen, "shape"),
                         "is 'cube', but the sides differ by %.0f %%: a beam, or a slip in a size?",
                         100 * (most - least) / least);
}

static void doubt_masses(struct derivation *run)
{
    const struct specimen *specimen = run->specimen;
    char shown[SHOWN_SIZE], shown_other[SHOWN_SIZE];
    if (specimen->mass_boiled_kg < specimen->mass_saturated_kg)
        problem_list_add(run->problems, SEVERITY_DOUBT, STATUS_OK, AT_COLUMN(specimen, "mass_boiled"),
                         "'%s' is less than mass_saturated, '%s': were the two exchanged?",
                         show_with_unit(specimen->mass_boiled_kg, "kg", shown),
                         show_with_unit(specimen->mass_saturated_kg, "kg", shown_other));
    if (specimen->moisture == MOISTURE_OVEN_DRY &&
        difference_pct(specimen->mass_kg, specimen->mass_oven_dry_kg) > 0.5)
        problem_list_add(run->problems, SEVERITY_DOUBT, STATUS_OK, AT_COLUMN(specimen, "moisture"),
                         "is 'oven-dry', but mass and mass_oven_dry differ by more than 0.5 %%: "
                         "in which state was mass weighed?");
    if (isnan(specimen->mass_submerged_kg) && !isnan(specimen->sinker_submerged_kg))
        problem_list_add(run->problems, SEVERITY_DOUBT, STATUS_OK, AT_COLUMN(specimen, "sinker_submerged"),
                         "is given without mass_submerged and was not used");
}

/* A sinker left in, or a size mistaken, shows as two volumes that differ. */
static void doubt_volumes(struct derivation *run)
{
    const struct specimen *specimen = run->specimen;
    if (isnan(specimen->mass_submerged_kg) || isnan(specimen->mass_kg) ||
        (run->ready & (1u << PROPERTY_DENSITY)) != 0)
        return;
    const double displaced_m3 = specimen->mass_kg / specimen->value[PROPERTY_DENSITY];
    const double difference = difference_pct(displaced_m3, volume_by_sizes_m3(run));
    if (difference > 10)
        problem_list_add(run->problems, SEVERITY_DOUBT, STATUS_OK, AT_COLUMN(specimen, "mass_submerged"),
                         "gives a volume %.0f %% away from that by the sizes: was a sinker counted, or a size mistaken?",
                         difference);
}

void find_doubtful_results(struct derivation *run)
{
    for (unsigned left = run->known; left != 0; left &= left - 1)
        judge_property(run, (enum property)__builtin_ctz(left));
    doubt_cube_sides(run);
    doubt_masses(run);
    doubt_volumes(run);
    if (!isnan(run->specimen->mass_oven_dry_kg))
        find_doubtful_further(run);
}
