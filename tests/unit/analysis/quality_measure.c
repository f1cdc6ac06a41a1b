/* Pooled scatter, repeatability, Cochran and the control chart. Sources beside the checks. */
#include "support/check.h"
#include "support/invented.h"

#include "analysis/quality.h"
#include "stats/anova.h"
#include "stats/outlier.h"

static const char *const batch_names[] = { "1", "2", "3", "4", "5", "6", "7", "8", "9", "10" };

static size_t add(struct invented *study, const char *mix, const char *batch, double strength_mpa)
{
    struct invented_row row = { mix, "pumice", batch, 0.3, 28, MOISTURE_AIR_DRY };
    size_t i = invented_add(study, &row);
    invented_value(study, i, PROPERTY_COMPRESSIVE_STRENGTH, strength_mpa);
    return i;
}

static struct quality measure(struct invented *study)
{
    struct quality quality = { 0 };
    struct mix_summary_list means;
    struct selection selection = selection_all();
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(mix_summary_list_make(&study->set, &selection, NULL, 0.95, &means, &problem), STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(quality_measure(&study->set, &selection, &means, PROPERTY_COMPRESSIVE_STRENGTH, &quality, &problem), STATUS_OK);
    mix_summary_list_release(&means);
    return quality;
}

static void finish(struct invented *study, struct quality *quality)
{
    quality_release(quality);
    free(study);
}

/* Ten invented pairs in the manner of ACI 214R; mean range 0.62, pooled sd 0.508920 worked by hand, d2(2) = 2/sqrt(pi). */
static struct invented *ten_pairs(void)
{
    static const double pairs[10][2] = { { 24.1, 25.0 }, { 26.3, 25.6 }, { 23.8, 24.4 }, { 25.9, 25.1 }, { 24.6, 24.9 },
                                         { 27.0, 26.1 }, { 25.2, 24.7 }, { 26.4, 26.6 }, { 24.0, 25.3 }, { 25.5, 25.5 } };
    struct invented *study = invented_new();
    for (size_t j = 0; j < 10; j++)
        for (size_t k = 0; k < 2; k++)
            add(study, "pairs", batch_names[j], pairs[j][k]);
    return study;
}

static void test_within(void)
{
    struct invented *study = ten_pairs();
    struct quality quality = measure(study);
    CU_ASSERT_EQUAL_FATAL(quality.n_mixes, 1);
    const struct quality_mix *mix = &quality.mixes[0];
    CU_ASSERT_EQUAL(mix->n_sets, 10);
    check_close("mean", mix->mean, 25.3, 1e-9);
    check_close("mean range", mix->mean_range, 0.62, 1e-12);
    check_close("range sd", mix->range_sd, 0.62 * sqrt(acos(-1)) / 2, 1e-9);
    check_close("pooled sd", mix->within_sd, 0.508920, 1e-6);
    check_close("df", mix->within_df, 10, 0);
    check_close("cv", mix->within_cv_pct, 100 * 0.508920 / 25.3, 1e-6);
    check_text(quality.class_word, "very good"); /* 2.01 %: just over 2 */
    finish(study, &quality);
}

/* Balanced batches: restricted likelihood and ISO 5725-2 sums of squares agree. */
static void test_precision_is_iso(void)
{
    static const double values[4][3] = { { 20.1, 20.9, 21.3 }, { 23.0, 22.1, 22.6 }, { 18.9, 19.4, 18.2 }, { 21.7, 21.0, 20.8 } };
    double flat[12];
    uint32_t group[12];
    struct invented *study = invented_new();
    for (size_t i = 0; i < 12; i++) {
        flat[i] = values[i / 3][i % 3];
        group[i] = (uint32_t)(i / 3);
        add(study, "m", batch_names[i / 3], flat[i]);
    }
    struct grouped_data data = { flat, group, 12, 4 };
    struct anova table;
    CU_ASSERT_EQUAL_FATAL(anova_one_way(&data, &table, NULL), STATUS_OK);
    struct precision precision = anova_precision(&table);
    struct quality quality = measure(study);
    const struct quality_mix *mix = &quality.mixes[0];
    check_close("s_r", mix->repeatability_sd, precision.repeatability_sd, 1e-6);
    check_close("s_L", mix->batch_sd, precision.between_sd, 1e-6);
    check_close("s_R", mix->reproducibility_sd, precision.reproducibility_sd, 1e-6);
    check_close("r", mix->repeatability_limit, 2.771808 * precision.repeatability_sd, 1e-6);
    check_close("R", mix->reproducibility_limit, 2.771808 * precision.reproducibility_sd, 1e-6);
    finish(study, &quality);
}

/* Variances 0.01, 0.01, 4: C = 4 / 4.02; ASTM and ISO tables give 0.871 as the 5 % limit for three groups of three. */
static void test_cochran(void)
{
    static const double values[3][3] = { { 10.0, 10.1, 9.9 }, { 11.0, 11.1, 10.9 }, { 12.0, 14.0, 10.0 } };
    struct invented *study = invented_new();
    for (size_t i = 0; i < 9; i++)
        add(study, "m", batch_names[i / 3], values[i / 3][i % 3]);
    struct quality quality = measure(study);
    const struct quality_mix *mix = &quality.mixes[0];
    CU_ASSERT_EQUAL(mix->n_variances, 3);
    CU_ASSERT_EQUAL(mix->wildest_batch, 2);
    check_close("C", mix->cochran, 4 / 4.02, 1e-9);
    check_close("p", mix->cochran_p, outlier_cochran_p(4 / 4.02, 3, 2), 1e-6);
    finish(study, &quality);
}

/* Relative scatter pools over mixes of unlike strength; a mix without companions adds nothing. */
static void test_pooled_over_mixes(void)
{
    struct invented *study = invented_new();
    const double strong[] = { 39, 40, 41 }, weak[] = { 3.8, 4.0, 4.2 };
    for (size_t k = 0; k < 3; k++) {
        add(study, "strong", "1", strong[k]);
        add(study, "weak", "1", weak[k]);
    }
    add(study, "alone", "1", 10);
    struct quality quality = measure(study);
    CU_ASSERT_EQUAL(quality.n_mixes, 3);
    check_close("cv", quality.within_cv_pct, 100 * sqrt((2 * 0.025 * 0.025 + 2 * 0.05 * 0.05) / 4), 1e-9);
    check_close("df", quality.within_df, 4, 0);
    check_close("limit", quality.repeatability_limit_pct, 2.771808 * quality.within_cv_pct, 1e-6);
    CU_ASSERT_TRUE(isnan(quality.batch_cv_pct)); /* one batch a mix */
    CU_ASSERT_TRUE(isnan(quality.mixes[2].within_sd));
    finish(study, &quality);
}

/* NIST handbook 6.3.2.2: flow rates, centre 50.81, limits 45.8159 and 55.8041 with d2 rounded to 1.128. */
static void test_control_chart(void)
{
    static const double flow[] = { 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1 };
    static const int32_t day[] = { 4, 1, 7, 9, 6, 10, 2, 3, 8, 5 }; /* files need not be in order of casting */
    struct invented *study = invented_new();
    int32_t cast_on[10];
    for (size_t i = 0; i < 10; i++) {
        cast_on[i] = day[i];
        add(study, "flow", batch_names[i], flow[day[i] - 1]);
    }
    study->set.cast_on = cast_on;
    struct quality quality = measure(study);
    const struct quality_control *control = &quality.control;
    CU_ASSERT_EQUAL_FATAL(control->n_points, 10);
    CU_ASSERT_TRUE(control->by_date);
    CU_ASSERT_FALSE(control->relative);
    for (size_t i = 0; i < 10; i++)
        check_close("in order", control->points[i].shown, flow[i], 1e-12);
    check_close("centre", control->centre, 50.81, 1e-9);
    check_close("upper", control->upper, 50.81 + (55.8041 - 50.81) * 1.128 / 1.128379167, 1e-6);
    check_close("lower", control->lower, 50.81 - (50.81 - 45.8159) * 1.128 / 1.128379167, 1e-6);
    CU_ASSERT_EQUAL(control->n_beyond, 0);
    cast_on[3] = INT32_MIN; /* one without a date: the order of the file stands */
    quality_release(&quality);
    quality = measure(study);
    CU_ASSERT_FALSE(quality.control.by_date);
    check_close("first", quality.control.points[0].shown, flow[3], 1e-12);
    finish(study, &quality);
}

/* Two mixes cast in turn; each deviates from its own mean, in %, scaled for the mean it helped to make. */
static void test_control_over_mixes(void)
{
    struct invented *study = invented_new();
    const double strong[] = { 38, 42, 40, 40, 41 }, weak[] = { 4.0, 4.1, 3.9, 4.0, 2.0 };
    for (size_t j = 0; j < 5; j++) {
        add(study, "strong", batch_names[j], strong[j]);
        add(study, "weak", batch_names[j], weak[j]);
    }
    struct quality quality = measure(study);
    const struct quality_control *control = &quality.control;
    CU_ASSERT_EQUAL_FATAL(control->n_points, 10);
    CU_ASSERT_TRUE(control->relative);
    check_close("first", control->points[0].shown, 100 * (38 / 40.2 - 1) * sqrt(1.25), 1e-9);
    check_close("last", control->points[9].shown, 100 * (2 / 3.6 - 1) * sqrt(1.25), 1e-9);
    check_close("centre", control->centre, 0, 0);
    finish(study, &quality);
}

/* A batch at half the usual strength lies beyond; of seven points no limits are drawn. */
static void test_control_beyond(void)
{
    struct invented *study = invented_new();
    const double values[] = { 20.0, 20.4, 19.8, 20.1, 20.3, 10.0, 19.9, 20.2, 20.0, 20.1 };
    for (size_t j = 0; j < 7; j++)
        add(study, "m", batch_names[j], values[j]);
    struct quality quality = measure(study);
    CU_ASSERT_TRUE(isnan(quality.control.upper));
    CU_ASSERT_EQUAL(quality.control.n_beyond, 0);
    quality_release(&quality);
    for (size_t j = 7; j < 10; j++)
        add(study, "m", batch_names[j], values[j]);
    quality = measure(study);
    CU_ASSERT_EQUAL(quality.control.n_beyond, 1);
    CU_ASSERT_TRUE(quality.control.points[5].beyond);
    finish(study, &quality);
}

static void test_nothing_to_measure(void)
{
    struct invented *study = invented_new();
    struct invented_row row = { "m", "pumice", "1", 0.3, 28, MOISTURE_AIR_DRY };
    invented_value(study, invented_add(study, &row), PROPERTY_DENSITY, 1400);
    struct quality quality = measure(study);
    CU_ASSERT_EQUAL(quality.n_mixes, 0);
    CU_ASSERT_EQUAL(quality.n_specimens, 0);
    finish(study, &quality);
}

static void test_classes(void)
{
    check_text(quality_class(1.9), "excellent");
    check_text(quality_class(2.0), "very good");
    check_text(quality_class(3.9), "good");
    check_text(quality_class(4.9), "fair");
    check_text(quality_class(5.1), "poor");
    CU_ASSERT_PTR_NULL(quality_class(NAN));
}

int main(void)
{
    static const struct check_case cases[] = {
        { "within", test_within },
        { "precision", test_precision_is_iso },
        { "Cochran", test_cochran },
        { "pooled over mixes", test_pooled_over_mixes },
        { "control chart", test_control_chart },
        { "control chart over mixes", test_control_over_mixes },
        { "beyond control", test_control_beyond },
        { "nothing to measure", test_nothing_to_measure },
        { "classes", test_classes },
    };
    return check_run("quality_measure", cases, sizeof cases / sizeof cases[0]);
}
