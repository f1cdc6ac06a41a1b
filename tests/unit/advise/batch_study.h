#ifndef TESTS_UNIT_ADVISE_BATCH_STUDY_H
#define TESTS_UNIT_ADVISE_BATCH_STUDY_H

#include "support/check.h"

#include "advise/batch_sheet.h"

#define LB_PER_FT3 16.018463373960138 /* kg/m3 */
#define GAL_PER_YD3 4.951131687       /* L/m3 */

/* A mix without sand, gravel, fibre and pigment. */
static inline struct mix plain_mix(const char *name, double binder, double light, double water_binder, double yield)
{
    return (struct mix){
        .name = (char *)(uintptr_t)name, .aggregate = (char *)"perlite", .binder = (char *)"cement", .binder_parts = binder, .light_parts = light,
        .sand_parts = NAN, .gravel_parts = NAN, .water_binder = water_binder, .fibre_kg_m3 = NAN, .pigment_pct = NAN, .yield = yield,
    };
}

static inline struct material plain_material(const char *name, double bulk_density_kg_m3)
{
    return (struct material){
        .name = (char *)(uintptr_t)name, .bulk_density_kg_m3 = bulk_density_kg_m3, .particle_density_kg_m3 = NAN, .absorption_pct = NAN,
        .moisture_pct = NAN, .price = NAN, .price_per_kg = NAN, .bag_kg = NAN, .bag_l = NAN, .price_per = (char *)"",
    };
}

static inline struct batch_request plain_request(const struct mix_list *mixes, const struct material_list *materials)
{
    return (struct batch_request){
        .mixes = mixes, .materials = materials, .fraction = NAN, .pieces = NAN, .piece = PIECE_NONE, .waste_pct = NAN,
        .hold_back_pct = NAN, .trial_l = NAN, .mixer_l = NAN, .yield = NAN, .moisture_pct = { NAN, NAN, NAN, NAN, NAN, NAN },
        .assurance = { ASSURANCE_NEXT_BATCH, 0.95, 0.05, 3 }, .law = LAW_AUTO,
    };
}

static inline struct batch_sheet make_sheet(const struct batch_request *request)
{
    struct batch_sheet sheet;
    struct problem_list problems = { 0 };
    enum status status = batch_sheet_make(request, &sheet, &problems);
    if (problems.n_items > 0)
        fprintf(stderr, "%s\n", problems.items[0].text);
    CU_ASSERT_EQUAL_FATAL(status, STATUS_OK);
    problem_list_release(&problems);
    return sheet;
}

/* Checks the status and the first sentence. */
static inline void refuse_sheet(const struct batch_request *request, enum status want, const char *sentence)
{
    struct batch_sheet sheet;
    struct problem_list problems = { 0 };
    CU_ASSERT_EQUAL(batch_sheet_make(request, &sheet, &problems), want);
    CU_ASSERT_FATAL(problems.n_items > 0);
    check_text(problems.items[0].text, sentence);
    problem_list_release(&problems);
}

#endif
