#include "stats/summary.h"
#include "support/certified.h"

/*
 * NIST Statistical Reference Datasets, univariate (lower and average
 * difficulty), https://www.itl.nist.gov/div898/strd/ . Bars: 13 digits, or
 * what the data keep when they are rounded to doubles.
 */
struct univariate_case {
    const char *name, *file;
    double mean, sd, lag_correlation;
    double bar_sd, bar_lag;
};

static const struct univariate_case univariate_cases[] = {
    { "PiDigits", "nist-univariate/PiDigits.csv", 4.53480000000000, 2.86733906028871, -0.00355099287237972, 13, 13 },
    { "Lottery", "nist-univariate/Lottery.csv", 518.958715596330275, 291.699727470969084, -0.120948622967392868, 13, 13 },
    { "Mavro", "nist-univariate/Mavro.csv", 2.00185600000000, 0.000429123454003053, 0.937989183438248, 13, 13 },
    { "NumAcc1", "nist-univariate/NumAcc1.csv", 10000002, 1, -0.5, 13, 13 },
    { "NumAcc2", "nist-univariate/NumAcc2.csv", 1.2, 0.1, -0.999, 13, 13 },
};

static void test_certified_values(void)
{
    for (size_t i = 0; i < sizeof univariate_cases / sizeof *univariate_cases; i++) {
        const struct univariate_case *want = &univariate_cases[i];
        struct certified_table table = certified_read(want->file);
        double *y = certified_numbers(&table, "y");
        struct summary got = summary_of(y, table.n_rows);
        certified_check(want->name, "mean", got.mean, want->mean, 13);
        certified_check(want->name, "sd", got.sd, want->sd, want->bar_sd);
        certified_check(want->name, "lag 1 correlation", summary_lag_correlation(y, table.n_rows), want->lag_correlation,
                        want->bar_lag);
        free(y);
        certified_release(&table);
    }
}

/*
 * NIST NumAcc3 and NumAcc4 (higher difficulty) from their definition: one
 * middle value, then 500 pairs 0.1 below and above it. Exactly rounded
 * decimals limit the sd to 9.5 and 8.3 digits.
 */
static void test_values_far_from_zero(void)
{
    static const struct { const char *name; double middle, low, high, bar; } cases[] = {
        { "NumAcc3", 1000000.2, 1000000.1, 1000000.3, 9.4 },
        { "NumAcc4", 10000000.2, 10000000.1, 10000000.3, 8.2 },
    };
    for (size_t c = 0; c < 2; c++) {
        double y[1001];
        y[0] = cases[c].middle;
        for (size_t i = 1; i < 1001; i += 2) {
            y[i] = cases[c].low;
            y[i + 1] = cases[c].high;
        }
        struct summary got = summary_of(y, 1001);
        certified_check(cases[c].name, "mean", got.mean, cases[c].middle, 13);
        certified_check(cases[c].name, "sd", got.sd, 0.1, cases[c].bar);
    }
}

int main(void)
{
    static const struct check_case cases[] = {
        { "certified values", test_certified_values },
        { "values far from zero", test_values_far_from_zero },
    };
    return check_run("univariate", cases, sizeof cases / sizeof *cases);
}
