#include "stats/fieller.h"
#include "stats/summary.h"
#include "support/certified.h"

/*
 * x at which a fitted line reaches a response. Printed to 3-5 digits in
 * Graybill and Iyer, Regression Analysis: Concepts and Applications, 1994,
 * and (arsenic) Greenwell and Schubert Kabban, R Journal 6/1 (2014); more
 * digits recomputed with R 4.2.2.
 */
struct inverse_case {
    const char *name, *file;
    double response, confidence;
    bool of_mean;          /* of the mean response; else of one new result */
    double estimate, lower, upper, g;
    double printed_lower, printed_upper, print_step;
};

static const struct inverse_case inverse_cases[] = {
    { "thermostat", "fieller/thermostat.csv", 104, 0.95, false, 103.994915645944, 103.404051142412, 104.589459384664,
      0.00184560609956445, 103.4, 104.6, 0.1 },
    { "chamber", "fieller/chamber.csv", 400, 0.99, true, 66.5200432069131, 65.0708935302771, 68.0258324997184,
      0.00171133592241046, 65.07, 68.03, 0.01 },
    { "crystal", "fieller/crystal.csv", 5, 0.90, true, 9.92905788876276, 8.65025910278277, 11.0478965164653,
      0.0155273320354456, 8.65, 11.05, 0.01 },
    { "arsenic", "fieller/arsenic.csv", 3, 0.90, false, 2.93144906137946, 2.60353727350338, 3.25865794092469,
      0.000617775860819366, 2.6035, 3.2587, 0.0001 },
};

/* Least squares line of a small sample, written out. */
static struct fieller_line fit_line(const double *x, const double *y, size_t n, double *residual_variance)
{
    double x_mean = summary_of(x, n).mean, y_mean = summary_of(y, n).mean, xx = 0, xy = 0, rest = 0;
    for (size_t i = 0; i < n; i++) {
        xx += (x[i] - x_mean) * (x[i] - x_mean);
        xy += (x[i] - x_mean) * (y[i] - y_mean);
    }
    struct fieller_line line = { .slope = xy / xx, .df = (double)n - 2 };
    line.intercept = y_mean - line.slope * x_mean;
    for (size_t i = 0; i < n; i++) {
        double r = y[i] - y_mean - line.slope * (x[i] - x_mean);
        rest += r * r;
    }
    *residual_variance = rest / line.df;
    line.variance_slope = *residual_variance / xx;
    line.variance_intercept = *residual_variance * (1 / (double)n + x_mean * x_mean / xx);
    line.covariance = -*residual_variance * x_mean / xx;
    return line;
}

static void test_inverse(void)
{
    for (size_t i = 0; i < sizeof inverse_cases / sizeof *inverse_cases; i++) {
        const struct inverse_case *want = &inverse_cases[i];
        struct certified_table table = certified_read(want->file);
        double *x = certified_numbers(&table, "x"), *y = certified_numbers(&table, "y"), variance;
        struct fieller_line line = fit_line(x, y, table.n_rows, &variance);
        struct fieller_ratio got = fieller_inverse(&line, want->response, want->of_mean ? 0 : variance, want->confidence);
        CU_ASSERT_EQUAL(got.shape, FIELLER_BOUNDED);
        certified_check(want->name, "estimate", got.estimate, want->estimate, 11);
        certified_check(want->name, "lower limit", got.lower, want->lower, 10);
        certified_check(want->name, "upper limit", got.upper, want->upper, 10);
        certified_check(want->name, "g", got.g, want->g, 10);
        CU_ASSERT_DOUBLE_EQUAL(got.lower, want->printed_lower, want->print_step / 2);
        CU_ASSERT_DOUBLE_EQUAL(got.upper, want->printed_upper, want->print_step / 2);
        free(x);
        free(y);
        certified_release(&table);
    }
}

static struct fieller_sample sample_of(const struct certified_table *table, const char *name)
{
    double values[64];
    size_t n = 0;
    for (size_t i = 0; i < table->n_rows; i++)
        if (strcmp(certified_text(table, i, "group"), name) == 0)
            values[n++] = certified_number(table, i, "y");
    struct summary summary = summary_of(values, n);
    struct fieller_sample sample = { (double)n, summary.mean, summary.variance };
    return sample;
}

/*
 * Ratio of two means, unequal variances: ten normal numbers, ratio 0.8643849
 * (0.4056763, 2.6170008) as printed by R package mratios; more digits
 * recomputed with R 4.2.2.
 */
static void test_ratio_of_means_unequal(void)
{
    struct certified_table table = certified_read("fieller/rnorm12345.csv");
    struct fieller_sample a = sample_of(&table, "A"), b = sample_of(&table, "B");
    struct fieller_ratio got = fieller_two_samples(&a, &b, false, 0.95);
    CU_ASSERT_EQUAL(got.shape, FIELLER_BOUNDED);
    certified_check("ten normal numbers", "ratio", got.estimate, 0.864384850432595, 12);
    certified_check("ten normal numbers", "df", got.df, 6.93823872383847, 12);
    certified_check("ten normal numbers", "g", got.g, 0.42806669948877, 11);
    certified_check("ten normal numbers", "lower limit", got.lower, 0.405676300626197, 11);
    certified_check("ten normal numbers", "upper limit", got.upper, 2.61700081805164, 11);
    certified_release(&table);
}

/* Ratio of two means, one variance: Hauschke 1999 enzyme data; R 4.2.2. */
static void test_ratio_of_means_pooled(void)
{
    struct certified_table table = certified_read("fieller/asat.csv");
    struct fieller_sample a = sample_of(&table, "TREAT"), b = sample_of(&table, "KON");
    struct fieller_ratio got = fieller_two_samples(&a, &b, true, 0.95);
    CU_ASSERT_EQUAL(got.shape, FIELLER_BOUNDED);
    certified_check("enzyme", "ratio", got.estimate, 1.11300546448087, 12);
    certified_check("enzyme", "df", got.df, 32, 15);
    certified_check("enzyme", "g", got.g, 0.0148205994238899, 11);
    certified_check("enzyme", "lower limit", got.lower, 0.934887055057016, 11);
    certified_check("enzyme", "upper limit", got.upper, 1.3246109893195, 11);
    certified_release(&table);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "inverse of a line", test_inverse },
        { "ratio of means, unequal variances", test_ratio_of_means_unequal },
        { "ratio of means, one variance", test_ratio_of_means_pooled },
    };
    return check_run("fieller", cases, sizeof cases / sizeof *cases);
}
