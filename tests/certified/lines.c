#include "stats/fieller.h"
#include "stats/mixed.h"
#include "support/certified.h"

/*
 * Ratios and crossings of the straight line through the studies made with
 * fixed seeds (data/synthetic), batches left aside: strength at 0.5 over
 * strength at 0, and the fraction at a strength, each with Fieller's limits
 * at 95 %. Answers by R 4.2.2 lm at 15 digits.
 */
struct line_case {
    const char *name;
    double ratio, ratio_lower, ratio_upper, ratio_g;
    double target, fraction, fraction_lower, fraction_upper;
};

static const struct line_case line_cases[] = {
    { "S1_balanced", 0.840098323126507, 0.820565814955697, 0.860472839881732, 0.000830078703114319,
      35.8, 0.46973345648875, 0.41628165255973, 0.52184614644482 },
    { "S3_zero_variance", 0.843627529499706, 0.828559297341001, 0.859191704431169, 0.000485702067602548,
      35.4, 0.477857069689624, 0.436521532806842, 0.518598297183279 },
    { "S4_one_per_batch", 0.843948704247929, 0.816804751987586, 0.87275942418236, 0.0015825738889134,
      35.4, 0.476801917479884, 0.402002301366082, 0.549450423310113 },
    { "S6_log_response", 0.808738559225607, 0.777569935311553, 0.84211383184224, 0.00231543453045109,
      34, 0.394193099045243, 0.31192997096935, 0.467133254471792 },
};

static struct fieller_line line_of(const char *name)
{
    char file[64];
    snprintf(file, sizeof file, "synthetic/%s.csv", name);
    struct certified_table table = certified_read(file);
    double *x = certified_numbers(&table, "fraction"), *y = certified_numbers(&table, "strength");
    double *design = malloc(2 * table.n_rows * sizeof *design);
    if (!design)
        abort();
    for (size_t i = 0; i < table.n_rows; i++) {
        design[2 * i] = 1;
        design[2 * i + 1] = x[i];
    }
    struct mixed_data data = { .n_rows = table.n_rows, .n_terms = 2, .design = design, .response = y };
    struct mixed_fit fit;
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(mixed_fit_estimate(&data, MIXED_LEAST_SQUARES, &fit, &problem), STATUS_OK);
    struct fieller_line line = { fit.coefficient[0], fit.coefficient[1], fit.covariance[0], fit.covariance[3],
                                 fit.covariance[1], fit.residual_df };
    mixed_fit_release(&fit);
    free(design);
    free(x);
    free(y);
    certified_release(&table);
    return line;
}

static void check_ratio(const struct line_case *want, const struct fieller_line *line)
{
    double half = 0.5;
    struct fieller_input input = {
        .numerator = line->intercept + half * line->slope, .denominator = line->intercept,
        .variance_numerator = line->variance_intercept + 2 * half * line->covariance + half * half * line->variance_slope,
        .variance_denominator = line->variance_intercept,
        .covariance = line->variance_intercept + half * line->covariance, .df = line->df,
    };
    struct fieller_ratio got = fieller_ratio(&input, 0.95);
    CU_ASSERT_EQUAL(got.shape, FIELLER_BOUNDED);
    certified_check(want->name, "ratio", got.estimate, want->ratio, 12);
    certified_check(want->name, "ratio's lower limit", got.lower, want->ratio_lower, 11);
    certified_check(want->name, "ratio's upper limit", got.upper, want->ratio_upper, 11);
    certified_check(want->name, "ratio's g", got.g, want->ratio_g, 11);
}

static void test_lines(void)
{
    for (size_t i = 0; i < sizeof line_cases / sizeof *line_cases; i++) {
        const struct line_case *want = &line_cases[i];
        struct fieller_line line = line_of(want->name);
        check_ratio(want, &line);
        struct fieller_ratio got = fieller_inverse(&line, want->target, 0, 0.95);
        CU_ASSERT_EQUAL(got.shape, FIELLER_BOUNDED);
        certified_check(want->name, "crossing", got.estimate, want->fraction, 11);
        certified_check(want->name, "crossing's lower limit", got.lower, want->fraction_lower, 11);
        certified_check(want->name, "crossing's upper limit", got.upper, want->fraction_upper, 11);
    }
}

int main(void)
{
    static const struct check_case cases[] = { { "ratios and crossings", test_lines } };
    return check_run("lines", cases, sizeof cases / sizeof *cases);
}
