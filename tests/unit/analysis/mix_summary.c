#include "support/check.h"

#include "analysis/mix_summary.h"
#include "stats/distribution.h"
#include "support/invented.h"

static void add(struct invented *study, const char *mix, double fraction, const char *batch, enum property property, double value)
{
    struct invented_row row = { mix, fraction == 0 ? "gravel" : "clay", batch, fraction, 28, MOISTURE_OVEN_DRY };
    invented_value(study, invented_add(study, &row), property, value);
}

static struct mix_summary_list summarise(const struct invented *study, const char *reference)
{
    struct selection selection = selection_all();
    struct mix_summary_list list;
    struct problem problem = { 0 };
    enum status status = mix_summary_list_make(&study->set, &selection, reference, 0.95, &list, &problem);
    if (status != STATUS_OK)
        fprintf(stderr, "%s\n", problem.text);
    CU_ASSERT_EQUAL_FATAL(status, STATUS_OK);
    return list;
}

/* (mean - bound) / sd of n independent results spread by hand. */
static double factor_of(size_t n, enum assurance_kind kind, double confidence)
{
    static const double values[] = { 1.17, 1.09, 1.24, 1.13, 1.20, 1.11, 1.26, 1.05, 1.19, 1.22 };
    struct invented *study = invented_new();
    for (size_t i = 0; i < n; i++)
        add(study, "P", 0.4, NULL, PROPERTY_COMPRESSIVE_STRENGTH, values[i]);
    struct mix_summary_list list = summarise(study, NULL);
    const struct mix_property *strength = &list.items[0].property[PROPERTY_COMPRESSIVE_STRENGTH];
    struct assurance assurance = { kind, confidence, 0.05, 3 };
    double factor = (strength->mean - curve_bound(&strength->curve, NAN, &assurance, -1)) / strength->sd_specimen;
    CU_ASSERT(strength->curve.all_no_batch);
    mix_summary_list_release(&list);
    free(study);
    return factor;
}

/* Factors of ISO 16269-6, as printed in Montgomery and Runger, Table XII, with more digits by quadrature. */
static void tolerance_factors(void)
{
    check_close("n 5", factor_of(5, ASSURANCE_FRACTILE, 0.95), 4.20268, 2e-6);
    check_close("n 10", factor_of(10, ASSURANCE_FRACTILE, 0.95), 2.91096, 2e-6);
    check_close("n 3", factor_of(3, ASSURANCE_FRACTILE, 0.95), 7.65590, 2e-6);
    check_close("n 3, 75 %", factor_of(3, ASSURANCE_FRACTILE, 0.75), 3.1518, 2e-5);
    /* EN 1990 Annex D, Table D1, V unknown: the prediction factors. */
    check_close("prediction, n 3", factor_of(3, ASSURANCE_NEXT_BATCH, 0.95), 3.3717, 2e-5);
    check_close("prediction, n 5", factor_of(5, ASSURANCE_NEXT_BATCH, 0.95), 2.3353, 2e-5);
    check_close("prediction, n 10", factor_of(10, ASSURANCE_NEXT_BATCH, 0.95), 1.9226, 3e-5);
}

static void five_light_specimens(void)
{
    static const double values[] = { 1.17, 1.09, 1.24, 1.13, 1.20 };
    struct invented *study = invented_new();
    for (size_t i = 0; i < 5; i++)
        add(study, "P", 0.4, NULL, PROPERTY_COMPRESSIVE_STRENGTH, values[i]);
    struct mix_summary_list list = summarise(study, NULL);
    const struct mix_property *strength = &list.items[0].property[PROPERTY_COMPRESSIVE_STRENGTH];
    struct assurance fractile = { ASSURANCE_FRACTILE, 0.95, 0.05, 3 }, next = { ASSURANCE_NEXT_BATCH, 0.95, 0.05, 3 };
    double lower, upper;
    check_close("mean", strength->mean, 1.166, 1e-12);
    check_close("sd", strength->sd_specimen, 0.0585662, 1e-6);
    CU_ASSERT(isnan(strength->sd_batch));
    check_close("95 % of results, 95 %", curve_bound(&strength->curve, 0.4, &fractile, -1), 0.919865, 1e-6);
    fractile.confidence = 0.75;
    check_close("95 % of results, 75 %", curve_bound(&strength->curve, 0.4, &fractile, -1), 1.02173, 3e-6);
    check_close("next one", curve_bound(&strength->curve, 0.4, &next, -1), 1.02923, 3e-6);
    curve_confidence(&strength->curve, 0.4, 0.95, &lower, &upper);
    check_close("lower", lower, 1.09328, 3e-6);
    check_close("upper", upper, 1.23872, 3e-6);
    mix_summary_list_release(&list);
    free(study);
}

/*
 * Three batches of two: means 10, 12, 14; 1 apart within each. By hand:
 * within s2 = 3 * 0.5 / 3 = 0.5; between 2 * 4 = 8; batch variance (8 - 0.5)/2.
 */
static void balanced_by_hand(void)
{
    static const char *const batches[] = { "1", "2", "3" };
    static const double means[] = { 10, 12, 14 };
    struct invented *study = invented_new();
    for (size_t j = 0; j < 3; j++) {
        add(study, "P", 0.4, batches[j], PROPERTY_COMPRESSIVE_STRENGTH, means[j] - 0.5);
        add(study, "P", 0.4, batches[j], PROPERTY_COMPRESSIVE_STRENGTH, means[j] + 0.5);
    }
    struct mix_summary_list list = summarise(study, NULL);
    const struct mix_property *strength = &list.items[0].property[PROPERTY_COMPRESSIVE_STRENGTH];
    struct assurance mean = { ASSURANCE_MEAN, 0.95, 0.05, 2 }, next = { ASSURANCE_NEXT_BATCH, 0.95, 0.05, 2 };
    CU_ASSERT_EQUAL(strength->n_batches, 3);
    CU_ASSERT_EQUAL(strength->n_specimens, 6);
    check_close("mean", strength->mean, 12, 1e-12);
    check_close("specimen", strength->sd_specimen, sqrt(0.5), 1e-8);
    check_close("batch", strength->sd_batch, sqrt(3.75), 1e-8);
    check_close("standard error", strength->std_error, sqrt(4.0 / 3), 1e-8);
    check_close("df", strength->df, 2, 1e-6);
    /* t(0.95; 2) = 2.91998558 */
    check_close("mean assured", curve_bound(&strength->curve, NAN, &mean, -1), 12 - 2.919985580353726 * sqrt(4.0 / 3), 1e-7);
    /* The mean of two of a new batch varies by 3.75 + 0.25 = 4 = 8/2, also with 2 df. */
    check_close("next batch assured", curve_bound(&strength->curve, NAN, &next, -1), 12 - 2.919985580353726 * sqrt(4 + 4.0 / 3), 1e-7);
    mix_summary_list_release(&list);
    free(study);
}

static void one_batch_gives_no_bound(void)
{
    struct invented *study = invented_new();
    struct assurance next = { ASSURANCE_NEXT_BATCH, 0.95, 0.05, 3 };
    for (size_t i = 0; i < 3; i++)
        add(study, "P", 0.4, "1", PROPERTY_COMPRESSIVE_STRENGTH, 10 + (double)i);
    struct mix_summary_list list = summarise(study, NULL);
    const struct mix_property *strength = &list.items[0].property[PROPERTY_COMPRESSIVE_STRENGTH];
    CU_ASSERT(strength->available);
    CU_ASSERT_FALSE(strength->curve.fitted);
    CU_ASSERT_FALSE(list.items[0].property[PROPERTY_DENSITY].available);
    check_close("mean", strength->mean, 11, 1e-12);
    check_close("sd within", strength->sd_specimen, 1, 1e-12);
    CU_ASSERT(isnan(strength->sd_batch) && isnan(strength->std_error));
    CU_ASSERT(isnan(curve_bound(&strength->curve, 0.4, &next, -1)));
    CU_ASSERT(isnan(curve_chance(&strength->curve, 0.4, 9, 3, -1)));
    check_text(strength->curve.problem.text, "one batch cannot tell how batches differ: at least 2 are needed");
    mix_summary_list_release(&list);
    free(study);
}

/* Batch means by hand; the interval by Fieller's quadratic (J. R. Statist. Soc. B 16, 1954), solved here. */
static void percent_lighter(void)
{
    static const char *const batches[] = { "1", "2", "3", "4" };
    static const double gravel[] = { 2290, 2310, 2300, 2300 }, clay[] = { 1590, 1610, 1604, 1596 };
    struct invented *study = invented_new();
    for (size_t j = 0; j < 4; j++)
        for (size_t k = 0; k < 2; k++) {
            add(study, "G", 0, batches[j], PROPERTY_DENSITY, gravel[j] + (k ? 2 : -2));
            add(study, "C", 0.5, batches[j], PROPERTY_DENSITY, clay[j] + (k ? 2 : -2));
        }
    struct mix_summary_list list = summarise(study, NULL);
    CU_ASSERT_EQUAL(mix_reference(&study->set, &list, NULL), 0);
    CU_ASSERT_EQUAL(mix_reference(&study->set, &list, "c"), 1);
    CU_ASSERT_EQUAL(mix_reference(&study->set, &list, "nothing"), SAMPLE_ALL);
    CU_ASSERT_FALSE(list.items[0].percent_lighter.available);
    CU_ASSERT(list.items[1].percent_lighter.available && list.items[1].percent_lighter.bounded);
    check_close("estimate", list.items[1].percent_lighter.estimate, 100 * (1 - 1600.0 / 2300), 1e-10);
    /* Variances of a mean of 4 batch means, squares about it 200 and 232; df by Satterthwaite of v_c + r^2 v_g. */
    double v_g = 200.0 / 12, v_c = 232.0 / 12, r = 1600.0 / 2300, s = v_c + r * r * v_g;
    double t = t_quantile(0.975, s * s / (v_c * v_c / 3 + pow(r, 4) * v_g * v_g / 3));
    /* The two r with (1600 - r 2300)^2 = t^2 (v_c + r^2 v_g). */
    double a = 2300.0 * 2300 - t * t * v_g, b = -2 * 1600.0 * 2300, c = 1600.0 * 1600 - t * t * v_c, root = sqrt(b * b - 4 * a * c);
    check_close("lower", list.items[1].percent_lighter.lower, 100 * (1 - (-b + root) / (2 * a)), 1e-7);
    check_close("upper", list.items[1].percent_lighter.upper, 100 * (1 - (-b - root) / (2 * a)), 1e-7);
    mix_summary_list_release(&list);
    free(study);
}

static void unknown_reference(void)
{
    struct invented *study = invented_new();
    struct selection selection = selection_all();
    struct mix_summary_list list;
    struct problem problem;
    add(study, "C", 0.5, "1", PROPERTY_DENSITY, 1500);
    CU_ASSERT_EQUAL(mix_summary_list_make(&study->set, &selection, "D", 0.95, &list, &problem), STATUS_USAGE);
    check_text(problem.text, "no mix 'D' in the results to count from: give --reference one of theirs");
    CU_ASSERT_PTR_NULL(list.items);
    list = summarise(study, NULL);
    CU_ASSERT_EQUAL(mix_reference(&study->set, &list, NULL), SAMPLE_ALL);
    CU_ASSERT_FALSE(list.items[0].percent_lighter.available);
    mix_summary_list_release(&list);
    free(study);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "tolerance and prediction factors of independent results", tolerance_factors },
        { "five light specimens", five_light_specimens },
        { "three batches of two, by hand", balanced_by_hand },
        { "one batch gives no bound", one_batch_gives_no_bound },
        { "percent lighter", percent_lighter },
        { "an unknown reference mix", unknown_reference },
    };
    return check_run("mix_summary", cases, sizeof cases / sizeof cases[0]);
}
