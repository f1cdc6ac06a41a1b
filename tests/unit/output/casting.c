#include "output/answer_batch.h"
#include "output/answer_plan.h"

#include "study.h"
#include "support/check.h"

#include <jansson.h>

/* Batch sheets and plans as text: hostile names stay text, nothing comes from outside, no allocation may fail unnoticed. */

#define HOSTILE "<img src=x onerror=alert(1)>|`*_"

struct kitchen {
    struct mix mix;
    struct material materials[2];
    struct mix_list mixes;
    struct material_list material_list;
    struct batch_request request;
    struct batch_sheet sheet;
};

static struct material material_of(const char *name, double bulk_density_kg_m3)
{
    return (struct material){
        .name = (char *)(uintptr_t)name, .bulk_density_kg_m3 = bulk_density_kg_m3, .particle_density_kg_m3 = NAN, .absorption_pct = 10,
        .moisture_pct = NAN, .price = 1, .price_per_kg = 0.25, .bag_kg = NAN, .bag_l = 40, .price_per = (char *)"kg",
    };
}

static void open_kitchen(struct kitchen *kitchen)
{
    struct problem_list problems = { 0 };
    *kitchen = (struct kitchen){
        .mix = { .name = (char *)"M", .aggregate = (char *)HOSTILE, .binder = (char *)"cement", .pigment_name = (char *)"ochre", .binder_parts = 1,
                 .light_parts = 3, .sand_parts = NAN, .gravel_parts = NAN, .water_binder = 0.5, .fibre_kg_m3 = 1, .pigment_pct = 2, .yield = 0.75 },
        .materials = { material_of("cement", 1200), material_of(HOSTILE, 400) },
    };
    kitchen->mixes = (struct mix_list){ &kitchen->mix, 1, NULL };
    kitchen->material_list = (struct material_list){ kitchen->materials, 2, NULL };
    kitchen->request = (struct batch_request){
        .mixes = &kitchen->mixes, .materials = &kitchen->material_list, .mix = "M", .fraction = NAN, .pieces = 12, .piece = { { 400, 400, 40 }, 6.4 },
        .waste_pct = NAN, .hold_back_pct = NAN, .trial_l = 10, .mixer_l = 50, .yield = NAN, .moisture_pct = { NAN, 5, NAN, NAN, NAN, NAN },
        .assurance = { ASSURANCE_NEXT_BATCH, 0.95, 0.05, 3 }, .law = LAW_AUTO,
    };
    CU_ASSERT_EQUAL_FATAL(batch_sheet_make(&kitchen->request, &kitchen->sheet, &problems), STATUS_OK);
    problem_list_release(&problems);
}

static void page_is_whole_and_harmless(void)
{
    struct kitchen kitchen;
    struct text out = { 0 };
    open_kitchen(&kitchen);
    CU_ASSERT_EQUAL(answer_batch_html(&kitchen.sheet, "Cast <b>this</b>.", false, &out), STATUS_OK);
    CU_ASSERT(strstr(out.bytes, "<img") == NULL && strstr(out.bytes, "<b>this") == NULL);
    CU_ASSERT(strstr(out.bytes, "&lt;img src=x onerror=alert(1)&gt;") != NULL);
    CU_ASSERT(strstr(out.bytes, "http:") == NULL && strstr(out.bytes, "https:") == NULL && strstr(out.bytes, "<script") == NULL);
    CU_ASSERT(strstr(out.bytes, "12 pieces of 400 x 400 x 40\xC2\xA0mm and 10\xC2\xA0% for waste: 84.5\xC2\xA0L of concrete in 2 loads of 42.2\xC2\xA0L")
              != NULL); /* no line ends between a number and its unit */
    CU_ASSERT(strstr(out.bytes, "kg/m3") == NULL && strstr(out.bytes, " m3") == NULL);
    CU_ASSERT(strstr(out.bytes, "caustic") != NULL && strstr(out.bytes, "licensed engineer") != NULL);
    CU_ASSERT(strcmp(out.bytes + out.length - 8, "</html>\n") == 0);
    text_release(&out);
}

static void markdown_keeps_its_tables(void)
{
    struct kitchen kitchen;
    struct text out = { 0 };
    open_kitchen(&kitchen);
    CU_ASSERT_EQUAL(answer_batch_markdown(&kitchen.sheet, NULL, false, &out), STATUS_OK);
    CU_ASSERT(strstr(out.bytes, "\\|") != NULL);
    for (const char *at = strstr(out.bytes, "<img"); at; at = strstr(at + 1, "<img"))
        CU_ASSERT(at[-1] == '\\');
    CU_ASSERT(strstr(out.bytes, "| cement | 1 | 28.2 L | 33.79 kg | 14.1 L | 16.90 kg | 3.33 L | 4.000 kg |") != NULL);
    text_release(&out);
    CU_ASSERT_EQUAL(answer_batch_table(&kitchen.sheet, NULL, true, &out), STATUS_OK);
    CU_ASSERT(strstr(out.bytes, "74.50 lb") != NULL); /* 33.792 kg */
    text_release(&out);
}

static json_t *read_back(struct text *out)
{
    json_error_t error;
    json_t *root = json_loadb(out->bytes ? out->bytes : "", out->length, JSON_REJECT_DUPLICATES, &error);
    CU_ASSERT_PTR_NOT_NULL_FATAL(root);
    text_release(out);
    return root;
}

static double number_at(const json_t *object, const char *key)
{
    const json_t *value = json_object_get(object, key);
    return json_is_number(value) ? json_number_value(value) : NAN;
}

static void json_is_not_rounded(void)
{
    struct kitchen kitchen;
    struct text out = { 0 };
    open_kitchen(&kitchen);
    CU_ASSERT_EQUAL(answer_batch_json(&kitchen.sheet, NULL, &out), STATUS_OK);
    json_t *root = read_back(&out);
    const json_t *light = json_array_get(json_object_get(root, "ingredients"), 1);
    check_text(json_string_value(json_object_get(light, "ingredient")), HOSTILE);
    check_close("weigh", number_at(json_object_get(light, "all"), "weigh_kg"), kitchen.sheet.ingredient[BATCH_LIGHT].amount[BATCH_ALL].weigh_kg, 0);
    check_close("moisture", number_at(light, "moisture_pct"), 5, 0);
    check_close("water", number_at(json_object_get(json_object_get(root, "water"), "load"), "start_kg"), kitchen.sheet.water.start_kg[BATCH_LOAD], 0);
    CU_ASSERT(json_is_null(json_object_get(root, "recommendation")));
    CU_ASSERT(json_is_null(json_object_get(json_object_get(json_object_get(root, "expected"), "density_kg_m3"), "estimate")));
    json_decref(root);
}

/* Each allocation fails once: the answer is whole, or says that memory is out. */
static void fail_each(enum status write(void *context, struct text *out), void *context)
{
    struct text whole = { 0 };
    CU_ASSERT_EQUAL_FATAL(write(context, &whole), STATUS_OK);
    bool failed = true;
    for (unsigned long n = 1; failed && n < 20000; n += 1 + n / 40) {
        struct text out = { 0 };
        memory_fail_at(n, false);
        enum status status = write(context, &out);
        failed = memory_calls() >= n;
        memory_fail_at(0, false);
        CU_ASSERT(status == STATUS_MEMORY || (status == STATUS_OK && out.length == whole.length && memcmp(out.bytes, whole.bytes, out.length) == 0));
        text_release(&out);
    }
    text_release(&whole);
}

static enum status write_page(void *sheet, struct text *out) { return answer_batch_html(sheet, "headline", false, out); }
static enum status write_markdown(void *sheet, struct text *out) { return answer_batch_markdown(sheet, "headline", true, out); }
static enum status write_table(void *sheet, struct text *out) { return answer_batch_table(sheet, "headline", true, out); }
static enum status write_json(void *sheet, struct text *out) { return answer_batch_json(sheet, NULL, out); }
static enum status write_plan(void *source, struct text *out) { return answer_plan_table(source, true, out); }
static enum status write_plan_json(void *source, struct text *out) { return answer_plan_json(source, out); }

static void no_memory_for_sheets(void)
{
    struct kitchen kitchen;
    open_kitchen(&kitchen);
    fail_each(write_page, &kitchen.sheet);
    fail_each(write_markdown, &kitchen.sheet);
    fail_each(write_table, &kitchen.sheet);
    fail_each(write_json, &kitchen.sheet);
}

static void plans(void)
{
    static struct study study;
    struct plan plan;
    struct problem problem;
    struct text out = { 0 };
    struct plan_request wanted = { .power = 0.8, .differences = { { PROPERTY_DENSITY, 50 } }, .n_differences = 1 };
    CU_ASSERT_FATAL(study_make(&study));
    CU_ASSERT_EQUAL_FATAL(plan_make(&study.set, &study.request, &study.answer, &wanted, &plan, &problem), STATUS_OK);
    struct plan_answer source = { &study.set, &study.request, &study.answer, &wanted, &plan };
    CU_ASSERT_EQUAL(answer_plan_json(&source, &out), STATUS_OK);
    json_t *root = read_back(&out);
    const json_t *demands = json_object_get(root, "demands"), *differences = json_object_get(root, "differences");
    CU_ASSERT(json_array_size(demands) == 3 && json_array_size(differences) == 3);
    check_close("batch scatter", number_at(json_array_get(demands, 0), "sd_batch"), sqrt(plan.lines[0].scatter.var_batch), 1e-15);
    CU_ASSERT(json_array_size(json_object_get(json_array_get(demands, 0), "needed")) == PLAN_SIZES);
    CU_ASSERT(json_array_size(json_object_get(json_object_get(root, "focus"), "chances")) == PLAN_SIZES * PLAN_GRID_BATCHES);
    CU_ASSERT(json_object_get(json_object_get(root, "next_trial"), "narrowing_pct") != NULL);
    json_decref(root);
    CU_ASSERT_EQUAL(answer_plan_table(&source, false, &out), STATUS_OK);
    CU_ASSERT(strncmp(out.bytes, "Recommended is pumice at 0.412: ", 32) == 0);
    text_release(&out);
    fail_each(write_plan, &source);
    fail_each(write_plan_json, &source);
    plan_release(&plan);
    study_release(&study);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "page is whole and harmless", page_is_whole_and_harmless }, { "markdown keeps its tables", markdown_keeps_its_tables },
        { "json is not rounded", json_is_not_rounded }, { "no memory for sheets", no_memory_for_sheets }, { "plans", plans },
    };
    return check_run("casting", cases, sizeof cases / sizeof cases[0]);
}
