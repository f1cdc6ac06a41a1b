/* Many batches: fits of the sums over batches must be those of the rows themselves, but for rounding. */
#include "support/check.h"

#include "analysis/mix_summary.h"
#include "base/memory.h"
#include "support/invented.h"

#define BATCHES 1500
#define ROUNDING 1e-9

/* What is odd about a study. */
enum oddity { PLAIN, WITH_ZERO, IDENTICAL, NO_BATCHES, KINDS_OF_STUDY };

static unsigned draw(unsigned *state, unsigned below)
{
    *state = *state * 1664525u + 1013904223u; /* Numerical Recipes' quick generator will do here */
    return (*state >> 8) % below;
}

static double noise(unsigned *state)
{
    return draw(state, 10000) / 5000.0 - 1;
}

static void add_batch(struct invented *study, unsigned *state, unsigned number, enum oddity odd)
{
    static const char *const mixes[] = { "G", "C20", "C40", "C60", "P10", "P30", "P50", "P50b", "X" };
    static const double fractions[] = { 0, 0.2, 0.4, 0.6, 0.1, 0.3, 0.5, 0.5, NAN }; /* two mixes at one fraction */
    static char names[BATCHES][8];
    unsigned mix = number == 7 ? 8 : draw(state, 8), n = 1 + draw(state, 4);
    double luck = noise(state), x = mix == 8 ? 0.5 : fractions[mix];
    snprintf(names[number], sizeof names[number], "b%u", number);
    for (unsigned k = 0; k < n; k++) {
        struct invented_row row = { mixes[mix], mix == 0 ? "gravel" : mix < 4 ? "clay" : mix < 8 ? "perlite" : "other",
                                    odd == NO_BATCHES ? NULL : names[number], fractions[mix], draw(state, 9) ? 28 : 7,
                                    draw(state, 12) ? MOISTURE_OVEN_DRY : MOISTURE_SATURATED };
        size_t i = invented_add(study, &row);
        double scatter = odd == IDENTICAL ? 0 : noise(state);
        invented_value(study, i, PROPERTY_DENSITY, 2000 - 1000 * x + 200 * x * x + 40 * luck + 20 * scatter);
        if (draw(state, 20) > 0)
            invented_value(study, i, PROPERTY_COMPRESSIVE_STRENGTH,
                           odd == WITH_ZERO && number == 40 ? 0 : 40 * exp(-2 * x + 0.1 * luck + 0.08 * scatter));
    }
}

static struct invented *make_study(unsigned seed, enum oddity odd)
{
    struct invented *study = invented_new();
    for (unsigned b = 0; b < BATCHES; b++)
        add_batch(study, &seed, b, odd);
    return study;
}

static struct selection settled(const struct invented *study)
{
    struct selection selection = selection_all();
    struct problem_list notices = { 0 };
    CU_ASSERT_EQUAL_FATAL(selection_settle(&study->set, &selection, &notices), STATUS_OK);
    problem_list_release(&notices);
    return selection;
}

static void check_same(const char *what, double by_rows, double by_sums)
{
    if (isnan(by_rows) || isnan(by_sums) || isinf(by_rows))
        CU_ASSERT_TRUE((isnan(by_rows) && isnan(by_sums)) || by_rows == by_sums)
    else
        check_close(what, by_sums, by_rows, ROUNDING);
}

static void check_curve(const struct curve *rows, const struct curve *sums)
{
    const struct assurance assurance = { ASSURANCE_NEXT_BATCH, 0.95, 0.05, 3 };
    CU_ASSERT_EQUAL(rows->fitted, sums->fitted);
    check_text(sums->problem.text, rows->problem.text);
    CU_ASSERT_TRUE(rows->n_specimens == sums->n_specimens && rows->n_batches == sums->n_batches && rows->n_mixes == sums->n_mixes);
    CU_ASSERT_EQUAL(rows->all_no_batch, sums->all_no_batch);
    CU_ASSERT_EQUAL(rows->chosen, sums->chosen);
    if (!rows->fitted || !sums->fitted)
        return;
    check_same("AICc", rows->aicc, sums->aicc);
    check_same("error", rows->cross_validation_rmse, sums->cross_validation_rmse);
    check_same("R squared", rows->r_squared, sums->r_squared);
    check_same("sd", rows->residual_sd, sums->residual_sd);
    CU_ASSERT_EQUAL(rows->lack_of_fit.available, sums->lack_of_fit.available);
    if (rows->lack_of_fit.available) /* the difference of two sums of squares: the digits of 1, not its own */
        CU_ASSERT_DOUBLE_EQUAL(sums->lack_of_fit.f, rows->lack_of_fit.f, ROUNDING * fmax(rows->lack_of_fit.f, 1));
    check_same("df", rows->lack_of_fit.df2, sums->lack_of_fit.df2);
    for (double x = rows->x_min; x <= rows->x_max; x += 0.1) {
        check_same("value", curve_value(rows, x), curve_value(sums, x));
        check_same("bound", curve_bound(rows, x, &assurance, -1), curve_bound(sums, x, &assurance, -1));
    }
}

static void check_curves(const struct invented *study, const struct selection *selection, const struct property_sums *sums, enum property property)
{
    for (uint32_t aggregate = 0; aggregate < study->set.n_aggregates; aggregate++) {
        struct curve_set of_rows, of_sums;
        struct problem rows_problem = { 0 }, sums_problem = { 0 };
        enum status status = curve_set_choose(&study->set, selection, NULL, aggregate, property, LAW_AUTO, &of_rows, &rows_problem);
        CU_ASSERT_EQUAL(curve_set_choose(&study->set, selection, sums, aggregate, property, LAW_AUTO, &of_sums, &sums_problem), status);
        check_text(sums_problem.text, rows_problem.text);
        for (enum law law = 0; status == STATUS_OK && law < LAW_COUNT; law++)
            check_curve(&of_rows.curves[law], &of_sums.curves[law]);
        curve_set_release(&of_rows);
        curve_set_release(&of_sums);
    }
}

static void check_mixes(const struct invented *study, const struct selection *selection, const struct property_sums *sums)
{
    static const struct property_sums none;
    struct mix_summary_list of_rows, of_sums;
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(mix_summary_list_from(&study->set, selection, &none, NULL, 0.95, &of_rows, &problem), STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(mix_summary_list_from(&study->set, selection, sums, NULL, 0.95, &of_sums, &problem), STATUS_OK);
    CU_ASSERT_EQUAL_FATAL(of_rows.n_items, of_sums.n_items);
    for (size_t i = 0; i < of_rows.n_items; i++) {
        check_same("per cent lighter", of_rows.items[i].percent_lighter.lower, of_sums.items[i].percent_lighter.lower);
        for (enum property p = 0; p < PROPERTY_COUNT; p++) {
            const struct mix_property *rows = &of_rows.items[i].property[p], *by_sums = &of_sums.items[i].property[p];
            CU_ASSERT_EQUAL(rows->available, by_sums->available);
            CU_ASSERT_EQUAL(rows->n_batches, by_sums->n_batches);
            check_same("mean", rows->mean, by_sums->mean);
            check_same("sd of batches", rows->sd_batch, by_sums->sd_batch);
            check_same("sd of specimens", rows->sd_specimen, by_sums->sd_specimen);
            check_same("standard error", rows->std_error, by_sums->std_error);
            check_curve(&rows->curve, &by_sums->curve);
        }
    }
    mix_summary_list_release(&of_rows);
    mix_summary_list_release(&of_sums);
}

static void rows_and_sums(void)
{
    for (unsigned seed = 1; seed <= 3; seed++)
        for (enum oddity odd = PLAIN; odd < KINDS_OF_STUDY; odd++) {
            struct invented *study = make_study(100 * seed + odd, odd);
            struct selection selection = settled(study);
            struct property_sums sums = { 0 };
            struct problem problem;
            CU_ASSERT_EQUAL_FATAL(property_sums_make(&sums, &study->set, &selection, &problem), STATUS_OK);
            CU_ASSERT_PTR_NOT_NULL_FATAL(sums.of[PROPERTY_DENSITY].mean);
            check_mixes(study, &selection, &sums);
            check_curves(study, &selection, &sums, PROPERTY_DENSITY);
            check_curves(study, &selection, &sums, PROPERTY_COMPRESSIVE_STRENGTH);
            property_sums_release(&sums);
            free(study);
        }
}

/* Each batch of a sample without rows is the one that it says it is, of the mix that it says, with the mean and the rows it has. */
static void check_sample(const struct sample *rows, const struct sample *sums, const struct specimen_set *set)
{
    CU_ASSERT_TRUE_FATAL(rows->n == sums->n && rows->n_batches == sums->n_batches && rows->n_mixes == sums->n_mixes);
    for (size_t j = 0; j < sums->n_batches; j++) {
        double sum = 0, n = 0;
        for (size_t i = 0; i < rows->n; i++)
            if (rows->batch_of[rows->batch[i]] == sums->batch_of[j]) {
                sum += rows->y[i];
                n++;
            }
        CU_ASSERT_EQUAL(sums->sums.batch_rows[j], n);
        check_close("mean", mixed_pool_mean(&sums->sums, j) + sums->sums.shift, sum / n, 1e-12);
        CU_ASSERT_EQUAL(sums->mix_of[sums->batch_mix[j]], set->batches[sums->batch_of[j]].mix);
    }
}

static void samples(void)
{
    struct invented *study = make_study(7, PLAIN);
    const struct specimen_set *set = &study->set;
    struct selection selection = settled(study);
    struct property_sums sums = { 0 };
    struct problem problem;
    CU_ASSERT_EQUAL_FATAL(property_sums_make(&sums, set, &selection, &problem), STATUS_OK);
    CU_ASSERT_TRUE(sums.of[PROPERTY_COMPRESSIVE_STRENGTH].own.batch && !sums.place); /* some batches have no strength */
    for (uint32_t i = 0; i < set->n_aggregates + set->n_mixes; i++)
        for (enum property property = PROPERTY_DENSITY; property <= PROPERTY_COMPRESSIVE_STRENGTH; property++) {
            const uint32_t aggregate = i < set->n_aggregates ? i : SAMPLE_ALL, mix = i < set->n_aggregates ? SAMPLE_ALL : i - (uint32_t)set->n_aggregates;
            const enum property predictor = mix == SAMPLE_ALL ? PROPERTY_COUNT : SAMPLE_PREDICTOR_NONE;
            struct sample of_rows, of_sums;
            const enum status status = sample_take(set, &selection, aggregate, mix, property, predictor, &of_rows, &problem);
            CU_ASSERT_EQUAL_FATAL(property_sums_sample(&sums, property, aggregate, mix, &of_sums, &problem), status);
            if (status == STATUS_OK)
                check_sample(&of_rows, &of_sums, set);
            sample_release(&of_rows);
            sample_release(&of_sums);
        }
    property_sums_release(&sums);
    free(study);
}

static void not_worth_it(void)
{
    struct invented *study = make_study(1, PLAIN);
    struct property_sums sums = { 0 };
    struct problem problem;
    struct selection selection = selection_all();
    CU_ASSERT_EQUAL(property_sums_make(&sums, &study->set, &selection, &problem), STATUS_OK);
    CU_ASSERT_PTR_NULL(sums.of[PROPERTY_DENSITY].mean); /* not settled: ages and states could be pooled */
    selection = settled(study);
    study->set.n_batches = 999;
    CU_ASSERT_FALSE(property_sums_worth(&study->set, &selection));
    study->set.n_batches = 1000;
    CU_ASSERT_TRUE(property_sums_worth(&study->set, &selection));
    free(study);
}

/* Ages that all lie near the settled one, but not near one another, are no more pooled here than row by row. */
static void ages_apart(void)
{
    struct invented *study = make_study(3, PLAIN);
    struct selection selection = selection_all();
    struct property_sums sums = { 0 };
    struct problem problem;
    struct mix_summary_list list;
    for (size_t i = 0; i < study->set.n; i++)
        study->age_days[i] = i % 2 ? 27.6 : 28.4;
    selection.age_days = 28;
    struct problem_list notices = { 0 };
    CU_ASSERT_EQUAL_FATAL(selection_settle(&study->set, &selection, &notices), STATUS_OK);
    problem_list_release(&notices);
    CU_ASSERT_EQUAL(property_sums_make(&sums, &study->set, &selection, &problem), STATUS_OK);
    CU_ASSERT_PTR_NULL(sums.of[PROPERTY_DENSITY].mean);
    CU_ASSERT_EQUAL(mix_summary_list_from(&study->set, &selection, &sums, NULL, 0.95, &list, &problem), STATUS_INPUT);
    CU_ASSERT_PTR_NOT_NULL(strstr(problem.text, "is given at several ages (28.4 days"));
    property_sums_release(&sums);
    free(study);
}

static void no_memory(void)
{
    struct invented *study = make_study(2, PLAIN);
    struct selection selection = settled(study);
    enum status status = STATUS_MEMORY;
    for (unsigned long nth = 1; status == STATUS_MEMORY && nth < 2000; nth++) {
        struct mix_summary_list list;
        struct problem problem = { 0 };
        memory_fail_at(nth, false);
        status = mix_summary_list_make(&study->set, &selection, NULL, 0.95, &list, &problem);
        memory_fail_at(0, false);
        if (status == STATUS_OK)
            mix_summary_list_release(&list);
        else
            CU_ASSERT_TRUE(status == STATUS_MEMORY && problem.text[0]);
    }
    CU_ASSERT_EQUAL(status, STATUS_OK);
    free(study);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "rows and sums", rows_and_sums }, { "samples", samples }, { "not worth it", not_worth_it }, { "ages apart", ages_apart },
        { "no memory", no_memory },
    };
    return check_run("property sums", cases, sizeof cases / sizeof *cases);
}
