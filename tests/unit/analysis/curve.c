#include "support/certified.h"

#include "analysis/curve.h"
#include "analysis/mix_summary.h"
#include "support/invented.h"

/*
 * The synthetic studies are made with fixed seeds in a lab's units; their
 * answers were computed with R 4.2.2: lm, lme4 1.1 (ML for AICc), pbkrtest
 * (Kenward-Roger) and, for tolerance factors, qt with a noncentrality.
 */
struct study { struct invented *invented; struct certified_table table; };

/* Every result entered so many times. */
static struct study study_repeated(const char *name, size_t times)
{
    struct study study = { invented_new(), certified_read(name) };
    for (size_t i = 0; i < times * study.table.n_rows; i++) {
        /* In these files a batch belongs to one fraction, so it can stand for its mix too. */
        struct invented_row row = { certified_text(&study.table, i / times, "batch"), "recycled", "1",
                                    certified_number(&study.table, i / times, "fraction"), NAN, MOISTURE_UNKNOWN };
        invented_value(study.invented, invented_add(study.invented, &row), PROPERTY_COMPRESSIVE_STRENGTH,
                       certified_number(&study.table, i / times, "strength"));
    }
    return study;
}

static struct study study_open(const char *name)
{
    return study_repeated(name, 1);
}

static void study_close(struct study *study)
{
    certified_release(&study->table);
    free(study->invented);
}

static struct curve_set fit_strength(const struct invented *invented, enum property predictor, enum law law)
{
    struct selection selection = selection_all();
    struct curve_set curves;
    struct problem problem = { 0 };
    enum status status = curve_set_fit(&invented->set, &selection, 0, PROPERTY_COMPRESSIVE_STRENGTH, predictor, law, &curves, &problem);
    if (status != STATUS_OK)
        fprintf(stderr, "%s\n", problem.text);
    CU_ASSERT_EQUAL_FATAL(status, STATUS_OK);
    return curves;
}

static struct assurance assured(enum assurance_kind kind, double confidence)
{
    return (struct assurance){ kind, confidence, 0.05, 3 };
}

static void random_batches(void)
{
    struct study study = study_open("synthetic/S1_balanced.csv");
    struct curve_set curves = fit_strength(study.invented, PROPERTY_COUNT, LAW_AUTO);
    const struct curve *linear = &curves.curves[LAW_LINEAR], *quadratic = &curves.curves[LAW_QUADRATIC];
    CU_ASSERT_EQUAL(linear->n_batches, 15);
    check_close("AICc linear", linear->aicc, 178.62924103388484403, 1e-10);
    check_close("AICc quadratic", quadratic->aicc, 178.80914127162, 1e-9);
    check_close("cross validation linear", linear->cross_validation_rmse, 2.54863197737737, 1e-10);
    check_close("cross validation quadratic", quadratic->cross_validation_rmse, 2.54863805486655, 1e-10);
    check_close("cross validation exponential", curves.curves[LAW_EXPONENTIAL].cross_validation_rmse, 2.69547003616172, 1e-9);
    /* Within 2 of each other by AICc; the error decides. */
    CU_ASSERT_EQUAL(curves.chosen, LAW_LINEAR);
    CU_ASSERT(linear->chosen && !quadratic->chosen);
    double lower, upper;
    curve_confidence(linear, 0.3, 0.95, &lower, &upper);
    check_close("Kenward-Roger lower", lower, 36.6338930773705, 1e-8);
    check_close("Kenward-Roger upper", upper, 39.5397069226293, 1e-8);
    struct assurance mean = assured(ASSURANCE_MEAN, 0.975);
    check_close("one-sided 97.5 %", curve_bound(linear, 0.3, &mean, -1), lower, 1e-13);
    check_close("total sd", linear->residual_sd, sqrt(4.7708455840455840456 + 1.1065422222222222222), 1e-9);
    curve_set_release(&curves);
    study_close(&study);
}

static void zero_batch_variance(void)
{
    struct study study = study_open("synthetic/S3_zero_variance.csv");
    struct curve_set curves = fit_strength(study.invented, PROPERTY_COUNT, LAW_AUTO);
    check_close("AICc linear", curves.curves[LAW_LINEAR].aicc, 185.61573430023928881, 1e-10);
    check_close("AICc quadratic", curves.curves[LAW_QUADRATIC].aicc, 187.100006521167, 1e-9);
    check_close("cross validation linear", curves.curves[LAW_LINEAR].cross_validation_rmse, 1.79170194514801, 1e-10);
    check_close("cross validation quadratic", curves.curves[LAW_QUADRATIC].cross_validation_rmse, 1.81335560529847, 1e-10);
    check_close("cross validation exponential", curves.curves[LAW_EXPONENTIAL].cross_validation_rmse, 1.76817347224397, 1e-9);
    double lower, upper;
    curve_confidence(&curves.curves[LAW_LINEAR], 0.3, 0.95, &lower, &upper);
    /*
     * The mean squares of the batches are below those of the specimens here. Least squares of the specimens (R 4.2.2,
     * lm), since that of the batch means has a nearer 37.2011719628917; Kenward-Roger has 37.0632857517248.
     */
    check_close("lower", lower, 37.1066327853304, 1e-10);
    check_close("upper", upper, 38.3235005480029, 1e-10);
    curve_set_release(&curves);
    study_close(&study);
}

/* One specimen a batch: ordinary least squares, every bound exact. */
static void one_specimen_a_batch(void)
{
    struct study study = study_open("synthetic/S4_one_per_batch.csv");
    struct curve_set curves = fit_strength(study.invented, PROPERTY_COUNT, LAW_AUTO);
    const struct curve *linear = &curves.curves[LAW_LINEAR], *quadratic = &curves.curves[LAW_QUADRATIC];
    const struct curve *exponential = &curves.curves[LAW_EXPONENTIAL];
    struct assurance mean = assured(ASSURANCE_MEAN, 0.95), next = assured(ASSURANCE_NEXT_BATCH, 0.975);
    struct assurance fractile = assured(ASSURANCE_FRACTILE, 0.95);
    CU_ASSERT_FALSE(linear->fit.has_batch_effect);
    check_close("AICc linear", linear->aicc, 79.1662579068848, 1e-10);
    check_close("AICc quadratic", quadratic->aicc, 82.5203086638775, 1e-10);
    check_close("AICc exponential with Jacobian", exponential->aicc, 80.1627763866789, 1e-10);
    check_close("cross validation linear", linear->cross_validation_rmse, 1.96916293898105, 1e-10);
    check_close("cross validation exponential", exponential->cross_validation_rmse, 2.0000271376822, 1e-10);
    check_close("mean", curve_bound(linear, 0.3, &mean, -1), 36.8042313547623, 1e-11);
    check_close("next", curve_bound(linear, 0.3, &next, -1), 33.590416793491, 1e-11);
    check_close("next, above", curve_bound(linear, 0.3, &next, 1), 41.7993609842868, 1e-11);
    check_close("fractile", curve_bound(linear, 0.3, &fractile, -1), 32.98475827990541, 1e-10);
    check_close("fractile, quadratic", curve_bound(quadratic, 1, &fractile, -1), 22.97109058173786, 1e-10);
    check_close("fractile, exponential", curve_bound(exponential, 1, &fractile, -1), exp(3.2114890456646656), 1e-10);
    check_close("mean, exponential", curve_bound(exponential, 0.5, &mean, -1), exp(3.52601176254487), 1e-11);
    check_close("lack of fit", linear->lack_of_fit.f, 0.434588051574404, 1e-9);
    check_close("lack of fit p", linear->lack_of_fit.p, 0.781257194849033, 1e-9);
    check_close("chance at the 97.5 % bound", curve_chance(linear, 0.3, 33.590416793491, 3, -1), 0.975, 1e-9);
    check_close("chance to stay below it", curve_chance(linear, 0.3, 33.590416793491, 3, 1), 0.025, 1e-9);
    check_close("chance, exponential", curve_chance(exponential, 0, exp(3.60919454263079), 3, -1), 0.975, 1e-9);
    curve_set_release(&curves);
    study_close(&study);
}

/* One measurement written down for every specimen of its batch is one result: no law gains or loses by the copies. */
static void copies_within_a_batch(void)
{
    struct study study = study_open("synthetic/S4_one_per_batch.csv"), copied = study_repeated("synthetic/S4_one_per_batch.csv", 3);
    struct curve_set once = fit_strength(study.invented, PROPERTY_COUNT, LAW_AUTO);
    struct curve_set thrice = fit_strength(copied.invented, PROPERTY_COUNT, LAW_AUTO);
    for (enum law law = 0; law < LAW_COUNT; law++) {
        CU_ASSERT_EQUAL(once.curves[law].fitted, thrice.curves[law].fitted);
        if (once.curves[law].fitted)
            check_close(law_word(law), thrice.curves[law].aicc, once.curves[law].aicc, 1e-10);
    }
    CU_ASSERT_EQUAL(once.chosen, thrice.chosen);
    curve_set_release(&once);
    curve_set_release(&thrice);
    study_close(&study);
    study_close(&copied);
}

static void logarithm_of_response(void)
{
    struct study study = study_open("synthetic/S6_log_response.csv");
    struct curve_set curves = fit_strength(study.invented, PROPERTY_COUNT, LAW_AUTO);
    double lower, upper, jacobian = 311.148055807502;
    check_close("AICc exponential", curves.curves[LAW_EXPONENTIAL].aicc, -68.9003641429023 + jacobian, 1e-9);
    check_close("AICc exponential-quadratic", curves.curves[LAW_EXPONENTIAL_QUADRATIC].aicc, -66.4976618408923 + jacobian, 1e-9);
    /* Batches of 2, 3 and 4: generalised least squares without each batch, the variances of lme4 kept, by matrices in R. */
    check_close("cross validation linear", curves.curves[LAW_LINEAR].cross_validation_rmse, 3.98725689741076, 1e-7);
    check_close("cross validation exponential", curves.curves[LAW_EXPONENTIAL].cross_validation_rmse, 4.01028539695962, 1e-7);
    curve_confidence(&curves.curves[LAW_EXPONENTIAL], 1, 0.95, &lower, &upper);
    check_close("lower", lower, exp(3.13940968318925), 1e-7);
    check_close("upper", upper, exp(3.32449060561075), 1e-7);
    check_close("median", curve_value(&curves.curves[LAW_EXPONENTIAL], 1), exp(3.2319501444), 1e-8);
    double variance, df;
    CU_ASSERT(curve_variance(&curves.curves[LAW_EXPONENTIAL], 1, &variance, &df));
    check_close("delta method", sqrt(variance), 0.0427980732793349 * exp(3.2319501444), 1e-6);
    check_close("df", df, 12.8892206386495, 1e-6);
    curve_set_release(&curves);
    study_close(&study);
}

#define KG_M3_PER_LB_FT3 16.018463373960138
#define MPA_PER_PSI 0.006894757293168361

/* Least squares of ln psi on ln(lb/ft3) of those six mixes, worked apart from this program. */
static void check_own_units(const struct curve *power)
{
    const struct curve_units own = { KG_M3_PER_LB_FT3, MPA_PER_PSI };
    struct coefficient_row row;
    curve_coefficient_in(power, 0, own, 0.95, &row);
    check_close("intercept in lb/ft3 and psi", row.estimate, -4.349488737, 1e-6);
    check_close("its standard error", row.std_error, 0.491682978, 1e-6);
    check_close("its t", row.t, -4.349488737 / 0.491682978, 2e-6);
    curve_coefficient_in(power, 1, own, 0.95, &row);
    check_close("slope in lb/ft3 and psi", row.estimate, 2.906120808, 1e-6);
    check_close("its standard error", row.std_error, 0.138077273, 1e-6);
}

/*
 * Six perlite mixes, dry density in lb/ft3 and mid-range strength in psi, from
 * a producers' association guide; answers by least squares on the logarithms.
 */
static void strength_on_density(void)
{
    static const double dry[] = { 22, 27, 30, 36, 45, 60 }, psi[] = { 107.5, 162.5, 265, 425, 950, 1750 };
    static const char *const names[] = { "1", "2", "3", "4", "8", "10" };
    struct invented *study = invented_new();
    for (size_t i = 0; i < 6; i++) {
        struct invented_row row = { names[i], "perlite", NULL, NAN, NAN, MOISTURE_UNKNOWN };
        size_t at = invented_add(study, &row);
        invented_value(study, at, PROPERTY_DENSITY, dry[i] * KG_M3_PER_LB_FT3);
        invented_value(study, at, PROPERTY_COMPRESSIVE_STRENGTH, psi[i] * MPA_PER_PSI);
    }
    struct curve_set curves = fit_strength(study, PROPERTY_DENSITY, LAW_POWER);
    const struct curve *power = curve_set_chosen(&curves);
    struct assurance two_sided = assured(ASSURANCE_NEXT_BATCH, 0.975), one_sided = assured(ASSURANCE_NEXT_BATCH, 0.95);
    CU_ASSERT_EQUAL_FATAL(power->law, LAW_POWER);
    CU_ASSERT(power->all_no_batch);
    check_close("slope", power->fit.coefficient[1], 2.90612, 2e-6);
    check_close("intercept in kg/m3 and MPa", power->fit.coefficient[0], -17.3873, 3e-6);
    check_close("sd", power->residual_sd, 0.112223, 5e-6);
    check_close("R squared", power->r_squared, 0.991051, 1e-6);
    double at_40 = 40 * KG_M3_PER_LB_FT3;
    check_close("at 40 lb/ft3", curve_value(power, at_40) / MPA_PER_PSI, 584.549, 1e-6);
    check_close("lower 95 % of two sides", curve_bound(power, at_40, &two_sided, -1) / MPA_PER_PSI, 415.645, 2e-6);
    check_close("upper 95 % of two sides", curve_bound(power, at_40, &two_sided, 1) / MPA_PER_PSI, 822.089, 2e-6);
    check_close("lower 95 % of one side", curve_bound(power, at_40, &one_sided, -1) / MPA_PER_PSI, 449.890, 2e-6);
    check_close("lightest by the mean", curve_value(power, 607.202), 500 * MPA_PER_PSI, 1e-5);
    check_close("lightest by the bound", curve_bound(power, 556.688, &one_sided, -1), 300 * MPA_PER_PSI, 1e-5);
    CU_ASSERT_FALSE(curves.curves[LAW_LINEAR].fitted);
    CU_ASSERT_FALSE(power->lack_of_fit.available);
    struct coefficient_row row;
    curve_coefficient(power, 1, 0.95, &row);
    check_text(row.name, "ln density");
    check_close("standard error", row.std_error, 0.138077, 5e-6);
    check_own_units(power);
    curve_set_release(&curves);
    free(study);
}

/* In whatever units: the law with its coefficients must give what the curve gives. */
static void coefficients_in_other_units_give_the_same_curve(void)
{
    struct invented *study = invented_new();
    static const char *const names[] = { "a", "b", "c", "d", "e" };
    for (size_t i = 0; i < 15; i++) {
        struct invented_row row = { names[i / 3], "clay", NULL, NAN, 28, MOISTURE_OVEN_DRY };
        size_t at = invented_add(study, &row);
        invented_value(study, at, PROPERTY_DENSITY, 900 + 170 * (double)(i / 3) + 11 * (double)(i % 3));
        invented_value(study, at, PROPERTY_COMPRESSIVE_STRENGTH, 6 + 3.1 * (double)(i / 3) + 0.4 * (double)(i * i % 7));
    }
    struct curve_set curves = fit_strength(study, PROPERTY_DENSITY, LAW_AUTO);
    const struct curve_units units = { KG_M3_PER_LB_FT3, MPA_PER_PSI };
    for (enum law law = 0; law < LAW_COUNT; law++) {
        const struct curve *curve = &curves.curves[law];
        double terms[3], x = 1234.5, sum = 0;
        CU_ASSERT_FATAL(curve->fitted);
        law_design(law, x / units.x, terms);
        for (size_t term = 0; term < law_terms(law); term++) {
            struct coefficient_row row;
            curve_coefficient_in(curve, term, units, 0.95, &row);
            CU_ASSERT(row.lower < row.estimate && row.estimate < row.upper);
            sum += row.estimate * terms[term];
        }
        check_close(law_word(law), law_is_log(law) ? exp(sum) : sum, curve_value(curve, x) / units.y, 1e-10);
    }
    curve_set_release(&curves);
    free(study);
}

/* Two batches a mix of strengths given by y at each of n fractions. */
static struct invented *invented_curve(const double *x, const double *y, size_t n)
{
    static const char *const names[] = { "a", "b", "c", "d", "e", "f", "g", "h" };
    static const double batch_luck[] = { 0.2, -0.2 }, specimen_luck[] = { 0.05, -0.05 };
    struct invented *study = invented_new();
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < 4; k++) {
            struct invented_row row = { names[i], "clay", k / 2 ? "1" : "2", x[i], 28, MOISTURE_OVEN_DRY };
            invented_value(study, invented_add(study, &row), PROPERTY_COMPRESSIVE_STRENGTH, y[i] + batch_luck[k / 2] + specimen_luck[k % 2]);
        }
    return study;
}

static void turning_law_is_doubtful(void)
{
    static const double x[] = { 0.1, 0.2, 0.3, 0.4, 0.5 }, humped[] = { 10, 14, 16, 15, 11 }, falling[] = { 20, 17, 14.8, 13.2, 12 };
    struct invented *study = invented_curve(x, humped, 5);
    struct curve_set curves = fit_strength(study, PROPERTY_COUNT, LAW_AUTO);
    CU_ASSERT(curve_set_chosen(&curves)->doubtful);
    CU_ASSERT(curves.curves[LAW_QUADRATIC].doubtful);
    CU_ASSERT(curves.curves[LAW_EXPONENTIAL_QUADRATIC].doubtful);
    CU_ASSERT_FALSE(curves.curves[LAW_LINEAR].doubtful);
    check_close("tested range", curve_set_chosen(&curves)->x_max, 0.5, 0);
    curve_set_release(&curves);
    free(study);
    study = invented_curve(x, falling, 5);
    curves = fit_strength(study, PROPERTY_COUNT, LAW_QUADRATIC);
    CU_ASSERT_EQUAL(curves.chosen, LAW_QUADRATIC);
    CU_ASSERT_FALSE(curve_set_chosen(&curves)->doubtful);
    CU_ASSERT_FALSE(curves.curves[LAW_LINEAR].fitted);
    check_text(curves.curves[LAW_LINEAR].problem.text, "not asked for");
    curve_set_release(&curves);
    free(study);
}

static enum status try_fit(const struct invented *study, enum law law, struct problem *problem)
{
    struct selection selection = selection_all();
    struct curve_set curves;
    enum status status = curve_set_fit(&study->set, &selection, 0, PROPERTY_COMPRESSIVE_STRENGTH, PROPERTY_COUNT, law, &curves, problem);
    if (status == STATUS_OK)
        curve_set_release(&curves);
    return status;
}

static void too_little_for_a_law(void)
{
    static const double x[] = { 0.1, 0.3 }, same[] = { 0.2, 0.2 }, y[] = { 10, 8 }, zero[] = { 0.2, 8 };
    struct problem problem;
    struct invented *study = invented_curve(x, y, 2);
    CU_ASSERT_EQUAL(try_fit(study, LAW_QUADRATIC, &problem), STATUS_TOO_FEW);
    check_text(problem.text, "the quadratic law needs 3 different values of aggregate fraction, there are 2");
    CU_ASSERT_EQUAL(try_fit(study, LAW_AUTO, &problem), STATUS_OK);
    free(study);
    study = invented_curve(same, y, 2);
    CU_ASSERT_EQUAL(try_fit(study, LAW_AUTO, &problem), STATUS_TOO_FEW);
    check_text(problem.text, "the linear law needs 2 different values of aggregate fraction, there is 1");
    free(study);
    study = invented_curve(x, zero, 2);
    CU_ASSERT_EQUAL(try_fit(study, LAW_EXPONENTIAL, &problem), STATUS_NUMERIC);
    check_text(problem.text, "the exponential law needs compressive strength above 0: a value of 0 has no logarithm");
    CU_ASSERT_EQUAL(try_fit(study, LAW_AUTO, &problem), STATUS_OK);
    free(study);
    study = invented_curve(x, y, 0);
    CU_ASSERT_EQUAL(try_fit(study, LAW_AUTO, &problem), STATUS_TOO_FEW);
    free(study);
}

/* Four results are too few for an AICc with three parameters: 4 - 3 - 1 = 0. The error with each batch left out decides. */
static void too_few_for_aicc(void)
{
    static const double x[] = { 0.1, 0.3, 0.5, 0.8 }, y[] = { 20, 15.2, 11, 6.9 };
    static const char *const names[] = { "a", "b", "c", "d" };
    struct invented *study = invented_new();
    for (size_t i = 0; i < 4; i++) {
        struct invented_row row = { names[i], "clay", NULL, x[i], NAN, MOISTURE_UNKNOWN };
        invented_value(study, invented_add(study, &row), PROPERTY_COMPRESSIVE_STRENGTH, y[i]);
    }
    struct curve_set curves = fit_strength(study, PROPERTY_COUNT, LAW_AUTO);
    CU_ASSERT(isinf(curves.curves[LAW_LINEAR].aicc) && isinf(curves.curves[LAW_QUADRATIC].aicc));
    const struct curve *chosen = curve_set_chosen(&curves);
    CU_ASSERT_PTR_NOT_NULL_FATAL(chosen);
    for (enum law law = 0; law < LAW_COUNT; law++)
        if (curves.curves[law].fitted)
            CU_ASSERT(chosen->cross_validation_rmse <= curves.curves[law].cross_validation_rmse);
    curve_set_release(&curves);
    free(study);
}

static void exact_line(void)
{
    static const double x[] = { 0, 0.25, 0.75, 1 };
    static const char *const names[] = { "a", "b", "c", "d" };
    struct invented *study = invented_new();
    for (size_t i = 0; i < 4; i++)
        for (size_t k = 0; k < 2; k++) {
            struct invented_row row = { names[i], "clay", k ? "1" : "2", x[i], NAN, MOISTURE_UNKNOWN };
            invented_value(study, invented_add(study, &row), PROPERTY_COMPRESSIVE_STRENGTH, 16 - 8 * x[i]);
        }
    struct curve_set curves = fit_strength(study, PROPERTY_COUNT, LAW_AUTO);
    const struct curve *chosen = curve_set_chosen(&curves);
    struct assurance next = assured(ASSURANCE_NEXT_BATCH, 0.95), fractile = assured(ASSURANCE_FRACTILE, 0.95);
    CU_ASSERT_FALSE(chosen->law == LAW_EXPONENTIAL);
    check_close("value", curve_value(chosen, 0.5), 12, 1e-9);
    check_close("next batch", curve_bound(chosen, 0.5, &next, -1), 12, 1e-6);
    check_close("fractile", curve_bound(chosen, 0.5, &fractile, -1), 12, 1e-6);
    curve_set_release(&curves);
    free(study);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "random batches: AICc, error of batches left out, Kenward-Roger", random_batches },
        { "batch variance 0", zero_batch_variance },
        { "one specimen a batch: mean, next batch, fractile", one_specimen_a_batch },
        { "laws on the logarithm", logarithm_of_response },
        { "copies within a batch", copies_within_a_batch },
        { "strength on density, power law", strength_on_density },
        { "coefficients in other units give the same curve", coefficients_in_other_units_give_the_same_curve },
        { "a law that turns is doubtful", turning_law_is_doubtful },
        { "too little for a law", too_little_for_a_law },
        { "too few results for an AICc", too_few_for_aicc },
        { "no scatter at all", exact_line },
    };
    return check_run("curve", cases, sizeof cases / sizeof cases[0]);
}
