#include "stats/bootstrap.h"
#include "support/certified.h"

/*
 * Crystal growth data (Graybill and Iyer 1994), cases resampled: limits that
 * 4 million resamples settle on, computed by another program; scatter of a
 * run of 500000 printed with them. A run of B resamples may be off by
 * 4 sqrt(500000 / B) times that scatter.
 */
enum { RESAMPLES = 200000, FIGURES = 2 };

struct cases { const double *x, *y; size_t n; };

/* Mean of y, and slope of y on x. */
static bool mean_and_slope(const uint32_t *units, size_t n, void *context, double *values)
{
    const struct cases *cases = context;
    double x_mean = 0, y_mean = 0, xx = 0, xy = 0;
    for (size_t i = 0; i < n; i++) {
        x_mean += cases->x[units[i]] / (double)n;
        y_mean += cases->y[units[i]] / (double)n;
    }
    for (size_t i = 0; i < n; i++) {
        xx += (cases->x[units[i]] - x_mean) * (cases->x[units[i]] - x_mean);
        xy += (cases->x[units[i]] - x_mean) * (cases->y[units[i]] - y_mean);
    }
    values[0] = y_mean;
    values[1] = xx > 0 ? xy / xx : NAN;
    return true;
}

struct limit_case {
    const char *name;
    double estimate, acceleration, bias, bias_scatter;
    double bca[2], bca_scatter[2], percentile[2], percentile_scatter[2];
};

static const struct limit_case limit_cases[FIGURES] = {
    { "mean", 7.552857142857143, -0.0027890845183880845, -0.003214136250722497, 0.0024449892017103588,
      { 5.341875, 9.708825684485348 }, { 0.008232566171771209, 0.004309380955462304 },
      { 5.360446428571429, 9.72678794642857 }, { 0.0051921882903053045, 0.0031935333128134103 } },
    { "slope", 0.5034285714285717, -0.011897925801075904, -0.02133056719209174, 0.0023062706481989693,
      { 0.41162909586284613, 0.5587322441593638 }, { 0.00028971031675430143, 7.838212812204739e-05 },
      { 0.41644583527551937, 0.5606514551722346 }, { 0.00013680804698245624, 7.788683902335312e-05 } },
};

static void check_near(const char *name, const char *what, double got, double want, double scatter)
{
    double allowed = 4 * sqrt(500000.0 / RESAMPLES) * scatter;
    certified_check(name, what, got, want, -log10(allowed / fabs(want)));
}

static void test_limits(void)
{
    struct certified_table table = certified_read("fieller/crystal.csv");
    double *x = certified_numbers(&table, "x"), *y = certified_numbers(&table, "y");
    struct cases data = { x, y, table.n_rows };
    struct bootstrap_plan plan = { .n_units = table.n_rows, .n_values = FIGURES, .n_resamples = RESAMPLES, .seed = 20130 };
    struct bootstrap got;
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(bootstrap_run(&plan, mean_and_slope, &data, &got, &problem), STATUS_OK);
    for (size_t v = 0; v < FIGURES; v++) {
        const struct limit_case *want = &limit_cases[v];
        struct bootstrap_limits bca = bootstrap_limits(&got, v, BOOTSTRAP_BCA, 0.95);
        struct bootstrap_limits percentile = bootstrap_limits(&got, v, BOOTSTRAP_PERCENTILE, 0.95);
        certified_check(want->name, "bootstrap estimate", got.estimate[v], want->estimate, 13);
        certified_check(want->name, "bootstrap acceleration", got.acceleration[v], want->acceleration, 9);
        CU_ASSERT_DOUBLE_EQUAL(got.bias[v], want->bias, 4 * sqrt(500000.0 / RESAMPLES) * want->bias_scatter);
        CU_ASSERT_EQUAL(bca.method, BOOTSTRAP_BCA);
        check_near(want->name, "bootstrap BCa lower", bca.lower, want->bca[0], want->bca_scatter[0]);
        check_near(want->name, "bootstrap BCa upper", bca.upper, want->bca[1], want->bca_scatter[1]);
        check_near(want->name, "bootstrap percentile lower", percentile.lower, want->percentile[0], want->percentile_scatter[0]);
        check_near(want->name, "bootstrap percentile upper", percentile.upper, want->percentile[1], want->percentile_scatter[1]);
    }
    bootstrap_release(&got);
    free(x);
    free(y);
    certified_release(&table);
}

int main(void)
{
    static const struct check_case cases[] = { { "limits of 4 million resamples", test_limits } };
    return check_run("bootstrap", cases, sizeof cases / sizeof *cases);
}
