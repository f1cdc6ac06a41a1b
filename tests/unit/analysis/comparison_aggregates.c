/* Aggregates at equal density and at the target strength, against what is worked out here by hand. */
#include "comparing.h"

/* Two aggregates on lines ln f = a + 0.002 d that lie 0.3 apart, mixes off by small known amounts. */
static struct invented *on_lines(double slope_of_second)
{
    static const char *const mixes[2][4] = { { "k1", "k2", "k3", "k4" }, { "p1", "p2", "p3", "p4" } };
    static const double off[] = { 0.01, -0.01, -0.01, 0.01 };
    struct invented *study = invented_new();
    for (size_t g = 0; g < 2; g++)
        for (size_t i = 0; i < 4; i++)
            for (size_t j = 0; j < 2; j++) {
                const double density = 1200 + 200 * (double)i + 50 * (double)g, slope = g ? slope_of_second : 0.002;
                const double strength = exp(0.5 + 0.3 * (double)g + 0.002 * 1500 + slope * (density - 1500) + off[i]);
                add_both(study, mixes[g][i], g ? "pumice" : "clay", 0.2 + 0.1 * (double)(3 - i), j ? "2" : "1", density, strength);
            }
    return study;
}

static void test_lines(void)
{
    struct invented *study = on_lines(0.002);
    struct comparison_question question = ask();
    struct mix_comparison answer = compare(study, &question);
    const struct line_comparison *lines = &answer.lines[PROPERTY_COMPRESSIVE_STRENGTH];
    CU_ASSERT_TRUE_FATAL(lines->available);
    CU_ASSERT_TRUE(lines->parallel && lines->log_scale);
    CU_ASSERT_EQUAL(lines->predictor, PROPERTY_DENSITY);
    CU_ASSERT_EQUAL_FATAL(lines->n_pairs, 1);
    check_close("slope", lines->lines.slope, 0.002, 1e-9);
    check_close("difference", lines->pairs[0].difference, 0.3, 1e-9);
    check_close("df", lines->pairs[0].df, 5, 0);
    /* residuals of 0.01 each about parallel lines: s^2 = 8e-4 / 5; x means 50 apart, within squares 2 x 200000 */
    check_close("std error", lines->pairs[0].std_error, sqrt(8e-4 / 5 * (0.5 + 2500.0 / 400000)), 1e-6);
    CU_ASSERT_EQUAL(answer.lines[PROPERTY_DENSITY].predictor, PROPERTY_COUNT);
    finish(study, &answer);
    study = on_lines(0.003);
    answer = compare(study, &question);
    CU_ASSERT_FALSE(answer.lines[PROPERTY_COMPRESSIVE_STRENGTH].parallel);
    finish(study, &answer);
}

static void test_no_lines(void)
{
    struct invented *study = invented_new();
    for (size_t j = 0; j < 4; j++)
        add_both(study, j < 2 ? "p" : "q", "pumice", j < 2 ? 0.2 : 0.4, j % 2 ? "2" : "1", 1500 - 100 * (double)j, 20 - (double)j);
    struct comparison_question question = ask();
    struct mix_comparison answer = compare(study, &question);
    CU_ASSERT_FALSE(answer.lines[PROPERTY_COMPRESSIVE_STRENGTH].available);
    CU_ASSERT_PTR_NOT_NULL(strstr(answer.lines[PROPERTY_COMPRESSIVE_STRENGTH].reason, "fewer than two aggregates"));
    finish(study, &answer);
}

/* Invented results near f = 40 - 50 x and d = 2100 - 1500 x (pumice), each specimen its own batch. */
static const double pumice_x[8] = { 0.1, 0.1, 0.3, 0.3, 0.5, 0.5, 0.7, 0.7 };
static const double pumice_f[8] = { 35.6, 34.1, 24.4, 25.9, 15.3, 14.2, 4.6, 5.9 };
static const double pumice_d[8] = { 1962, 1941, 1638, 1661, 1357, 1339, 1041, 1062 };

static struct invented *two_aggregates(void)
{
    static const char *const pumice[] = { "p1", "p1", "p3", "p3", "p5", "p5", "p7", "p7" }, *const clay[] = { "c1", "c1", "c3", "c3", "c5", "c5", "c7", "c7" };
    struct invented *study = invented_new();
    for (size_t i = 0; i < 8; i++)
        add_both(study, pumice[i], "pumice", pumice_x[i], NULL, pumice_d[i], pumice_f[i]);
    for (size_t i = 0; i < 8; i++)
        add_both(study, clay[i], "clay", pumice_x[i], NULL, pumice_d[i] - 100, pumice_f[i]);
    return study;
}

struct line { double mean_x, mean_y, xx, xy, slope, variance; };

static struct line fit(const double *x, const double *y)
{
    struct line line = { 0 };
    for (size_t i = 0; i < 8; i++) {
        line.mean_x += x[i] / 8;
        line.mean_y += y[i] / 8;
    }
    for (size_t i = 0; i < 8; i++) {
        line.xx += (x[i] - line.mean_x) * (x[i] - line.mean_x);
        line.xy += (x[i] - line.mean_x) * (y[i] - line.mean_y);
    }
    line.slope = line.xy / line.xx;
    for (size_t i = 0; i < 8; i++)
        line.variance += pow(y[i] - line.mean_y - line.slope * (x[i] - line.mean_x), 2) / 6;
    return line;
}

/* Density at 20 MPa by hand: with one design the crossing is linear in z = d - (D'/S') f, whose own line gives the error. */
static void test_at_target(void)
{
    struct invented *study = two_aggregates();
    struct comparison_question question = ask();
    question.law = LAW_LINEAR;
    question.targets[0] = (struct comparison_target){ PROPERTY_COMPRESSIVE_STRENGTH, 20 };
    question.n_targets = 1;
    struct mix_comparison answer = compare(study, &question);
    const struct target_comparison *target = &answer.targets[0];
    CU_ASSERT_EQUAL_FATAL(answer.n_targets, 1);
    CU_ASSERT_EQUAL_FATAL(target->n_aggregates, 2);
    const struct line f = fit(pumice_x, pumice_f), d = fit(pumice_x, pumice_d);
    const double x = f.mean_x + (20 - f.mean_y) / f.slope, rate = d.slope / f.slope;
    double z[8];
    for (size_t i = 0; i < 8; i++)
        z[i] = pumice_d[i] - rate * pumice_f[i];
    const struct line difference = fit(pumice_x, z);
    const double error = sqrt(difference.variance * (1.0 / 8 + (x - f.mean_x) * (x - f.mean_x) / f.xx));
    const struct aggregate_at_target *pumice = &target->aggregates[0];
    CU_ASSERT_EQUAL(pumice->reach, REACH_FOUND);
    check_close("fraction", pumice->aggregate_fraction, x, 1e-7);
    check_close("density", pumice->density_kg_m3, d.mean_y + d.slope * (x - d.mean_x), 1e-7);
    check_close("std error", pumice->std_error, error, 1e-5);
    CU_ASSERT_EQUAL_FATAL(target->n_pairs, 1);
    check_close("pair", target->pairs[0].difference, -100, 1e-6);
    check_close("pair error", target->pairs[0].std_error, error * sqrt(2), 1e-5);
    finish(study, &answer);
}

static void test_target_out_of_reach(void)
{
    struct invented *study = two_aggregates();
    struct comparison_question question = ask();
    question.law = LAW_LINEAR;
    question.targets[0] = (struct comparison_target){ PROPERTY_COMPRESSIVE_STRENGTH, 50 };
    question.targets[1] = (struct comparison_target){ PROPERTY_COMPRESSIVE_STRENGTH, 2 };
    question.targets[2] = (struct comparison_target){ PROPERTY_FLEXURAL_STRENGTH, 2 };
    question.n_targets = 3;
    struct mix_comparison answer = compare(study, &question);
    const struct line f = fit(pumice_x, pumice_f), d = fit(pumice_x, pumice_d);
    const struct aggregate_at_target *nowhere = &answer.targets[0].aggregates[0], *beyond = &answer.targets[1].aggregates[0];
    CU_ASSERT_EQUAL(nowhere->reach, REACH_NOWHERE);
    check_close("best", nowhere->best, f.mean_y + f.slope * (0.1 - f.mean_x), 1e-7);
    CU_ASSERT_TRUE(isnan(nowhere->density_kg_m3));
    CU_ASSERT_EQUAL(beyond->reach, REACH_BEYOND);
    check_close("lightest", beyond->density_kg_m3, d.mean_y + d.slope * (0.7 - d.mean_x), 1e-7);
    CU_ASSERT_EQUAL(answer.targets[1].n_pairs, 0);
    CU_ASSERT_EQUAL(answer.targets[2].aggregates[0].reach, REACH_NO_CURVE);
    CU_ASSERT_TRUE(answer.targets[2].aggregates[0].reason[0] != '\0');
    finish(study, &answer);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "lines", test_lines },
        { "no lines", test_no_lines },
        { "at target", test_at_target },
        { "target out of reach", test_target_out_of_reach },
    };
    return check_run("comparison_aggregates", cases, sizeof cases / sizeof cases[0]);
}
