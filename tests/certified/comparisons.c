#include "stats/ancova.h"
#include "stats/anova.h"
#include "stats/compare.h"
#include "stats/dunnett.h"
#include "stats/normality.h"
#include "stats/spread.h"
#include "support/certified.h"

enum { GROUPS_MAX = 16, PAIRS_MAX = 120 };

/* One data set of results in groups, as arrays and as summaries. */
struct grouped {
    struct certified_table table;
    double *y;
    uint32_t *group;
    struct grouped_data data;
    struct summary summary[GROUPS_MAX];
};

static struct grouped grouped_read(const char *file)
{
    struct grouped g = { .table = certified_read(file) };
    g.data.n_values = g.table.n_rows;
    g.y = certified_numbers(&g.table, "y");
    g.group = certified_groups(&g.table, "group", &g.data.n_groups);
    g.data.values = g.y;
    g.data.group = g.group;
    double part[256];
    for (uint32_t k = 0; k < g.data.n_groups; k++) {
        size_t n = 0;
        for (size_t i = 0; i < g.data.n_values; i++)
            if (g.group[i] == k)
                part[n++] = g.y[i];
        g.summary[k] = summary_of(part, n);
    }
    return g;
}

static void grouped_release(struct grouped *g)
{
    free(g->y);
    free(g->group);
    certified_release(&g->table);
}

/*
 * F, Welch, Bartlett, Levene, Brown-Forsythe: 20-digit arithmetic on the
 * decimal data. Shapiro-Wilk: R 4.2.2 (another program of the same
 * algorithm). Data: NIST/SEMATECH e-Handbook GEAR.DAT (1.3.5.4, 1.3.5.7,
 * 1.3.5.10); Dobson 1983 plant weights; SAS example of scipy's tukey_hsd page.
 */
struct tests_case {
    const char *name, *file;
    double f, p, welch_f, welch_df2, welch_p, bartlett, bartlett_p, levene, levene_p, median, median_p;
    double w_residuals, w_residuals_p, w_values, w_values_p;
};

static const struct tests_case tests_cases[] = {
    { "gear", "comparisons/gear.csv", 2.2969124133585381, 0.022660819278641377, 2.0558024268542624, 36.547236109726648,
      0.060441257996341840, 20.785873428065001, 0.013635863278056837, 2.1594598564728728, 0.032236826559781370,
      1.7059176930009012, 0.099082975552202896, 0.985651546359953, 0.353485119146569, 0.962242685305182,
      0.00582974683634899 },
    { "plant weights", "comparisons/plantgrowth.csv", 4.8460878623801359, 0.015909958325622914, 5.1809724081131884,
      17.128418616644132, 0.017392821490169996, 2.8785737872360933, 0.23709677363455820, 1.2369629544697843,
      0.30619492299144732, 1.1191856948703900, 0.34122662412547390, 0.966068118874185, 0.43789859550621,
      0.982683016098587, 0.891507368227399 },
    { "three drugs", "comparisons/tukey_sas.csv", 7.1378278221208666, 0.0090733174685630692, 6.2978404246518883,
      7.6504368869341492, 0.024168533812115233, 0.76416255732879991, 0.68243958317330157, 0.53454724199098117,
      0.59925889599649650, 0.33486238532110092, 0.72191221861039832, 0.953741196298883, 0.585171459976638,
      0.96817250100275, 0.830127812048059 },
};

static void check_scatter(const struct tests_case *want, const struct grouped *g)
{
    struct spread_test got;
    struct problem problem;
    CU_ASSERT_EQUAL(spread_bartlett(&g->data, &got, &problem), STATUS_OK);
    certified_check(want->name, "Bartlett", got.statistic, want->bartlett, 11);
    certified_check(want->name, "Bartlett p", got.p, want->bartlett_p, 10);
    CU_ASSERT_EQUAL(spread_levene(&g->data, SPREAD_MEAN, &got, &problem), STATUS_OK);
    certified_check(want->name, "Levene", got.statistic, want->levene, 11);
    certified_check(want->name, "Levene p", got.p, want->levene_p, 10);
    CU_ASSERT_EQUAL(spread_levene(&g->data, SPREAD_MEDIAN, &got, &problem), STATUS_OK);
    certified_check(want->name, "Brown-Forsythe", got.statistic, want->median, 11);
    certified_check(want->name, "Brown-Forsythe p", got.p, want->median_p, 10);
}

static void check_shape(const struct tests_case *want, const struct grouped *g)
{
    struct normality got;
    double residuals[256];
    for (size_t i = 0; i < g->data.n_values; i++)
        residuals[i] = g->y[i] - g->summary[g->group[i]].mean;
    CU_ASSERT_EQUAL(normality_shapiro_wilk(g->y, g->data.n_values, &got), STATUS_OK);
    certified_check(want->name, "Shapiro-Wilk W", got.w, want->w_values, 11);
    certified_check(want->name, "Shapiro-Wilk p", got.p, want->w_values_p, 10);
    CU_ASSERT_EQUAL(normality_shapiro_wilk(residuals, g->data.n_values, &got), STATUS_OK);
    certified_check(want->name, "Shapiro-Wilk W of residuals", got.w, want->w_residuals, 11);
    certified_check(want->name, "Shapiro-Wilk p of residuals", got.p, want->w_residuals_p, 10);
}

static void test_group_tests(void)
{
    for (size_t i = 0; i < sizeof tests_cases / sizeof *tests_cases; i++) {
        const struct tests_case *want = &tests_cases[i];
        struct grouped g = grouped_read(want->file);
        struct anova anova;
        struct welch_anova welch;
        struct problem problem;
        CU_ASSERT_EQUAL(anova_one_way(&g.data, &anova, &problem), STATUS_OK);
        certified_check(want->name, "F", anova.f, want->f, 11);
        certified_check(want->name, "F p", anova.p, want->p, 11);
        CU_ASSERT_EQUAL(anova_welch(&g.data, &welch, &problem), STATUS_OK);
        certified_check(want->name, "Welch F", welch.f, want->welch_f, 11);
        certified_check(want->name, "Welch df", welch.df2, want->welch_df2, 11);
        certified_check(want->name, "Welch p", welch.p, want->welch_p, 10);
        check_scatter(want, &g);
        check_shape(want, &g);
        grouped_release(&g);
    }
}

/* Pooled and Welch t: sleep (Student 1908); R 4.2.2, 15 digits (published: t -1.8608, df 17.776, p 0.07939). */
static void test_two_means(void)
{
    struct grouped g = grouped_read("comparisons/sleep.csv");
    struct comparison got;
    CU_ASSERT_EQUAL(compare_welch(&g.summary[0], &g.summary[1], COMPARE_TWO_SIDED, 0.95, &got), STATUS_OK);
    certified_check("sleep", "Welch t", got.statistic, -1.86081346748685, 13);
    certified_check("sleep", "Welch df", got.df, 17.7764735161785, 13);
    certified_check("sleep", "Welch p", got.p, 0.0793941401873582, 12);
    certified_check("sleep", "Welch lower limit", got.lower, -3.36548323071171, 12);
    certified_check("sleep", "Welch upper limit", got.upper, 0.20548323071171, 12);
    CU_ASSERT_EQUAL(compare_pooled(&g.summary[0], &g.summary[1], COMPARE_TWO_SIDED, 0.95, &got), STATUS_OK);
    certified_check("sleep", "pooled p", got.p, 0.0791867142159382, 12);
    certified_check("sleep", "pooled lower limit", got.lower, -3.3638740322876, 12);
    certified_check("sleep", "pooled upper limit", got.upper, 0.203874032287599, 12);
    grouped_release(&g);
}

/* All pairs: R 4.2.2, 15 digits; its own studentised range is good to about 10. Order: (1,0), (2,0), (2,1). */
struct tukey_case { const char *name, *file; double difference[3], lower[3], upper[3], p[3]; };

static const struct tukey_case tukey_cases[] = {
    { "plant weights", "comparisons/plantgrowth.csv",
      { -0.371, 0.494, 0.865 },
      { -1.06221605141046, -0.197216051410459, 0.173783948589542 },
      { 0.320216051410458, 1.18521605141046, 1.55621605141046 },
      { 0.390871144202125, 0.197995991299708, 0.0120064239794527 } },
    { "three drugs", "comparisons/tukey_sas.csv",
      { 4.6, 0.26, -4.34 },
      { 0.95084100253006, -3.38915899746994, -7.98915899746995 },
      { 8.24915899746996, 3.90915899746996, -0.690841002530052 },
      { 0.0144483267365044, 0.980310724094108, 0.0203311367399165 } },
};

static void test_all_pairs(void)
{
    for (size_t c = 0; c < sizeof tukey_cases / sizeof *tukey_cases; c++) {
        const struct tukey_case *want = &tukey_cases[c];
        struct grouped g = grouped_read(want->file);
        struct comparison got[PAIRS_MAX];
        CU_ASSERT_EQUAL(compare_tukey_kramer(g.summary, g.data.n_groups, 0.95, got), STATUS_OK);
        for (size_t i = 0; i < 3; i++) {
            certified_check(want->name, "Tukey difference", got[i].difference, want->difference[i], 12);
            certified_check(want->name, "Tukey lower limit", got[i].lower, want->lower[i], 8);
            certified_check(want->name, "Tukey upper limit", got[i].upper, want->upper[i], 8);
            certified_check(want->name, "Tukey p", got[i].p, want->p[i], 8);
        }
        grouped_release(&g);
    }
}

/* NIST/SEMATECH e-Handbook 7.4.7.1: four groups of five, six intervals at 95 %, printed to two decimals. */
static void test_handbook_intervals(void)
{
    static const double y[4][5] = {
        { 6.9, 5.4, 5.8, 4.6, 4.0 }, { 8.3, 6.8, 7.8, 9.2, 6.5 }, { 8.0, 10.5, 8.1, 6.9, 9.3 }, { 5.8, 3.8, 6.1, 5.6, 6.2 } };
    static const double limits[6][2] = { /* (1,0) (2,0) (2,1) (3,0) (3,1) (3,2) */
        { 0.29, 4.47 }, { 1.13, 5.31 }, { -1.25, 2.93 }, { -1.93, 2.25 }, { -4.31, -0.13 }, { -5.15, -0.97 } };
    struct summary groups[4];
    struct comparison got[6];
    for (size_t i = 0; i < 4; i++)
        groups[i] = summary_of(y[i], 5);
    CU_ASSERT_EQUAL(compare_tukey_kramer(groups, 4, 0.95, got), STATUS_OK);
    for (size_t i = 0; i < 6; i++) {
        CU_ASSERT_DOUBLE_EQUAL(got[i].lower, limits[i][0], 0.005 + 1e-9);
        CU_ASSERT_DOUBLE_EQUAL(got[i].upper, limits[i][1], 0.005 + 1e-9);
    }
    certified_check("handbook 7.4.7.1", "half width", (got[0].upper - got[0].lower) / 2, 2.08737, 6);
}

/* Against a control: critical values of Dunnett's tables recomputed to 12 digits by quadrature in extended precision. */
static void test_dunnett_critical_values(void)
{
    struct certified_table table = certified_read("factors/dunnett.csv");
    double loading[32], worst = 15, worst_got = NAN, worst_want = NAN;
    CU_ASSERT_EQUAL(table.n_rows, 86);
    for (size_t j = 0; j < 32; j++)
        loading[j] = sqrt(0.5); /* equal sizes: correlation 1/2 */
    for (size_t i = 0; i < table.n_rows; i++) {
        struct dunnett_family family = { loading, (size_t)certified_number(&table, i, "n_others"),
                                         certified_number(&table, i, "df"),
                                         strcmp(certified_text(&table, i, "sided"), "two") == 0, NULL };
        double want = certified_number(&table, i, "exact");
        double got = dunnett_quantile(1 - certified_number(&table, i, "alpha"), &family);
        if (certified_digits(got, want) <= worst) {
            worst = certified_digits(got, want);
            worst_got = got;
            worst_want = want;
        }
    }
    certified_check("Dunnett's tables", "worst of 86 critical values", worst_got, worst_want, 9);
    certified_release(&table);
}

/* Dunnett on the plant weights: Gauss-Legendre quadrature, 16 digits; t from R 4.2.2. */
static void test_dunnett_plant_weights(void)
{
    static const double t[2] = { -1.3307908011646803, 1.7719963767529752 };
    static const double p[2] = { 0.3226956857687805, 0.1534858615151221 };
    struct grouped g = grouped_read("comparisons/plantgrowth.csv");
    struct comparison got[2];
    CU_ASSERT_EQUAL(compare_dunnett(g.summary, 3, 0, COMPARE_TWO_SIDED, 0.95, got), STATUS_OK);
    for (size_t i = 0; i < 2; i++) {
        certified_check("plant weights", "Dunnett t", got[i].statistic, t[i], 12);
        certified_check("plant weights", "Dunnett p", got[i].p, p[i], 11);
    }
    double critical = (got[0].upper - got[0].difference) / got[0].std_error;
    certified_check("plant weights", "Dunnett critical value", critical, 2.3334115469284376, 11);
    grouped_release(&g);
}

/* ---- lines across groups ---- */

struct ancova_case {
    const char *name, *file, *x, *y, *group;
    double common_f, common_p, equal_f, equal_p, equal_ss, covariate_f, covariate_p, covariate_ss, coincidence_f, coincidence_p;
    double slope, slope_se, mse, r_squared;
    double adjusted[6], adjusted_se[6], own_slope[6], own_slope_se[6];
};

/*
 * R 4.2.2, 15 digits. leprosy: Snedecor and Cochran 1967, p. 422 (the printed
 * SAS analysis agrees). Pipeline: NIST/SEMATECH e-Handbook ALASKA_PIPELINE.DAT.
 */
static const struct ancova_case ancova_cases[] = {
    { "leprosy", "ancova/leprosy.csv", "pre", "post", "drug",
      0.592959443158622, 0.560584772359351, 2.13612821286943, 0.13837932511544, 68.5537106044961,
      36.0144749535107, 2.4543304703863e-06, 577.897403035413, 1.33110187350437, 0.287111912398995,
      0.987183811129848, 0.164497567752959, 16.0462537294072, 0.676260885415856,
      { 6.71496346261945, 6.82393479482855, 10.161101742552 }, { 1.28849427986512, 1.27246899519016, 1.31592342357307 },
      { 0.745222929936334, 1.06854838709681, 1.19446415897804 }, { 0.284887306421276, 0.258445372801408, 0.342877592900233 } },
    { "pipeline", "ancova/alaska_pipeline.csv", "lab", "field", "batch",
      2.44425473685168, 0.0395183961762289, 1.21263564415172, 0.308773542988509, 221.954586100178,
      892.292922628925, 1.23438312108331e-51, 32664.1406719928, 1.87222905983023, 0.0586053720807128,
      0.7356466107361, 0.0246272270446297, 36.6069704730548, 0.900177530978858,
      { 31.7752182641574, 32.204334749607, 34.8972179788002, 33.3619309110149, 34.3889831282426, 36.8332192142109 },
      { 1.38834596981288, 1.35423858700538, 1.35360652907782, 1.35359074881118, 1.32572552835933, 2.29097811258272 },
      { 0.632694516042578, 0.637588280363698, 0.831845506411929, 0.770219187798936, 0.757912551222658, 0.880247425791085 },
      { 0.0572320813714952, 0.0533577207129864, 0.0521679321984738, 0.0525190305239774, 0.0573840592653733, 0.11347807960573 } },
};

static void check_lines(const struct ancova_case *want, const struct ancova *got)
{
    certified_check(want->name, "common slope F", got->common_slope.f, want->common_f, 11);
    certified_check(want->name, "common slope p", got->common_slope.p, want->common_p, 11);
    certified_check(want->name, "equal intercepts F", got->equal_intercepts.f, want->equal_f, 11);
    certified_check(want->name, "equal intercepts p", got->equal_intercepts.p, want->equal_p, 11);
    certified_check(want->name, "equal intercepts squares", got->equal_intercepts.ss, want->equal_ss, 11);
    certified_check(want->name, "covariate F", got->covariate.f, want->covariate_f, 12);
    certified_check(want->name, "covariate p", got->covariate.p, want->covariate_p, 10);
    certified_check(want->name, "covariate squares", got->covariate.ss, want->covariate_ss, 12);
    certified_check(want->name, "coincidence F", got->coincidence.f, want->coincidence_f, 11);
    certified_check(want->name, "coincidence p", got->coincidence.p, want->coincidence_p, 11);
    certified_check(want->name, "common slope", got->slope, want->slope, 12);
    certified_check(want->name, "common slope error", got->slope_std_error, want->slope_se, 12);
    certified_check(want->name, "residual variance", got->residual_variance, want->mse, 12);
    certified_check(want->name, "R squared", got->r_squared, want->r_squared, 12);
    for (size_t g = 0; g < got->n_groups; g++) {
        certified_check(want->name, "adjusted mean", got->adjusted_mean[g], want->adjusted[g], 12);
        certified_check(want->name, "adjusted mean error", got->adjusted_std_error[g], want->adjusted_se[g], 12);
        certified_check(want->name, "own slope", got->group_slope[g], want->own_slope[g], 12);
        certified_check(want->name, "own slope error", got->group_slope_std_error[g], want->own_slope_se[g], 12);
    }
}

static void test_lines_across_groups(void)
{
    for (size_t c = 0; c < sizeof ancova_cases / sizeof *ancova_cases; c++) {
        const struct ancova_case *want = &ancova_cases[c];
        struct certified_table table = certified_read(want->file);
        struct ancova_data data = { .n_rows = table.n_rows };
        double *x = certified_numbers(&table, want->x), *y = certified_numbers(&table, want->y);
        uint32_t *group = certified_groups(&table, want->group, &data.n_groups);
        data.x = x;
        data.y = y;
        data.group = group;
        struct ancova got;
        struct problem problem;
        CU_ASSERT_EQUAL_FATAL(ancova_fit(&data, &got, &problem), STATUS_OK);
        check_lines(want, &got);
        ancova_release(&got);
        free(x);
        free(y);
        free(group);
        certified_release(&table);
    }
}

int main(void)
{
    static const struct check_case cases[] = {
        { "tests of groups", test_group_tests },
        { "two means", test_two_means },
        { "all pairs", test_all_pairs },
        { "handbook intervals", test_handbook_intervals },
        { "Dunnett's critical values", test_dunnett_critical_values },
        { "Dunnett on plant weights", test_dunnett_plant_weights },
        { "lines across groups", test_lines_across_groups },
    };
    return check_run("comparisons", cases, sizeof cases / sizeof *cases);
}
