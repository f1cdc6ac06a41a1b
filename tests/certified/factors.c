#include "stats/distribution.h"
#include "stats/tolerance.h"
#include "support/certified.h"

/* The worst of a table stands for all; its arguments go into the label. */
struct worst { double digits, got, want; char label[96]; };

static void keep_worst(struct worst *worst, double got, double want, const char *label)
{
    double digits = certified_digits(got, want);
    if (digits >= worst->digits)
        return;
    *worst = (struct worst){ digits, got, want, "" };
    snprintf(worst->label, sizeof worst->label, "%s", label);
}

/* ISO 16269-6, one-sided; k by integration in 40 digits (tests/certified/data/factors/README.md). */
static void test_tolerance_table(void)
{
    struct certified_table table = certified_read("factors/tolerance_onesided.csv");
    struct worst worst = { .digits = 99 };
    CU_ASSERT_EQUAL(table.n_rows, 176);
    for (size_t row = 0; row < table.n_rows; row++) {
        double n = certified_number(&table, row, "n"), content = certified_number(&table, row, "P");
        double confidence = certified_number(&table, row, "gamma");
        char label[96];
        snprintf(label, sizeof label, "worst of 176, n %g content %g confidence %g", n, content, confidence);
        keep_worst(&worst, tolerance_factor(n, n - 1, content, confidence), certified_number(&table, row, "k_exact"), label);
    }
    certified_check("tolerance factors", worst.label, worst.got, worst.want, 9);
    certified_release(&table);
}

/*
 * Where the usual library loses digits: large n, and extreme content and
 * confidence. Answers by integration in 30 digits with mpmath 1.3, by
 * tests/certified/data/factors/README.md.
 */
static void test_tolerance_beyond(void)
{
    struct certified_table table = certified_read("factors/tolerance_beyond.csv");
    for (size_t row = 0; row < table.n_rows; row++) {
        double n = certified_number(&table, row, "n_effective"), df = certified_number(&table, row, "df");
        double content = certified_number(&table, row, "content"), confidence = certified_number(&table, row, "confidence");
        char label[96];
        snprintf(label, sizeof label, "n %g df %g content %g confidence %g", n, df, content, confidence);
        certified_check("tolerance factor", label, tolerance_factor(n, df, content, confidence),
                        certified_number(&table, row, "k"), 9);
    }
    certified_release(&table);
}

/* Quantiles to 13 digits by integration in 30 digits (tests/certified/data/factors/README.md). */
static void test_studentized_range(void)
{
    struct certified_table table = certified_read("factors/studentized_range_quantiles.csv");
    struct worst worst = { .digits = 99 };
    for (size_t row = 0; row < table.n_rows; row++) {
        double k = certified_number(&table, row, "k"), df = certified_number(&table, row, "df");
        double alpha = certified_number(&table, row, "alpha");
        char label[96];
        snprintf(label, sizeof label, "worst of %zu, means %g df %g tail %g", table.n_rows, k, df, alpha);
        keep_worst(&worst, studentized_range_quantile(1 - alpha, k, df), certified_number(&table, row, "q_exact"), label);
    }
    certified_check("studentised range quantiles", worst.label, worst.got, worst.want, 10);
    certified_release(&table);
}

/* The chance of staying below q, by mpmath; digits of 1 - tail where that can be told. */
static void test_studentized_range_chance(void)
{
    struct certified_table table = certified_read("factors/studentized_range_cdf.csv");
    double worst = 0;
    for (size_t row = 0; row < table.n_rows; row++) {
        double q = certified_number(&table, row, "q"), k = certified_number(&table, row, "k");
        double below = 1 - studentized_range_tail(q, k, certified_number(&table, row, "df"));
        worst = fmax(worst, fabs(below - certified_number(&table, row, "cdf_mpmath")));
    }
    certified_check("studentised range chances", "worst of the table, absolute", worst, 0, 12);
    certified_release(&table);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "tolerance factors", test_tolerance_table },
        { "tolerance factors beyond the table", test_tolerance_beyond },
        { "studentised range quantiles", test_studentized_range },
        { "studentised range chances", test_studentized_range_chance },
    };
    return check_run("certified factors", cases, sizeof cases / sizeof *cases);
}
