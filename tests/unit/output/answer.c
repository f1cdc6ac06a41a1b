#include "output/answer.h"

#include "study.h"
#include "support/check.h"

#include <jansson.h>

/* The whole answer as JSON, read back by the library that programs use. */
static json_t *read_back(enum status status, struct text *out)
{
    json_error_t error;
    CU_ASSERT(status == STATUS_OK);
    json_t *root = json_loadb(out->bytes ? out->bytes : "", out->length, JSON_REJECT_DUPLICATES, &error);
    if (!root)
        fprintf(stderr, "%s at line %d\n", error.text, error.line);
    CU_ASSERT_PTR_NOT_NULL(root);
    text_release(out);
    return root;
}

static void check_keys(const json_t *object, const char *const *keys, size_t n)
{
    CU_ASSERT(json_object_size(object) == n);
    for (size_t i = 0; i < n; i++) {
        if (!json_object_get(object, keys[i]))
            fprintf(stderr, "key '%s' is missing\n", keys[i]);
        CU_ASSERT_PTR_NOT_NULL(json_object_get(object, keys[i]));
    }
}
#define check_keys_of(object, ...) do { \
        static const char *const keys[] = { __VA_ARGS__ }; \
        check_keys(object, keys, sizeof keys / sizeof keys[0]); } while (0)

static double number_at(const json_t *object, const char *key)
{
    const json_t *value = json_object_get(object, key);
    return json_is_number(value) ? json_number_value(value) : NAN;
}

static struct study study;

static void results_keep_all_digits_and_all_keys(void)
{
    struct text out = { 0 };
    json_t *root = read_back(answer_results_json(&study.set, &(struct results_beside){ 0 }, &out), &out);
    const json_t *specimens = json_object_get(root, "specimens");
    check_keys_of(root, "specimens", "set_aside", "soaked", "mixes", "fresh", "drying", "trials");
    CU_ASSERT(json_array_size(json_object_get(root, "soaked")) == 0 && json_is_null(json_object_get(root, "mixes")));
    CU_ASSERT(json_is_null(json_object_get(root, "fresh")) && json_is_null(json_object_get(root, "drying")));
    CU_ASSERT(json_array_size(specimens) == STUDY_N);
    for (size_t i = 0; i < json_array_size(specimens); i++) {
        const json_t *row = json_array_get(specimens, i);
        check_keys_of(row, "specimen", "mix", "batch", "aggregate", "aggregate_fraction", "age_days", "moisture",
                      "density_kg_m3", "compressive_strength_mpa", "flexural_strength_mpa", "splitting_strength_mpa",
                      "absorption_pct", "voids_pct", "oven_dry_density_kg_m3", "flags", "line");
        CU_ASSERT(number_at(row, "density_kg_m3") == specimen_set_value(&study.set, i, PROPERTY_DENSITY));
        CU_ASSERT(json_is_null(json_object_get(row, "voids_pct")));
    }
    const json_t *first = json_array_get(specimens, 0);
    check_text(json_string_value(json_object_get(first, "specimen")), "s1");
    check_text(json_string_value(json_object_get(first, "moisture")), "air-dry");
    CU_ASSERT(json_integer_value(json_object_get(first, "line")) == 2);
    json_decref(root);
}

static void results_csv_is_what_was_read(void)
{
    struct text out = { 0 };
    CU_ASSERT(answer_results_csv(&study.set, false, &out) == STATUS_OK);
    const char *heading = "specimen,mix,batch,aggregate,aggregate_fraction,age_days,moisture,density_kg_m3,compressive_strength_mpa,"
                          "flexural_strength_mpa,splitting_strength_mpa,absorption_pct,voids_pct,flags,file,line\n";
    CU_ASSERT(strncmp(out.bytes, heading, strlen(heading)) == 0);
    CU_ASSERT(strncmp(out.bytes + strlen(heading), "s1,reference,b1,gravel,0,28,air-dry,", 36) == 0);
    for (size_t i = 0; i < study.set.n; i++) {
        char cells[96];
        snprintf(cells, sizeof cells, ",air-dry,%.17g,%.17g,,,,,", specimen_set_value(&study.set, i, PROPERTY_DENSITY),
                 specimen_set_value(&study.set, i, PROPERTY_COMPRESSIVE_STRENGTH));
        CU_ASSERT_PTR_NOT_NULL(strstr(out.bytes, cells));
    }
    text_clear(&out);
    CU_ASSERT(answer_results_csv(&study.set, true, &out) == STATUS_OK);
    CU_ASSERT_PTR_NOT_NULL(strstr(out.bytes, ",density_lb_ft3,compressive_strength_psi,"));
    text_release(&out);
}

static void fits_show_every_law_that_was_fitted(void)
{
    struct text out = { 0 };
    struct fit_list fits = { study.curves, study.answer.n_curves, NULL };
    json_t *root = read_back(answer_fit_json(&study.set, &fits, 0.95, &out), &out);
    const json_t *array = json_object_get(root, "fits");
    size_t n_chosen = 0, n_fitted = 0;
    for (size_t i = 0; i < fits.n_items; i++)
        for (enum law law = 0; law < LAW_COUNT; law++)
            n_fitted += fits.items[i].curves[law].fitted;
    CU_ASSERT(json_array_size(array) == n_fitted);
    for (size_t i = 0; i < json_array_size(array); i++) {
        const json_t *fit = json_array_get(array, i);
        check_keys_of(fit, "aggregate", "property", "predictor", "law", "chosen", "n_specimens", "n_batches", "age_days", "moisture",
                      "shape", "loading", "size_mm", "coefficients",
                      "sd_batch", "sd_specimen", "residual_sd", "r_squared", "aicc", "cross_validation_rmse", "lack_of_fit",
                      "influence", "shapiro_wilk", "near_dependence");
        check_keys_of(json_object_get(fit, "lack_of_fit"), "f", "df1", "df2", "p");
        check_text(json_string_value(json_object_get(fit, "predictor")), "aggregate_fraction");
        const json_t *coefficient = json_array_get(json_object_get(fit, "coefficients"), 0);
        check_keys_of(coefficient, "name", "estimate", "std_error", "df", "t", "p", "lower", "upper");
        check_text(json_string_value(json_object_get(coefficient, "name")), "intercept");
        n_chosen += json_is_true(json_object_get(fit, "chosen"));
    }
    CU_ASSERT(n_chosen == fits.n_items);
    json_decref(root);
}

static void quadratic_coefficients_are_named(void)
{
    struct text out = { 0 };
    struct fit_list fits = { study.curves, 1, NULL };
    json_t *root = read_back(answer_fit_json(&study.set, &fits, 0.95, &out), &out);
    const json_t *quadratic = json_array_get(json_object_get(root, "fits"), LAW_QUADRATIC);
    check_text(json_string_value(json_object_get(quadratic, "law")), "quadratic");
    static const char *const names[] = { "intercept", "aggregate_fraction", "aggregate_fraction^2" };
    for (size_t j = 0; j < 3; j++) {
        const json_t *coefficient = json_array_get(json_object_get(quadratic, "coefficients"), j);
        check_text(json_string_value(json_object_get(coefficient, "name")), names[j]);
        CU_ASSERT(number_at(coefficient, "estimate") == study.curves[0].curves[LAW_QUADRATIC].fit.coefficient[j]);
    }
    CU_ASSERT(number_at(quadratic, "sd_batch") == sqrt(study.curves[0].curves[LAW_QUADRATIC].fit.var_batch));
    json_decref(root);
}

#define CANDIDATE_KEYS "status", "kind", "aggregate", "mix", "aggregate_fraction", "density_kg_m3", "targets", "limits", \
        "piece_mass_kg", "percent_lighter", "cost", "cautions", "cost_per_percent_lighter"

static void recommendation_tells_tested_from_interpolated(void)
{
    struct text out = { 0 };
    json_t *root = read_back(answer_recommend_json(&study.set, &study.request, &study.answer, &out), &out);
    const json_t *winner = json_object_get(root, "recommendation"), *candidates = json_object_get(root, "candidates");
    check_keys_of(root, "recommendation", "holds_for", "candidates", "notices", "sensitivity", "front");
    check_keys_of(winner, CANDIDATE_KEYS);
    check_text(json_string_value(json_object_get(winner, "kind")), "interpolated");
    check_text(json_string_value(json_object_get(winner, "aggregate")), "pumice");
    CU_ASSERT(json_is_null(json_object_get(winner, "mix")));
    CU_ASSERT(json_is_null(json_object_get(winner, "cost")));
    CU_ASSERT(number_at(winner, "aggregate_fraction") == 0.412);
    CU_ASSERT(number_at(json_object_get(winner, "density_kg_m3"), "lower") == 1500.25);
    const json_t *target = json_array_get(json_object_get(winner, "targets"), 0);
    check_keys_of(target, "property", "target", "estimate", "assured", "met", "chance");
    CU_ASSERT(number_at(target, "estimate") == 11.1875 && json_is_true(json_object_get(target, "met")));
    CU_ASSERT(number_at(target, "chance") == 0.97);
    CU_ASSERT(json_array_size(candidates) == 3);
    check_keys_of(json_array_get(candidates, 1), CANDIDATE_KEYS, "why_not");
    check_text(json_string_value(json_object_get(json_array_get(candidates, 1), "mix")), "P-40");
    check_text(json_string_value(json_object_get(json_array_get(candidates, 2), "status")), "none");
    json_decref(root);
}

static void no_recipe_keeps_every_key(void)
{
    struct text out = { 0 };
    struct recommendation none = { .n_candidates = 0, .reference = SAMPLE_ALL };
    struct recommend_request request = study.request;
    request.limits[request.n_limits++] = (struct demand){ DEMAND_PIECE_MASS, PROPERTY_DENSITY, 12 };
    json_t *root = read_back(answer_recommend_json(&study.set, &request, &none, &out), &out);
    const json_t *winner = json_object_get(root, "recommendation");
    check_keys_of(winner, CANDIDATE_KEYS);
    check_text(json_string_value(json_object_get(winner, "status")), "none");
    CU_ASSERT(json_is_null(json_object_get(winner, "kind")));
    CU_ASSERT(json_is_null(json_object_get(winner, "aggregate_fraction")));
    const json_t *limit = json_array_get(json_object_get(winner, "limits"), 0);
    check_keys_of(limit, "property", "limit", "estimate", "assured", "met", "chance");
    check_text(json_string_value(json_object_get(limit, "property")), "piece_mass");
    CU_ASSERT(json_is_false(json_object_get(limit, "met")) && json_is_null(json_object_get(limit, "chance")));
    json_decref(root);
}

static void check_counts_and_places(void)
{
    struct text out = { 0 };
    struct problem_list problems = { 0 };
    const struct place place = { "a.csv", 7, "mass (g)" };
    problem_list_add(&problems, SEVERITY_ERROR, STATUS_INPUT, &place, "'24O1' is not a number");
    problem_list_add(&problems, SEVERITY_DOUBT, STATUS_OK, NULL, "strength of 400 MPa is doubtful");
    json_t *root = read_back(answer_check_json(&study.set, &problems, &(struct results_beside){ 0 }, NULL, &out), &out);
    const json_t *first = json_array_get(json_object_get(root, "problems"), 0);
    CU_ASSERT(json_integer_value(json_object_get(root, "errors")) == 1 && json_integer_value(json_object_get(root, "doubts")) == 1);
    CU_ASSERT(json_integer_value(json_object_get(first, "line")) == 7);
    check_text(json_string_value(json_object_get(first, "column")), "mass (g)");
    CU_ASSERT(json_is_null(json_object_get(json_array_get(json_object_get(root, "problems"), 1), "line")));
    json_decref(root);
    CU_ASSERT(answer_check_table(&study.set, &problems, &out) == STATUS_OK);
    CU_ASSERT_PTR_NOT_NULL(strstr(out.bytes, "a.csv:7: column 'mass (g)': '24O1' is not a number"));
    CU_ASSERT_PTR_NOT_NULL(strstr(out.bytes, "192 specimens in 64 batches of 16 mixes"));
    text_release(&out);
    problem_list_release(&problems);
}

static void tables_begin_with_the_sentence_and_say_why_not(void)
{
    struct text out = { 0 };
    char sentence[2048];
    recommendation_sentence(&study.set, &study.request, &study.answer, false, sentence, sizeof sentence);
    CU_ASSERT(answer_recommend_table(&study.set, &study.request, &study.answer, false, &out) == STATUS_OK);
    CU_ASSERT(strncmp(out.bytes, sentence, 20) == 0);
    CU_ASSERT_PTR_NOT_NULL(strstr(out.bytes, "2 mix P-40: 17 kg/m3 heavier"));
    CU_ASSERT_PTR_NOT_NULL(strstr(out.bytes, "8.8 MPa fails"));
    CU_ASSERT_PTR_NOT_NULL(strstr(out.bytes, "exponential-quadratic"));
    text_clear(&out);
    struct fit_list fits = { study.curves, study.answer.n_curves, NULL };
    CU_ASSERT(answer_fit_table(&study.set, &fits, 0.95, false, &out) == STATUS_OK);
    CU_ASSERT_PTR_NOT_NULL(strstr(out.bytes, "compressive strength of pumice on aggregate fraction"));
    text_release(&out);
}

/* Whatever allocation fails, the answer is whole or the status says so, and nothing leaks (run under valgrind). */
static void memory_may_fail_anywhere(void)
{
    struct text whole = { 0 };
    CU_ASSERT(answer_recommend_json(&study.set, &study.request, &study.answer, &whole) == STATUS_OK);
    size_t n_failures = 0;
    for (unsigned long n = 1; n < 5000; n++) {
        struct text out = { 0 };
        memory_fail_at(n, false);
        enum status status = answer_recommend_json(&study.set, &study.request, &study.answer, &out);
        bool reached = memory_calls() >= n;
        memory_fail_at(0, false);
        bool good = status == STATUS_MEMORY || (out.bytes && strcmp(out.bytes, whole.bytes) == 0);
        CU_ASSERT(good);
        n_failures += status == STATUS_MEMORY;
        text_release(&out);
        if (!reached)
            break;
    }
    CU_ASSERT(n_failures > 100);
    text_release(&whole);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "results keep all digits and all keys", results_keep_all_digits_and_all_keys },
        { "results as CSV are what was read", results_csv_is_what_was_read },
        { "fits show every law that was fitted", fits_show_every_law_that_was_fitted },
        { "quadratic coefficients are named", quadratic_coefficients_are_named },
        { "a recommendation tells tested from interpolated", recommendation_tells_tested_from_interpolated },
        { "no recipe keeps every key", no_recipe_keeps_every_key },
        { "check counts and places", check_counts_and_places },
        { "tables begin with the sentence and say why not", tables_begin_with_the_sentence_and_say_why_not },
        { "memory may fail anywhere", memory_may_fail_anywhere },
    };
    if (!study_make(&study))
        return 2;
    int failed = check_run("answer", cases, sizeof cases / sizeof cases[0]);
    study_release(&study);
    return failed;
}
