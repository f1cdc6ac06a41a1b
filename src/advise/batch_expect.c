#include "advise/batch_parts.h"

#include <math.h>
#include <stdio.h>

static void take_curve(const struct batch_sheet *sheet, const struct curve *curve, double x, struct batch_density *density)
{
    const struct assurance *assurance = &sheet->request->assurance;
    density->n_batches = curve->n_batches;
    curve_confidence(curve, x, assurance->confidence, &density->lower, &density->upper);
    density->assured = curve_bound(curve, x, assurance, 1);
}

/* By the mix's own results. */
static enum status expect_mix(const struct batch_sheet *sheet, uint32_t mix, struct batch_density *density, struct problem *problem)
{
    struct mix_summary_list means = { 0 };
    const struct batch_request *request = sheet->request;
    enum status status = mix_summary_list_make(request->set, request->selection, NULL, request->assurance.confidence, &means, problem);
    const struct mix_property *result = status == STATUS_OK ? &means.items[mix].property[PROPERTY_DENSITY] : NULL;
    if (result && result->available) {
        density->known = true;
        density->estimate = result->mean;
        density->lower = density->upper = density->assured = NAN;
        density->n_batches = result->n_batches;
        if (result->curve.fitted)
            take_curve(sheet, &result->curve, request->set->mixes[mix].aggregate_fraction, density);
    } else {
        snprintf(density->reason, sizeof density->reason, "no density of mix '%.80s' was measured", request->set->mixes[mix].name);
    }
    mix_summary_list_release(&means);
    return status;
}

/* By the curve of its aggregate. */
static enum status expect_between(const struct batch_sheet *sheet, uint32_t aggregate, struct batch_density *density, struct problem *problem)
{
    struct curve_set curves;
    const struct batch_request *request = sheet->request;
    double x = request->judged_fraction > 0 ? request->judged_fraction : sheet->recipe.fraction;
    enum status status = curve_set_fit(request->set, request->selection, aggregate, PROPERTY_DENSITY, PROPERTY_COUNT, request->law,
                                       &curves, problem);
    if (status != STATUS_OK) {
        snprintf(density->reason, sizeof density->reason, "the density has no curve: %.150s", problem->text);
        return status == STATUS_TOO_FEW || status == STATUS_NUMERIC ? STATUS_OK : status;
    }
    const struct curve *curve = curve_set_chosen(&curves);
    density->known = curve && x >= curve->x_min && x <= curve->x_max;
    if (density->known) {
        density->by_curve = true;
        density->law = curve->law;
        density->estimate = curve_value(curve, x);
        take_curve(sheet, curve, x, density);
    } else {
        snprintf(density->reason, sizeof density->reason, "the density was not measured on both sides of this fraction");
    }
    curve_set_release(&curves);
    return STATUS_OK;
}

/* The set's mix or aggregate that the recipe is; SAMPLE_ALL when no specimen is of it. */
static uint32_t find_in_set(const struct batch_sheet *sheet)
{
    const struct specimen_set *set = sheet->request->set;
    for (uint32_t mix = 0; mix < set->n_mixes; mix++)
        if (mix_list_find(sheet->request->mixes, set->mixes[mix].name) == sheet->recipe.below)
            return sheet->recipe.interpolated ? set->mixes[mix].aggregate : mix;
    return SAMPLE_ALL;
}

static enum status expect_density(struct batch_sheet *sheet, struct problem_list *problems)
{
    const struct batch_request *request = sheet->request;
    struct batch_density *density = &sheet->density;
    struct problem problem = { 0 };
    density->estimate = density->lower = density->upper = density->assured = NAN;
    uint32_t found = request->set ? find_in_set(sheet) : SAMPLE_ALL;
    if (!request->set || !request->set->value[PROPERTY_DENSITY] || found == SAMPLE_ALL) {
        snprintf(density->reason, sizeof density->reason, request->set ? "no density of this recipe was measured" : "no specimens are given");
        return STATUS_OK;
    }
    density->moisture = request->selection->property_moisture[PROPERTY_DENSITY];
    if (density->moisture == MOISTURE_UNKNOWN)
        density->moisture = request->selection->moisture;
    density->age_days = request->selection->age_days;
    enum status status = sheet->recipe.interpolated ? expect_between(sheet, found, density, &problem)
                                                    : expect_mix(sheet, found, density, &problem);
    if (status != STATUS_OK)
        problem_list_take(problems, &problem);
    return status;
}

enum status batch_expect(struct batch_sheet *sheet, struct problem_list *problems)
{
    enum status status = expect_density(sheet, problems);
    double m3 = sheet->piece_l / L_PER_M3, inserts_kg = sheet->request->inserts_mass_kg;
    sheet->piece_fresh_kg = sheet->fresh_kg_m3 * m3 + inserts_kg;
    sheet->piece_dry_kg = sheet->density.estimate * m3 + inserts_kg;
    sheet->piece_dry_lower_kg = sheet->density.lower * m3 + inserts_kg;
    sheet->piece_dry_upper_kg = sheet->density.upper * m3 + inserts_kg;
    sheet->piece_dry_assured_kg = sheet->density.assured * m3 + inserts_kg;
    return status;
}
