#include "advise/batch_parts.h"

#include <math.h>
#include <string.h>

#define FRACTION_SAME 1e-9 /* a fraction this near a mix's is that mix */

static double or_none(double value)
{
    return isnan(value) ? 0 : value;
}

double batch_role_parts(const struct mix *mix, enum batch_role role)
{
    switch (role) {
    case BATCH_BINDER:
        return or_none(mix->binder_parts);
    case BATCH_LIGHT:
        return or_none(mix->light_parts);
    case BATCH_SAND:
        return or_none(mix->sand_parts);
    case BATCH_GRAVEL:
        return or_none(mix->gravel_parts);
    default:
        return 0;
    }
}

static double parts_total(const struct mix *mix)
{
    double total = 0;
    for (enum batch_role role = BATCH_BINDER; role <= BATCH_GRAVEL; role++)
        total += batch_role_parts(mix, role);
    return total;
}

static double mix_fraction(const struct mix *mix)
{
    return batch_role_parts(mix, BATCH_LIGHT) / parts_total(mix);
}

#define usage(problems, ...) problem_list_add(problems, SEVERITY_ERROR, STATUS_USAGE, NULL, __VA_ARGS__)

static enum status unknown_mix(const struct batch_request *request, struct problem_list *problems)
{
    const char *near = mix_list_nearest(request->mixes, request->mix);
    if (near)
        usage(problems, "the mixes file holds no mix '%s'; did you mean '%s'?", request->mix, near);
    else
        usage(problems, "the mixes file holds no mix '%s'", request->mix);
    return STATUS_USAGE;
}

/* Whether specimens of it were made; without specimens every mix of the file counts. */
static bool mix_tested(const struct mix_list *mixes, const struct specimen_set *set, const struct mix *mix)
{
    for (size_t i = 0; set && i < set->n_mixes; i++)
        if (mix_list_find(mixes, set->mixes[i].name) == mix)
            return true;
    return set == NULL;
}

/* The tested mixes next to the fraction wanted, and the ends of what was tested. */
struct neighbours { const struct mix *below, *above; double lowest, highest; };

static void find_neighbours(const struct mix_list *mixes, const struct specimen_set *set, const char *aggregate, double fraction_wanted,
                            struct neighbours *near)
{
    const struct selection one = { .aggregates = &aggregate, .n_aggregates = 1 };
    *near = (struct neighbours){ .lowest = INFINITY, .highest = -INFINITY };
    for (size_t i = 0; i < mixes->n_items; i++) {
        const struct mix *mix = &mixes->items[i];
        double fraction = mix_fraction(mix);
        if (isnan(fraction) || !selection_wants(&one, mix->aggregate) || !mix_tested(mixes, set, mix))
            continue;
        near->lowest = fmin(near->lowest, fraction);
        near->highest = fmax(near->highest, fraction);
        if (fraction <= fraction_wanted + FRACTION_SAME && (!near->below || fraction > mix_fraction(near->below)))
            near->below = mix;
        if (fraction >= fraction_wanted - FRACTION_SAME && (!near->above || fraction < mix_fraction(near->above)))
            near->above = mix;
    }
}

static bool same_name(const char *a, const char *b)
{
    return strcmp(a ? a : "", b ? b : "") == 0;
}

/* Ingredients that are not the same have nothing between them: which kind differs, or NULL. */
static const char *differing(const struct mix *below, const struct mix *above)
{
    bool both_dyed = below->pigment_pct > 0 && above->pigment_pct > 0;
    if (!same_name(below->binder, above->binder))
        return "binders";
    return both_dyed && !same_name(below->pigment_name, above->pigment_name) ? "pigments" : NULL;
}

static double between(double below, double above, double way)
{
    return below + way * (above - below);
}

/* Shares of the loose volume run straight from mix to mix, so that the light one is the fraction exactly; the binder is made 1. */
static void interpolate(struct batch_recipe *recipe)
{
    const struct mix *below = recipe->below, *above = recipe->above;
    double share[BATCH_ROLES] = { 0 }, below_total = parts_total(below), above_total = parts_total(above);
    for (enum batch_role role = BATCH_BINDER; role <= BATCH_GRAVEL; role++)
        share[role] = between(batch_role_parts(below, role) / below_total, batch_role_parts(above, role) / above_total, recipe->way);
    recipe->mix = (struct mix){
        .aggregate = below->aggregate, .binder = below->binder,
        .pigment_name = below->pigment_pct > 0 ? below->pigment_name : above->pigment_name,
        .binder_parts = 1, .light_parts = share[BATCH_LIGHT] / share[BATCH_BINDER],
        .sand_parts = share[BATCH_SAND] / share[BATCH_BINDER], .gravel_parts = share[BATCH_GRAVEL] / share[BATCH_BINDER],
        .water_binder = between(below->water_binder, above->water_binder, recipe->way),
        .fibre_kg_m3 = between(or_none(below->fibre_kg_m3), or_none(above->fibre_kg_m3), recipe->way),
        .pigment_pct = between(or_none(below->pigment_pct), or_none(above->pigment_pct), recipe->way),
        .yield = between(below->yield, above->yield, recipe->way),
    };
}

/* The recipe between two neighbours, or the mix itself when both are of one fraction. */
static void settle_between(const struct neighbours *near, double fraction, struct batch_recipe *recipe)
{
    double low = mix_fraction(near->below), high = mix_fraction(near->above);
    *recipe = (struct batch_recipe){ .below = near->below, .above = near->above, .interpolated = high - low > FRACTION_SAME };
    if (!recipe->interpolated) {
        recipe->mix = *near->below;
        return;
    }
    recipe->way = (fraction - low) / (high - low);
    interpolate(recipe);
}

bool batch_recipe_between(const struct mix_list *mixes, const struct specimen_set *set, const char *aggregate, double fraction,
                          struct batch_recipe *recipe)
{
    struct neighbours near;
    find_neighbours(mixes, set, aggregate, fraction, &near);
    if (!near.below || !near.above || differing(near.below, near.above))
        return false;
    settle_between(&near, fraction, recipe);
    return true;
}

static enum status find_between(const struct batch_request *request, struct batch_recipe *recipe, struct problem_list *problems)
{
    struct neighbours near;
    find_neighbours(request->mixes, request->set, request->aggregate, request->fraction, &near);
    if (!near.below && !near.above) {
        usage(problems, "the mixes file holds no tested mix with aggregate '%s'", request->aggregate);
        return STATUS_USAGE;
    }
    if (!near.below || !near.above) {
        usage(problems, "a fraction of %g lies outside the tested mixes of '%s' (%g to %g), where nothing is known: cast a trial mix there first",
              request->fraction, request->aggregate, near.lowest, near.highest);
        return STATUS_USAGE;
    }
    settle_between(&near, request->fraction, recipe);
    const char *kind = recipe->interpolated ? differing(near.below, near.above) : NULL;
    if (!kind)
        return STATUS_OK;
    usage(problems, "mixes '%s' and '%s' have different %s: what lies between them cannot be told", near.below->name, near.above->name, kind);
    return STATUS_USAGE;
}

/* What no sheet can be made without, told with the line of the mixes file. */
static enum status check_mix(const struct batch_request *request, const struct mix *mix, struct problem_list *problems)
{
    struct place place = { request->mixes->path, mix->line, NULL };
    enum status status = STATUS_OK;
    if (!(mix->binder_parts > 0)) {
        place.column = "binder_parts";
        problem_list_add(problems, SEVERITY_ERROR, STATUS_INPUT, &place, "mix '%s' has no binder: give its parts by loose volume", mix->name);
        status = STATUS_INPUT;
    }
    if (isnan(mix->water_binder)) {
        place.column = "water_binder";
        problem_list_add(problems, SEVERITY_ERROR, STATUS_INPUT, &place, "mix '%s' has no water: give water over binder, by mass", mix->name);
        status = STATUS_INPUT;
    }
    return status;
}

enum status batch_recipe_find(const struct batch_request *request, struct batch_recipe *recipe, struct problem_list *problems)
{
    *recipe = (struct batch_recipe){ 0 };
    enum status status = STATUS_OK;
    if (request->mix) {
        recipe->below = mix_list_find(request->mixes, request->mix);
        if (!recipe->below)
            return unknown_mix(request, problems);
        recipe->mix = *recipe->below;
    } else {
        status = find_between(request, recipe, problems);
    }
    if (status == STATUS_OK)
        status = check_mix(request, recipe->below, problems);
    if (status == STATUS_OK && recipe->interpolated)
        status = check_mix(request, recipe->above, problems);
    recipe->parts_total = parts_total(&recipe->mix);
    recipe->fraction = mix_fraction(&recipe->mix);
    return status;
}
