/*
 * Flags on companion specimens. Sources beside the checks; what is called
 * invented was made for this test.
 */
#include "support/check.h"
#include "support/invented.h"

#include "analysis/quality.h"
#include "stats/outlier.h"
#include "stats/random.h"

static size_t add(struct invented *study, const char *mix, const char *batch, double age_days, double strength_mpa)
{
    struct invented_row row = { mix, "pumice", batch, 0.3, age_days, MOISTURE_AIR_DRY };
    size_t i = invented_add(study, &row);
    invented_value(study, i, PROPERTY_COMPRESSIVE_STRENGTH, strength_mpa);
    return i;
}

static struct quality_findings flag(struct invented *study)
{
    struct quality_findings findings;
    CU_ASSERT_EQUAL(quality_flag(&study->set, &findings, NULL), STATUS_OK);
    return findings;
}

static void finish(struct invented *study, struct quality_findings *findings)
{
    quality_findings_release(findings);
    free(study);
}

/* ASTM C39 prints 9.0 and 10.6 % for 2 and 3 cylinders of 100 x 200 mm, 8.0 and 9.5 % for field-made 150 x 300 mm. */
static void test_limits(void)
{
    check_close("C39 4x8, 2", quality_range_limit_pct(3.2, 2), 8.86978, 1e-6);
    check_close("C39 4x8, 3", quality_range_limit_pct(3.2, 3), 10.6064, 1e-5);
    check_close("C39 field, 2", quality_range_limit_pct(2.87, 2), 7.95509, 1e-6);
    check_close("C39 field, 3", quality_range_limit_pct(2.87, 3), 9.51260, 1e-6);
    CU_ASSERT_TRUE(isnan(quality_range_limit_pct(3.2, 1)));
}

static void test_reference(void)
{
    const char *method = NULL;
    check_close("compression", quality_reference_cv_pct(PROPERTY_COMPRESSIVE_STRENGTH, &method), 3.2, 0);
    CU_ASSERT_PTR_NOT_NULL_FATAL(method);
    CU_ASSERT_PTR_NOT_NULL(strstr(method, "C39"));
    CU_ASSERT_TRUE(isnan(quality_reference_cv_pct(PROPERTY_ABSORPTION, &method)));
    CU_ASSERT_PTR_NULL(method);
}

/* 24.1, 25.3, 23.6 MPa: range 6.98630 % of the mean, within 10.6 %. With 21.6 for 23.6 it is 15.6 %. */
static void test_range(void)
{
    struct invented *study = invented_new();
    const double good[] = { 24.1, 25.3, 23.6 }, wide[] = { 24.1, 25.3, 21.6 };
    for (size_t k = 0; k < 3; k++)
        add(study, "good", "1", 28, good[k]);
    for (size_t k = 0; k < 3; k++)
        add(study, "wide", "1", 28, wide[k]);
    struct quality_findings findings = flag(study);
    CU_ASSERT_EQUAL(findings.n_items, 0);
    for (size_t i = 0; i < 6; i++)
        CU_ASSERT_EQUAL(study->flags[i] & FLAG_RANGE_WIDE, i < 3 ? 0 : FLAG_RANGE_WIDE);
    CU_ASSERT_EQUAL(findings.range[PROPERTY_COMPRESSIVE_STRENGTH].n_batches, 2);
    CU_ASSERT_EQUAL(findings.range[PROPERTY_COMPRESSIVE_STRENGTH].n_wide, 1);
    finish(study, &findings);
}

/* Three specimens of mean 20 MPa whose range is a hair below 10.6064 % of it, and a hair above. */
static void test_range_at_the_limit(void)
{
    struct invented *study = invented_new();
    const double half[] = { 1.06063, 1.06065 };
    for (size_t batch = 0; batch < 2; batch++)
        for (int k = -1; k <= 1; k++)
            add(study, "near", batch ? "above" : "below", 28, 20 + k * half[batch]);
    struct quality_findings findings = flag(study);
    for (size_t i = 0; i < 6; i++)
        CU_ASSERT_EQUAL(study->flags[i] & FLAG_RANGE_WIDE, i < 3 ? 0 : FLAG_RANGE_WIDE);
    CU_ASSERT_EQUAL(findings.range[PROPERTY_COMPRESSIVE_STRENGTH].n_wide, 1);
    finish(study, &findings);
}

/* The same wide batch at 700 kg/m3: nothing to hold it against. */
static void test_light_has_no_limit(void)
{
    struct invented *study = invented_new();
    const double strength[] = { 24.1, 25.3, 21.6 };
    for (size_t k = 0; k < 3; k++)
        invented_value(study, add(study, "light", "1", 28, strength[k]), PROPERTY_DENSITY, 700 + (double)k);
    struct quality_findings findings = flag(study);
    CU_ASSERT_EQUAL(findings.n_items, 0);
    CU_ASSERT_EQUAL(findings.range[PROPERTY_COMPRESSIVE_STRENGTH].n_not_established, 1);
    CU_ASSERT_EQUAL(findings.range[PROPERTY_COMPRESSIVE_STRENGTH].n_batches, 0);
    finish(study, &findings);
}

/* Grubbs's data from NIST handbook 1.3.5.17.1 (Tietjen and Moore 1972) as one batch: the test must be Grubbs's own. */
static void test_one_batch_is_grubbs(void)
{
    static const double values[] = { 199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57 };
    struct invented *study = invented_new();
    struct outlier outlier;
    for (size_t i = 0; i < 8; i++)
        add(study, "nist", "1", 28, values[i]);
    struct quality_findings findings = flag(study);
    CU_ASSERT_EQUAL_FATAL(findings.n_items, 1);
    const struct quality_finding *finding = &findings.items[findings.n_items - 1];
    CU_ASSERT_EQUAL(outlier_grubbs(values, 8, OUTLIER_EITHER, &outlier), STATUS_OK);
    CU_ASSERT_EQUAL(finding->row, 7);
    CU_ASSERT_EQUAL(outlier.index, 7);
    check_close("p", finding->p, outlier.p, 1e-6);
    check_close("others", finding->companions_mean, 1405.90 / 7, 1e-12);
    CU_ASSERT_EQUAL(study->flags[7] & FLAG_OUTLIER, FLAG_OUTLIER);
    CU_ASSERT_EQUAL(study->flags[6] & FLAG_OUTLIER, 0);
    finish(study, &findings);
}

/* Four invented batches of three; their means differ, one specimen has two thirds of its neighbours' strength. */
static struct invented *honeycombed(double age_of_the_bad)
{
    static const double values[4][3] = { { 22.0, 22.9, 22.4 }, { 22.2, 14.6, 23.1 }, { 24.9, 25.4, 24.3 }, { 20.6, 21.0, 21.4 } };
    static const char *const batches[] = { "1", "2", "3", "4" };
    struct invented *study = invented_new();
    for (size_t j = 0; j < 4; j++)
        for (size_t k = 0; k < 3; k++)
            add(study, "pumice-30", batches[j], j == 1 && k == 1 ? age_of_the_bad : 28, values[j][k]);
    return study;
}

static void test_honeycombed(void)
{
    struct invented *study = honeycombed(28);
    struct quality_findings findings = flag(study);
    CU_ASSERT_EQUAL_FATAL(findings.n_items, 1);
    const struct quality_finding *finding = &findings.items[findings.n_items - 1];
    CU_ASSERT_EQUAL(finding->row, 4);
    check_close("neighbours", finding->companions_mean, (22.2 + 23.1) / 2, 1e-12);
    CU_ASSERT_EQUAL(study->set.n, 12); /* flagged, not removed */
    check_close("value stays", study->value[PROPERTY_COMPRESSIVE_STRENGTH][4], 14.6, 0);
    finish(study, &findings);
}

/* By hand: deviations about batch means, pooled over 8 df; t on 7 df, 12 specimens. */
static void test_honeycombed_by_hand(void)
{
    struct invented *study = honeycombed(28);
    struct quality_findings findings = flag(study);
    const double own = (14.6 - 59.9 / 3) * sqrt(1.5);
    double sum = 0;
    for (size_t j = 0; j < 12; j += 3) {
        const double *y = study->value[PROPERTY_COMPRESSIVE_STRENGTH] + j, mean = (y[0] + y[1] + y[2]) / 3;
        for (size_t k = 0; k < 3; k++)
            sum += (y[k] - mean) * (y[k] - mean);
    }
    const double t = fabs(own) / sqrt((sum - own * own) / 7);
    /* tail of Student's t on 7 df in closed form, a = atan(t / sqrt 7) */
    const double pi = acos(-1), a = atan(t / sqrt(7)), c = cos(a), s = sin(a);
    const double within = 2 / pi * (a + s * (c + 2.0 / 3 * pow(c, 3) + 8.0 / 15 * pow(c, 5)));
    CU_ASSERT_TRUE_FATAL(findings.n_items > 0);
    check_close("p", findings.items[findings.n_items - 1].p, 12 * (1 - within), 1e-8);
    finish(study, &findings);
}

/* At another age a low strength is no surprise. */
static void test_other_age_is_not_compared(void)
{
    struct invented *study = honeycombed(7);
    struct quality_findings findings = flag(study);
    CU_ASSERT_EQUAL(findings.n_items, 0);
    quality_findings_release(&findings);
    study->age_days[4] = 28.4; /* within half a day: the same age again */
    findings = flag(study);
    CU_ASSERT_EQUAL(findings.n_items, 1);
    quality_findings_release(&findings);
    study->moisture[4] = MOISTURE_SATURATED;
    findings = flag(study);
    CU_ASSERT_EQUAL(findings.n_items, 0);
    finish(study, &findings);
}

/* A beam loaded at its centre reads otherwise than one loaded at its third points: nothing to compare. */
static void test_other_kind_is_not_compared(void)
{
    struct invented *study = honeycombed(28);
    uint16_t kind[12] = { 0 };
    struct specimen_kind kinds[2] = { { SHAPE_BEAM, LOADING_THIRD_POINT, 100 }, { SHAPE_BEAM, LOADING_CENTRE_POINT, 100 } };
    kind[4] = 1;
    study->set.kind = kind;
    study->set.kinds = kinds;
    study->set.n_kinds = 2;
    struct quality_findings findings = flag(study);
    CU_ASSERT_EQUAL(findings.n_items, 0);
    finish(study, &findings);
}

/* Flags are set afresh each time. */
static void test_flags_are_cleared(void)
{
    struct invented *study = honeycombed(28);
    struct quality_findings findings = flag(study);
    quality_findings_release(&findings);
    study->value[PROPERTY_COMPRESSIVE_STRENGTH][4] = 22.6;
    findings = flag(study);
    CU_ASSERT_EQUAL(findings.n_items, 0);
    for (size_t i = 0; i < 12; i++)
        CU_ASSERT_EQUAL(study->flags[i], 0);
    finish(study, &findings);
}

/* In a batch of two nothing tells which one is wrong: both are named. */
static void test_pair_names_both(void)
{
    static const double first[] = { 10.0, 11.1, 12.1, 10.6, 11.4, 9.8, 10.9, 11.8 };
    static const char *const batches[] = { "1", "2", "3", "4", "5", "6", "7", "8" };
    struct invented *study = invented_new();
    for (size_t j = 0; j < 8; j++) {
        add(study, "pairs", batches[j], 28, first[j]);
        add(study, "pairs", batches[j], 28, first[j] + (j == 3 ? 3 : j % 2 ? 0.21 : -0.17));
    }
    struct quality_findings findings = flag(study);
    CU_ASSERT_EQUAL(findings.n_items, 2);
    for (size_t i = 0; i < 16; i++)
        CU_ASSERT_EQUAL(study->flags[i] & FLAG_OUTLIER, i == 6 || i == 7 ? FLAG_OUTLIER : 0);
    finish(study, &findings);
}

/* Five readings that agree after rounding and a sixth one step off. */
static void test_rounding_is_no_outlier(void)
{
    struct invented *study = invented_new();
    for (size_t k = 0; k < 6; k++)
        add(study, "rounded", k < 3 ? "1" : "2", 28, k == 5 ? 1.3 : 1.2);
    struct quality_findings findings = flag(study);
    CU_ASSERT_EQUAL(findings.n_items, 0);
    quality_findings_release(&findings);
    study->value[PROPERTY_COMPRESSIVE_STRENGTH][5] = 2.4;
    findings = flag(study);
    CU_ASSERT_EQUAL(findings.n_items, 1);
    finish(study, &findings);
}

/* Three specimens are too few for any outlier test, and constant results have none. */
static void test_too_few_and_constant(void)
{
    struct invented *study = invented_new();
    for (size_t k = 0; k < 3; k++)
        add(study, "three", "1", 28, k == 2 ? 12.0 : 10.0);
    for (size_t k = 0; k < 9; k++)
        add(study, "constant", "1", 28, 10.0);
    struct quality_findings findings = flag(study);
    CU_ASSERT_EQUAL(findings.n_items, 0);
    CU_ASSERT_EQUAL(findings.n_mixes_tested, 1);
    finish(study, &findings);
}

/* 150 sound mixes of four batches of three, strength and density; how many get a false flag? */
static size_t false_alarms(struct random_stream *random)
{
    static char names[150][8];
    static const char *const batches[] = { "1", "2", "3", "4" };
    struct invented *study = invented_new();
    for (size_t m = 0; m < 150; m++) {
        snprintf(names[m], sizeof names[m], "m%zu", m);
        for (size_t j = 0; j < 4; j++) {
            const double batch = 1 + 0.06 * random_normal(random);
            for (size_t k = 0; k < 3; k++) {
                size_t i = add(study, names[m], batches[j], 28, 20 * batch * exp(0.04 * random_normal(random)));
                invented_value(study, i, PROPERTY_DENSITY, 1400 * (1 + 0.007 * random_normal(random)));
            }
        }
    }
    struct quality_findings findings = flag(study);
    CU_ASSERT_EQUAL(findings.n_mixes_tested, 150);
    bool alarmed[150] = { false };
    size_t n = 0;
    for (size_t i = 0; i < findings.n_items; i++)
        if (!alarmed[findings.items[i].mix]) {
            alarmed[findings.items[i].mix] = true;
            n++;
        }
    finish(study, &findings);
    return n;
}

/* Nominal 5 % a mix; 30000 mixes give it to within 0.13 % (one sd). */
static void test_false_alarm_rate(void)
{
    struct random_stream *random = random_stream_new(20240304, 0);
    size_t n = 0;
    CU_ASSERT_PTR_NOT_NULL_FATAL(random);
    for (int set = 0; set < 200; set++)
        n += false_alarms(random);
    random_stream_free(random);
    fprintf(stderr, "false alarms: %zu of 30000 mixes\n", n);
    CU_ASSERT_TRUE(n > 30000 * 0.045 && n < 30000 * 0.055);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "limits", test_limits },
        { "reference", test_reference },
        { "range", test_range },
        { "range at the limit", test_range_at_the_limit },
        { "no limit below 800 kg/m3", test_light_has_no_limit },
        { "one batch is Grubbs", test_one_batch_is_grubbs },
        { "honeycombed", test_honeycombed },
        { "honeycombed by hand", test_honeycombed_by_hand },
        { "other age or state", test_other_age_is_not_compared },
        { "other kind", test_other_kind_is_not_compared },
        { "flags are set afresh", test_flags_are_cleared },
        { "pairs", test_pair_names_both },
        { "rounding", test_rounding_is_no_outlier },
        { "too few, constant", test_too_few_and_constant },
        { "false alarms", test_false_alarm_rate },
    };
    return check_run("quality", cases, sizeof cases / sizeof cases[0]);
}
