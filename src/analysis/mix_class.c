#include "analysis/mix_class.h"

#include "analysis/row_filter.h"
#include "analysis/states.h"
#include "base/memory.h"
#include "specimen/density.h"

#include <math.h>

#define CLASS_AGE_DAYS 28
#define HEAVIEST_CLASS_KG_M3 2000 /* EN 206: above it concrete is not lightweight */
#define LIGHTEST_CLASS_KG_M3 800

/* Sums over the rows of one mix. */
struct mix_rows {
    size_t n, n_oven_dry, n_air_dry, n_density, n_strength;
    double oven_dry, air_dry, density;
    double age_days;
    bool shape_met, shapes_differ;
    enum shape shape;
};

static void add(double value, double *sum, size_t *n)
{
    if (isnan(value))
        return;
    *sum += value;
    ++*n;
}

static double mean_of(double sum, size_t n)
{
    return n ? sum / (double)n : NAN;
}

/* Densities may be taken at any age, but a young specimen in the air is not dry. */
static void sum_densities(const struct specimen_set *set, const struct selection *selection, struct mix_rows *rows)
{
    for (size_t i = 0; i < set->n; i++) {
        struct mix_rows *mix = &rows[specimen_set_mix(set, i)];
        const double density = specimen_set_value(set, i, PROPERTY_DENSITY), age_days = specimen_set_age(set, i);
        const bool of_age = isnan(selection->age_days) || isnan(age_days) || age_same(age_days, selection->age_days);
        mix->n++;
        add(specimen_set_further(set, i, FURTHER_OVEN_DRY_DENSITY), &mix->oven_dry, &mix->n_oven_dry);
        add(density, &mix->density, &mix->n_density);
        if (specimen_set_moisture(set, i) == MOISTURE_AIR_DRY && of_age)
            add(density, &mix->air_dry, &mix->n_air_dry);
    }
}

/* Shape and age of the specimens that the mean strength is of. */
static enum status look_at_broken(const struct specimen_set *set, const struct selection *selection, struct mix_rows *rows,
                                  struct problem *problem)
{
    struct selection everything = *selection;
    struct sample sample = { 0 };
    everything.n_aggregates = 0;
    if (!set->value[PROPERTY_COMPRESSIVE_STRENGTH])
        return STATUS_OK;
    enum status status = sample_take(set, &everything, SAMPLE_ALL, SAMPLE_ALL, PROPERTY_COMPRESSIVE_STRENGTH, SAMPLE_PREDICTOR_NONE,
                                     &sample, problem);
    for (size_t i = 0; status == STATUS_OK && i < sample.n; i++) {
        const size_t row = sample.row[i];
        struct mix_rows *mix = &rows[specimen_set_mix(set, row)];
        const enum shape shape = specimen_set_kind(set, row).shape;
        mix->shapes_differ |= mix->shape_met && shape != mix->shape;
        mix->shape_met = true;
        mix->shape = shape;
        mix->age_days = specimen_set_age(set, row);
        mix->n_strength++;
    }
    sample_release(&sample);
    return status == STATUS_TOO_FEW ? STATUS_OK : status;
}

static void class_density(struct mix_class *class)
{
    const double dry = class->dry_kg_m3;
    class->density_class = density_class_find(dry);
    class->why_no_density_class = class->density_class ? ""
        : isnan(dry) ? "the oven-dry density is not known"
        : dry < LIGHTEST_CLASS_KG_M3 ? "oven-dry below 800 kg/m3, where EN 206 has no class"
        : "oven-dry above 2000 kg/m3, which is not lightweight";
    class->conductivity_w_mk = dry <= HEAVIEST_CLASS_KG_M3 ? thermal_conductivity_w_mk(dry) : NAN;
    class->tension_factor = class->density_class ? lightweight_tension_factor(class->density_class->up_to_kg_m3) : NAN;
    class->modulus_factor = class->density_class ? lightweight_modulus_factor(dry) : NAN;
}

/* Drying only takes mass away: what weighs 2000 kg/m3 in any state is no heavier dry. */
static const char *why_not_light(const struct mix_class *class, const struct mix_rows *rows)
{
    const double dry = class->dry_kg_m3, any_state = mean_of(rows->density, rows->n_density);
    if (!isnan(dry))
        return class->density_class ? NULL : class->why_no_density_class;
    if (any_state < LIGHTEST_CLASS_KG_M3)
        return "below 800 kg/m3, where EN 206 has no class";
    return any_state <= HEAVIEST_CLASS_KG_M3 ? NULL : "the oven-dry density is not known, so the concrete may not be lightweight";
}

/* What keeps a mean strength from being held against the classes; NULL: nothing. */
static const char *why_not_comparable(const struct mix_class *class, const struct mix_rows *rows)
{
    if (rows->shapes_differ)
        return "specimens of several shapes are averaged";
    if (class->shape != SHAPE_CUBE && class->shape != SHAPE_CYLINDER)
        return class->shape == SHAPE_UNKNOWN ? "the shape of the specimens is not told" : "classes are of cubes and cylinders";
    if (isnan(class->age_days))
        return "the age is not told, and classes are of 28 days";
    return age_same(class->age_days, CLASS_AGE_DAYS) ? why_not_light(class, rows) : "classes are of 28 days";
}

static void class_strength(struct mix_class *class, const struct mix_rows *rows)
{
    class->why_no_strength_class = "";
    if (isnan(class->strength_mpa))
        return;
    const char *why_not = why_not_comparable(class, rows);
    if (!why_not)
        class->strength_class = strength_class_find(class->strength_mpa, class->shape == SHAPE_CUBE);
    if (!class->strength_class)
        class->why_no_strength_class = why_not ? why_not : "below LC8/9, the lowest class";
}

/* The documents speak of strengths of cylinders; only insulating concrete is known by its density alone. */
static void find_kind(struct mix_class *class)
{
    const bool broken = class->shape == SHAPE_CYLINDER && age_same(class->age_days, CLASS_AGE_DAYS);
    const double equilibrium = isnan(class->air_dry_kg_m3) ? class->equilibrium_kg_m3 : class->air_dry_kg_m3;
    if (concrete_is_insulating(class->dry_kg_m3))
        class->kind = CONCRETE_INSULATING;
    else if (broken && concrete_is_structural_lightweight(class->strength_mpa, equilibrium))
        class->kind = CONCRETE_STRUCTURAL;
    else if (broken && concrete_is_moderate(class->strength_mpa, class->dry_kg_m3))
        class->kind = CONCRETE_MODERATE;
}

static struct mix_class class_of(const struct mix_summary *summary, const struct calculated_density *calculated, const struct mix_rows *rows)
{
    const struct mix_property *strength = &summary->property[PROPERTY_COMPRESSIVE_STRENGTH];
    struct mix_class class = {
        .mix = summary->mix,
        .oven_dry_kg_m3 = mean_of(rows->oven_dry, rows->n_oven_dry), .n_oven_dry = rows->n_oven_dry,
        .air_dry_kg_m3 = mean_of(rows->air_dry, rows->n_air_dry), .n_air_dry = rows->n_air_dry,
        .calculated = calculated ? *calculated : (struct calculated_density){ NAN, CALCULATED_NOT },
        .strength_mpa = strength->available ? strength->mean : NAN, .n_strength = rows->n_strength,
        .age_days = rows->n_strength ? rows->age_days : NAN,
        .shape = rows->shapes_differ ? SHAPE_UNKNOWN : rows->shape,
    };
    class.dry_kg_m3 = class.n_oven_dry ? class.oven_dry_kg_m3 : class.calculated.kg_m3;
    class.equilibrium_kg_m3 = density_equilibrium_estimate_kg_m3(isnan(class.calculated.kg_m3) ? class.oven_dry_kg_m3 : class.calculated.kg_m3);
    class_density(&class);
    class_strength(&class, rows);
    find_kind(&class);
    return class;
}

enum status mix_class_list_make(const struct specimen_set *set, const struct selection *selection,
                                const struct mix_summary_list *means, const struct calculated_density *calculated,
                                struct mix_class_list *list, struct problem *problem)
{
    struct mix_rows *rows = memory_new(set->n_mixes, sizeof *rows);
    *list = (struct mix_class_list){ .items = memory_new(set->n_mixes, sizeof *list->items) };
    enum status status = STATUS_OK;
    if (!rows || !list->items)
        status = problem_set(problem, STATUS_MEMORY, NULL, "no memory left for the classes of %zu mixes", set->n_mixes);
    if (status == STATUS_OK) {
        sum_densities(set, selection, rows);
        status = look_at_broken(set, selection, rows, problem);
    }
    for (size_t mix = 0; status == STATUS_OK && mix < means->n_items; mix++)
        if (rows[mix].n > 0)
            list->items[list->n_items++] = class_of(&means->items[mix], calculated ? &calculated[mix] : NULL, &rows[mix]);
    memory_free(rows);
    if (status != STATUS_OK)
        mix_class_list_release(list);
    return status;
}

void mix_class_list_release(struct mix_class_list *list)
{
    memory_free(list->items);
    *list = (struct mix_class_list){ 0 };
}

bool mix_class_list_tells(const struct mix_class_list *list)
{
    for (size_t i = 0; i < list->n_items; i++)
        if (!isnan(list->items[i].strength_mpa) || !isnan(list->items[i].dry_kg_m3))
            return true;
    return false;
}
