#include "stats/anova.h"
#include "support/certified.h"

/*
 * NIST Statistical Reference Datasets, one-way analysis of variance,
 * https://www.itl.nist.gov/div898/strd/ . The bar is the number of digits
 * that exact arithmetic on the data, rounded to doubles, keeps.
 */
struct anova_case {
    const char *name;
    double ss_between, ss_within, f, r_squared, residual_sd, var_between;
    double bar_ss_between, bar_ss_within, bar_f, bar_r_squared, bar_residual_sd, bar_var_between;
};

static const struct anova_case anova_cases[] = {
    { "SiRstv", 5.11462616000000E-02, 2.16636560000000E-01, 1.18046237440254751, 1.90999039051129335E-01,
      1.04076068334656071E-01, 0.00039094748, 14.0, 13.1, 13.1, 13.2, 13.4, 12.3 },
    { "SmLs01", 1.68, 1.8, 21, 0.482758620689655172, 0.1, 0.00952380952380952381, 15, 15, 15, 15, 15, 15 },
    { "SmLs02", 16.08, 18, 201, 0.471830985915492958, 0.1, 0.00995024875621890547, 15, 15, 15, 15, 15, 15 },
    { "SmLs03", 160.08, 180, 2001, 0.470712773465067043, 0.1, 0.00999500249875062469, 15, 15, 15, 15, 15, 15 },
    { "SmLs04", 1.68, 1.8, 21, 0.482758620689655172, 0.1, 0.00952380952380952381, 10.1, 10.3, 10.4, 10.7, 10.6, 10.0 },
    { "SmLs05", 16.08, 18, 201, 0.471830985915492958, 0.1, 0.00995024875621890547, 9.9, 10.3, 10.2, 10.5, 10.6, 9.9 },
    { "SmLs06", 160.08, 180, 2001, 0.470712773465067043, 0.1, 0.00999500249875062469, 9.9, 10.3, 10.2, 10.5, 10.6, 9.9 },
};

static struct anova table_of(const char *file, const char *group_heading)
{
    struct certified_table table = certified_read(file);
    struct grouped_data data = { .n_values = table.n_rows };
    double *y = certified_numbers(&table, "y");
    uint32_t *group = certified_groups(&table, group_heading, &data.n_groups);
    data.values = y;
    data.group = group;
    struct anova anova;
    struct problem problem;
    CU_ASSERT_EQUAL(anova_one_way(&data, &anova, &problem), STATUS_OK);
    free(y);
    free(group);
    certified_release(&table);
    return anova;
}

static void test_certified_values(void)
{
    for (size_t i = 0; i < sizeof anova_cases / sizeof *anova_cases; i++) {
        const struct anova_case *want = &anova_cases[i];
        char file[64];
        snprintf(file, sizeof file, "nist-anova/%s.csv", want->name);
        struct anova got = table_of(file, "treatment");
        certified_check(want->name, "sum of squares between", got.ss_between, want->ss_between, want->bar_ss_between);
        certified_check(want->name, "sum of squares within", got.ss_within, want->ss_within, want->bar_ss_within);
        certified_check(want->name, "F", got.f, want->f, want->bar_f);
        certified_check(want->name, "R squared", got.r_squared, want->r_squared, want->bar_r_squared);
        certified_check(want->name, "residual sd", got.residual_sd, want->residual_sd, want->bar_residual_sd);
        certified_check(want->name, "variance between", got.var_between, want->var_between, want->bar_var_between);
    }
}

/* NIST Statistical Reference Datasets, AtmWtAg: digits after 107.868 of 24 weighings on each of two instruments. */
static void test_atomic_weight_of_silver(void)
{
    static const int digits[48] = {
        1568, 1465, 1572, 1785, 1446, 1903, 1526, 1494, 1616, 1587, 1519, 1486, 1419, 1569, 1508, 1672,
        1385, 1518, 1662, 1424, 1360, 1333, 1610, 1477, 1079, 1344, 1513, 1197, 1604, 1385, 1642, 1365,
        1151, 1082, 1517, 1448, 1198, 1482, 1334, 1609, 1101, 1512, 1469, 1360, 1254, 1261, 1450, 1368,
    };
    double y[48];
    uint32_t group[48];
    for (size_t i = 0; i < 48; i++) {
        char text[32];
        snprintf(text, sizeof text, "107.868%04d", digits[i]);
        y[i] = strtod(text, NULL);
        group[i] = i >= 24;
    }
    struct grouped_data data = { y, group, 48, 2 };
    struct anova got;
    struct problem problem;
    CU_ASSERT_EQUAL(anova_one_way(&data, &got, &problem), STATUS_OK);
    certified_check("AtmWtAg", "sum of squares between", got.ss_between, 3.63834187500000E-09, 9);
    certified_check("AtmWtAg", "sum of squares within", got.ss_within, 1.04951729166667E-08, 9);
    certified_check("AtmWtAg", "F", got.f, 15.9467335677930, 9);
}

/*
 * NIST/SEMATECH e-Handbook 7.4.3.4: three groups of five (published: F 9.59); F in rational arithmetic,
 * p in 40 digits.
 */
static void test_handbook_example(void)
{
    static const double y[] = { 6.9, 5.4, 5.8, 4.6, 4.0, 8.3, 6.8, 7.8, 9.2, 6.5, 8.0, 10.5, 8.1, 6.9, 9.3 };
    static const uint32_t group[] = { 0, 0, 0, 0, 0, 1, 1, 1, 1, 1, 2, 2, 2, 2, 2 };
    struct grouped_data data = { y, group, 15, 3 };
    struct anova got;
    struct problem problem;
    CU_ASSERT_EQUAL(anova_one_way(&data, &got, &problem), STATUS_OK);
    certified_check("handbook 7.4.3.4", "F", got.f, 9.59110703644281458, 13);
    certified_check("handbook 7.4.3.4", "p", got.p, 0.00324822260085929881, 11);
    certified_check("handbook 7.4.3.4", "sum of squares within", got.ss_within, 17.4520, 12);
}

/*
 * ISO 5725-2, sulphur in coal, level 1: eight laboratories, 3 to 5 results
 * each (published: m 0.690, s_r 0.015, s_R 0.026; recomputed in rational arithmetic).
 */
static void test_repeatability_and_reproducibility(void)
{
    static const double y[] = { .71, .71, .70, .71, .69, .67, .68, .66, .65, .69, .67, .65, .66, .70,
                                .69, .66, .71, .69, .73, .74, .73, .71, .71, .69, .70, .65, .68 };
    static const uint32_t laboratory[] = { 0, 0, 0, 0, 1, 1, 1, 2, 2, 2, 3, 3, 3, 4, 4, 4, 4, 4, 5, 5, 5, 6, 6, 6, 7, 7, 7 };
    struct grouped_data data = { y, laboratory, 27, 8 };
    struct anova table;
    struct problem problem;
    CU_ASSERT_EQUAL(anova_one_way(&data, &table, &problem), STATUS_OK);
    struct precision got = anova_precision(&table);
    certified_check("coal sulphur", "mean", got.mean, 0.690370370370370370, 13);
    certified_check("coal sulphur", "repeatability sd", got.repeatability_sd, 0.0151165066046962240, 12);
    certified_check("coal sulphur", "between-laboratory sd", got.between_sd, 0.0215995546347232851, 12);
    certified_check("coal sulphur", "reproducibility sd", got.reproducibility_sd, 0.0263637920707211752, 12);
    certified_check("coal sulphur", "group size", table.group_size, 634.0 / 189, 13);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "certified values", test_certified_values },
        { "atomic weight of silver", test_atomic_weight_of_silver },
        { "handbook example", test_handbook_example },
        { "repeatability and reproducibility", test_repeatability_and_reproducibility },
    };
    return check_run("anova", cases, sizeof cases / sizeof *cases);
}
