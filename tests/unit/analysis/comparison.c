/* Comparison of mixes and aggregates through a specimen set. Sources beside the checks; R is R 4.2.2. */
#include "comparing.h"

#include "stats/distribution.h"

static void add(struct invented *study, const char *mix, const char *batch, double strength_mpa)
{
    struct invented_row row = { mix, "pumice", batch, NAN, 28, MOISTURE_AIR_DRY };
    invented_value(study, invented_add(study, &row), PROPERTY_COMPRESSIVE_STRENGTH, strength_mpa);
}

/* The pair a - b, turned when it is kept as b - a. */
static struct comparison pair_of(const struct mix_comparison *answer, size_t a, size_t b)
{
    const struct property_comparison *property = &answer->property[PROPERTY_COMPRESSIVE_STRENGTH];
    for (size_t i = 0; i < property->n_pairs; i++) {
        struct comparison pair = property->pairs[i];
        if (pair.a == a && pair.b == b)
            return pair;
        if (pair.a == b && pair.b == a) {
            struct comparison turned = pair;
            turned.difference = -pair.difference;
            turned.lower = -pair.upper;
            turned.upper = -pair.lower;
            return turned;
        }
    }
    CU_FAIL_FATAL("no such pair");
    return (struct comparison){ 0 };
}

/* NIST/SEMATECH e-Handbook 7.4.7.1, as printed to two decimals; each result stands as its own batch. */
static void test_nist_tukey(void)
{
    static const double values[4][5] = { { 6.9, 5.4, 5.8, 4.6, 4.0 }, { 8.3, 6.8, 7.8, 9.2, 6.5 }, { 8.0, 10.5, 8.1, 6.9, 9.3 }, { 5.8, 3.8, 6.1, 5.6, 6.2 } };
    static const char *const mixes[] = { "1", "2", "3", "4" };
    static const struct { size_t a, b; double lower, upper; } printed[] = {
        { 1, 0, 0.29, 4.47 }, { 2, 0, 1.13, 5.31 }, { 0, 3, -2.25, 1.93 }, { 1, 2, -2.93, 1.25 }, { 1, 3, 0.13, 4.31 }, { 2, 3, 0.97, 5.15 },
    };
    struct invented *study = invented_new();
    for (size_t i = 0; i < 20; i++)
        add(study, mixes[i / 5], NULL, values[i / 5][i % 5]);
    struct comparison_question question = ask();
    struct mix_comparison answer = compare(study, &question);
    const struct property_comparison *property = &answer.property[PROPERTY_COMPRESSIVE_STRENGTH];
    CU_ASSERT_TRUE(property->available);
    CU_ASSERT_EQUAL(property->pairs_method, COMPARISON_TUKEY_KRAMER);
    CU_ASSERT_FALSE(answer.batches_told);
    check_close("F", property->equal_means_f, 9.72384, 1e-5);
    check_close("p", property->equal_means_p, 0.000684454, 1e-5);
    for (size_t i = 0; i < 6; i++) {
        struct comparison pair = pair_of(&answer, printed[i].a, printed[i].b);
        CU_ASSERT_TRUE(fabs(pair.lower - printed[i].lower) <= 0.0051);
        CU_ASSERT_TRUE(fabs(pair.upper - printed[i].upper) <= 0.0051);
        check_close("half width", (pair.upper - pair.lower) / 2, 2.08737, 1e-5);
    }
    finish(study, &answer);
}

/* 28-day cubes of aerated concrete: Assoka, Mwero, Pindra, Kawai 2025 (CC BY 4.0, datasets/aerated-aluminium); p from R's TukeyHSD. */
static void test_aerated(void)
{
    static const double values[6][3] = { { 52.028, 54.602, 52.133 }, { 32.571, 30.977, 33.331 }, { 26.560, 29.231, 28.845 },
                                         { 27.635, 24.091, 26.066 }, { 24.250, 25.854, 25.086 }, { 23.971, 22.621, 23.276 } };
    static const char *const mixes[] = { "AL0", "AL1", "AL2", "AL3", "AL4", "AL5" };
    static const struct { size_t a, b; double difference, lower, upper, p; } r[] = {
        { 1, 0, -20.628, -24.151313196, -17.1046868043, 2.372973151e-09 },
        { 2, 1, -4.081, -7.604313196, -0.5576868043, 2.039673821e-02 },
        { 3, 2, -2.2813333333, -5.804646529, 1.2419798624, 3.153348978e-01 },
        { 4, 2, -3.1486666667, -6.671979862, 0.3746465291, 9.029474883e-02 },
        { 4, 3, -0.8673333333, -4.390646529, 2.6559798624, 9.566288912e-01 },
        { 5, 3, -2.6413333333, -6.164646529, 0.8819798624, 1.931706837e-01 },
        { 5, 4, -1.774, -5.297313196, 1.7493131957, 5.611446697e-01 },
    };
    struct invented *study = invented_new();
    for (size_t i = 0; i < 18; i++)
        add(study, mixes[i / 3], NULL, values[i / 3][i % 3]);
    struct comparison_question question = ask();
    struct mix_comparison answer = compare(study, &question);
    check_close("F", answer.property[PROPERTY_COMPRESSIVE_STRENGTH].equal_means_f, 221.72, 1e-5);
    for (size_t i = 0; i < sizeof r / sizeof r[0]; i++) {
        struct comparison pair = pair_of(&answer, r[i].a, r[i].b);
        check_close("difference", pair.difference, r[i].difference, 1e-9);
        check_close("lower", pair.lower, r[i].lower, 1e-7);
        check_close("upper", pair.upper, r[i].upper, 1e-7);
        CU_ASSERT_TRUE(fabs(pair.p - r[i].p) <= fmax(1e-9, 1e-6 * r[i].p)); /* below 1e-8 R's own tail is a matter of its rounding */
    }
    finish(study, &answer);
}

/* C. W. Dunnett 1955, blood counts against a control, sizes 6, 4 and 5; p and limits by two-fold quadrature in R. */
static void test_dunnett(void)
{
    static const double control[] = { 7.40, 8.50, 7.20, 8.24, 9.84, 8.32 }, a[] = { 9.76, 8.80, 7.68, 9.36 },
                        b[] = { 12.80, 9.68, 12.16, 9.20, 10.55 };
    struct invented *study = invented_new();
    for (size_t i = 0; i < 4; i++)
        add(study, "A", NULL, a[i]);
    for (size_t i = 0; i < 6; i++)
        add(study, "control", NULL, control[i]);
    for (size_t i = 0; i < 5; i++)
        add(study, "B", NULL, b[i]);
    struct comparison_question question = ask();
    question.reference_mix = "control";
    struct mix_comparison answer = compare(study, &question);
    const struct property_comparison *property = &answer.property[PROPERTY_COMPRESSIVE_STRENGTH];
    CU_ASSERT_EQUAL(answer.reference, 1);
    CU_ASSERT_EQUAL(property->against_method, COMPARISON_DUNNETT);
    CU_ASSERT_EQUAL_FATAL(property->n_against, 2);
    CU_ASSERT_EQUAL(property->against[0].a, 0);
    CU_ASSERT_EQUAL(property->against[0].b, 1);
    CU_ASSERT_EQUAL(property->against[1].a, 2);
    check_close("A", property->against[0].p, 0.62010198001845, 1e-8);
    check_close("B", property->against[1].p, 0.00582536084795, 1e-7);
    check_close("B lower", property->against[1].lower, 0.8397282064, 1e-8);
    check_close("B upper", property->against[1].upper, 4.4162717936, 1e-8);
    finish(study, &answer);
}

/* Three invented mixes of three batches; as many specimens again in every batch teach nothing about how batches differ. */
static struct invented *batched(size_t specimens)
{
    static const double means[3][3] = { { 20, 22, 21.5 }, { 25, 24.1, 26.2 }, { 19, 20.4, 18.3 } };
    static const char *const mixes[] = { "a", "b", "c" }, *const batches[] = { "1", "2", "3" };
    struct invented *study = invented_new();
    for (size_t i = 0; i < 9; i++)
        for (size_t k = 0; k < specimens; k++)
            add(study, mixes[i / 3], batches[i % 3], means[i / 3][i % 3] + 0.5 * ((double)k - ((double)specimens - 1) / 2));
    return study;
}

static void test_batch_is_the_unit(void)
{
    struct comparison_question question = ask();
    struct invented *few = batched(2), *many = batched(8);
    struct mix_comparison of_few = compare(few, &question), of_many = compare(many, &question);
    CU_ASSERT_TRUE(of_few.batches_told);
    CU_ASSERT_EQUAL(of_many.property[PROPERTY_COMPRESSIVE_STRENGTH].n_batches, 9);
    for (size_t a = 1; a < 3; a++) {
        struct comparison one = pair_of(&of_few, a, 0), other = pair_of(&of_many, a, 0);
        check_close("df", one.df, 6, 0);
        check_close("p", other.p, one.p, 1e-9);
        check_close("lower", other.lower, one.lower, 1e-9);
    }
    finish(few, &of_few);
    finish(many, &of_many);
}

/* One invented mix scatters forty times as much as the others: each is then judged by its own scatter. */
static void test_unequal_spread(void)
{
    static const char *const mixes[] = { "a", "b", "c" };
    static const double deviation[] = { -1.5, -1.1, -0.6, -0.2, 0.3, 0.7, 1.0, 1.4 }, scale[] = { 0.1, 0.12, 4 };
    struct invented *study = invented_new();
    double values[3][8];
    for (size_t i = 0; i < 24; i++)
        add(study, mixes[i / 8], NULL, values[i / 8][i % 8] = 10 + (double)(i / 8) + scale[i / 8] * deviation[i % 8]);
    struct comparison_question question = ask();
    question.reference_mix = "a";
    struct mix_comparison answer = compare(study, &question);
    const struct property_comparison *property = &answer.property[PROPERTY_COMPRESSIVE_STRENGTH];
    CU_ASSERT_EQUAL(property->pairs_method, COMPARISON_GAMES_HOWELL);
    CU_ASSERT_EQUAL(property->against_method, COMPARISON_WELCH);
    CU_ASSERT_PTR_NOT_NULL(strstr(property->reason, "own scatter"));
    struct summary a = summary_of(values[0], 8), b = summary_of(values[1], 8);
    struct comparison welch, direct[3], pair = pair_of(&answer, 1, 0);
    struct summary groups[3] = { a, b, summary_of(values[2], 8) };
    CU_ASSERT_EQUAL(compare_games_howell(groups, 3, 0.95, direct), STATUS_OK);
    check_close("Games-Howell", pair.p, direct[0].p, 1e-12);
    CU_ASSERT_EQUAL(compare_welch(&b, &a, COMPARE_TWO_SIDED, 0.975, &welch), STATUS_OK);
    check_close("Bonferroni lower", property->against[0].lower, welch.lower, 1e-12);
    check_close("Bonferroni p", property->against[0].p, 2 * welch.p, 1e-12);
    finish(study, &answer);
}

/* Invented mixes that scatter by a tenth of their mean, whatever it is: ratios are compared, by Tukey-Kramer on logarithms. */
static void test_proportional_spread(void)
{
    static const char *const mixes[] = { "a", "b", "c" };
    static const double factor[] = { 0.88, 0.93, 0.97, 1.0, 1.04, 1.06, 1.09, 1.03 }, level[] = { 1, 8, 60 };
    struct invented *study = invented_new();
    struct summary logs[3];
    for (size_t i = 0; i < 3; i++) {
        double own[8];
        for (size_t j = 0; j < 8; j++) {
            const double value = level[i] * (i == 1 ? factor[(j + 3) % 8] : factor[j]);
            own[j] = log(value);
            add(study, mixes[i], NULL, value);
        }
        logs[i] = summary_of(own, 8);
    }
    struct comparison_question question = ask();
    question.reference_mix = "c";
    struct mix_comparison answer = compare(study, &question);
    const struct property_comparison *property = &answer.property[PROPERTY_COMPRESSIVE_STRENGTH];
    struct comparison direct[3], pair = pair_of(&answer, 1, 0);
    CU_ASSERT_EQUAL(property->pairs_method, COMPARISON_TUKEY_KRAMER);
    CU_ASSERT_EQUAL(property->against_method, COMPARISON_DUNNETT);
    CU_ASSERT_TRUE(property->log_scale);
    CU_ASSERT_PTR_NOT_NULL(strstr(property->reason, "ratios"));
    CU_ASSERT_EQUAL(compare_tukey_kramer(logs, 3, 0.95, direct), STATUS_OK);
    check_close("p", pair.p, direct[0].p, 1e-9);
    check_close("difference", pair.difference, 7, 1e-9);
    /* a^2 - b^2 over 2 sqrt(ab) is what sinh says; here sqrt(ab) from the logarithms' means */
    const double geometric = exp((logs[0].mean + logs[1].mean) / 2), ratio = exp(direct[0].lower);
    check_close("lower", pair.lower, geometric * (sqrt(ratio) - 1 / sqrt(ratio)), 1e-9);
    CU_ASSERT_TRUE(pair.lower < pair.difference && pair.difference < pair.upper);
    finish(study, &answer);
}

/* Two batches each: Brown-Forsythe has nothing to go by, and no mix is judged by its own scatter. */
static void test_two_batches_each(void)
{
    static const double values[4][2] = { { 4.7, 4.9 }, { 8.2, 7.8 }, { 12.0, 12.4 }, { 35.2, 35.5 } };
    static const char *const mixes[] = { "a", "b", "c", "d" };
    struct invented *study = invented_new();
    for (size_t i = 0; i < 8; i++)
        add(study, mixes[i / 2], NULL, values[i / 2][i % 2]);
    struct comparison_question question = ask();
    struct mix_comparison answer = compare(study, &question);
    const struct property_comparison *property = &answer.property[PROPERTY_COMPRESSIVE_STRENGTH];
    CU_ASSERT_TRUE(isnan(property->spread.p));
    CU_ASSERT_TRUE(property->bartlett.p > 0.01);
    CU_ASSERT_EQUAL(property->pairs_method, COMPARISON_TUKEY_KRAMER);
    CU_ASSERT_FALSE(property->log_scale);
    finish(study, &answer);
}

/* One batch a mix: means, but nothing to judge differences by. */
static void test_one_batch_each(void)
{
    struct invented *study = invented_new();
    for (size_t k = 0; k < 3; k++) {
        add(study, "a", "1", 10 + (double)k);
        add(study, "b", "1", 20 + (double)k);
    }
    struct comparison_question question = ask();
    struct mix_comparison answer = compare(study, &question);
    const struct property_comparison *property = &answer.property[PROPERTY_COMPRESSIVE_STRENGTH];
    CU_ASSERT_FALSE(property->available);
    CU_ASSERT_PTR_NOT_NULL(strstr(property->reason, "two batches"));
    check_close("mean", answer.means.items[1].property[PROPERTY_COMPRESSIVE_STRENGTH].mean, 21, 1e-12);
    finish(study, &answer);
}

static void test_one_mix(void)
{
    struct invented *study = invented_new();
    struct mix_comparison answer;
    struct problem problem = { 0 };
    struct comparison_question question = ask();
    add(study, "a", "1", 10);
    CU_ASSERT_EQUAL(mix_comparison_make(&study->set, &question, &answer, &problem), STATUS_TOO_FEW);
    question.reference_mix = "z";
    CU_ASSERT_EQUAL(mix_comparison_make(&study->set, &question, &answer, &problem), STATUS_USAGE);
    free(study);
}

/*
 * Batch means 2290, 2300, 2310 and 1210, 1200, 1195. The ratios r that agree with them solve
 * (x - r y)^2 = t^2 (vx + r^2 vy): a quadratic, solved here.
 */
static void test_percent_lighter(void)
{
    static const double heavy[] = { 2290, 2300, 2310 }, light[] = { 1210, 1200, 1195 };
    static const char *const batches[] = { "1", "2", "3" };
    struct invented *study = invented_new();
    for (size_t j = 0; j < 3; j++) {
        add_both(study, "gravel", "gravel", 0, batches[j], heavy[j], NAN);
        add_both(study, "light", "pumice", 0.6, batches[j], light[j], NAN);
    }
    struct comparison_question question = ask();
    struct mix_comparison answer = compare(study, &question);
    CU_ASSERT_EQUAL(answer.reference, 0);
    const double x = 3605.0 / 3, y = 2300, vx = 175.0 / 3 / 3, vy = 100.0 / 3, r0 = x / y;
    const double df = pow(vx + r0 * r0 * vy, 2) / (vx * vx / 2 + pow(r0 * r0 * vy, 2) / 2);
    const double t = t_quantile(0.975, df), a = y * y - t * t * vy, b = x * y, c = x * x - t * t * vx;
    const double root = sqrt(b * b - a * c);
    CU_ASSERT_TRUE(answer.means.items[1].percent_lighter.bounded);
    check_close("estimate", answer.means.items[1].percent_lighter.estimate, 100 * (1 - r0), 1e-9);
    check_close("lower", answer.means.items[1].percent_lighter.lower, 100 * (1 - (b + root) / a), 1e-7);
    check_close("upper", answer.means.items[1].percent_lighter.upper, 100 * (1 - (b - root) / a), 1e-7);
    finish(study, &answer);
}

/* The reference belongs to the answer also when its aggregate was not asked for; others do not. */
static void test_selection(void)
{
    static const char *const wanted[] = { "pumice" };
    struct invented *study = invented_new();
    for (size_t j = 0; j < 2; j++) {
        const char *const batch = j ? "2" : "1";
        add_both(study, "gravel", "gravel", 0, batch, 2300 + (double)j, 40);
        add_both(study, "p", "pumice", 0.4, batch, 1500 + (double)j, 20);
        add_both(study, "q", "perlite", 0.4, batch, 1200 + (double)j, 10);
    }
    struct comparison_question question = ask();
    question.selection.aggregates = wanted;
    question.selection.n_aggregates = 1;
    struct mix_comparison answer = compare(study, &question);
    CU_ASSERT_TRUE(answer.shown[0] && answer.shown[1] && !answer.shown[2]);
    CU_ASSERT_EQUAL(answer.property[PROPERTY_DENSITY].n_pairs, 1);
    finish(study, &answer);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "NIST Tukey", test_nist_tukey },
        { "aerated", test_aerated },
        { "Dunnett 1955", test_dunnett },
        { "batch is the unit", test_batch_is_the_unit },
        { "unequal spread", test_unequal_spread },
        { "proportional spread", test_proportional_spread },
        { "two batches each", test_two_batches_each },
        { "one batch each", test_one_batch_each },
        { "one mix", test_one_mix },
        { "percent lighter", test_percent_lighter },
        { "selection", test_selection },
    };
    return check_run("comparison", cases, sizeof cases / sizeof cases[0]);
}
