/* Growth with age by mix: points, choice of the law, comparison at one age. Specimens invented. */
#include "analysis/growth_study.h"
#include "base/memory.h"
#include "base/text.h"
#include "stats/distribution.h"
#include "support/check.h"
#include "support/temporary.h"

static const enum property strength[] = { PROPERTY_COMPRESSIVE_STRENGTH };
static struct specimen_set set;
static struct problem_list problems;
static struct growth_study study;

static struct age_question ask(void)
{
    struct age_question question = { .properties = strength, .n_properties = 1, .law = GROWTH_LAW_COUNT, .selection = selection_all(),
                                     .age_days = NAN, .confidence = 0.95 };
    return question;
}

static void read_rows(const char *rows)
{
    static const struct specimen_set_settings strict = { 0 };
    const char *path = temporary_text("in.csv", rows);
    CU_ASSERT_EQUAL_FATAL(specimen_set_read(&path, 1, &strict, &set, &problems), STATUS_OK);
}

static void fit(const struct age_question *question)
{
    CU_ASSERT_EQUAL_FATAL(growth_study_make(&set, question, &study, &problems), STATUS_OK);
}

static void end(void)
{
    growth_study_release(&study);
    specimen_set_release(&set);
    problem_list_release(&problems);
}

/* Rows of a mix that follow limit t / (half + t) exactly, two specimens of a batch apart by a share that their mean does not see. */
static void add_hyperbolic(struct text *rows, const char *mix, double fraction, double limit, double half)
{
    static const double ages[] = { 3, 7, 14, 28, 90 };
    for (size_t i = 0; i < 5; i++)
        for (int side = -1; side <= 1; side += 2)
            text_addf(rows, "%s-%zu%c,%s,%zu,%g,%g,%.15g\n", mix, i, side < 0 ? 'a' : 'b', mix, i, fraction, ages[i],
                      limit * ages[i] / (half + ages[i]) + side * 0.25);
}

static const char heading[] = "specimen,mix,batch,aggregate_fraction,age_days,compressive_strength_MPa\n";

static void means_of_batches(void)
{
    struct text rows = { 0 };
    struct age_question question = ask();
    text_add(&rows, heading);
    add_hyperbolic(&rows, "M", 0, 40, 4);
    add_hyperbolic(&rows, "N", 0.3, 25, 2.5);
    read_rows(rows.bytes);
    fit(&question);
    CU_ASSERT_EQUAL_FATAL(study.n_items, 2);
    const struct age_curve *curve = &study.items[0];
    CU_ASSERT_EQUAL(curve->n_specimens, 10);
    CU_ASSERT_EQUAL(curve->n_points, 5);
    CU_ASSERT_EQUAL(curve->n_batches, 5);
    CU_ASSERT_EQUAL(curve->n_ages, 5);
    CU_ASSERT_EQUAL_FATAL(curve->chosen, GROWTH_HYPERBOLIC);
    check_close("limit", curve->laws[GROWTH_HYPERBOLIC].fit.fit.parameter[0], 40, 1e-10);
    check_close("half time", curve->laws[GROWTH_HYPERBOLIC].fit.fit.parameter[1], 4, 1e-10);
    check_close("common age", study.age_days, 28, 0);
    check_close("at 28 days", curve->at.estimate, 40 * 28 / 32.0, 1e-10);
    CU_ASSERT_EQUAL(study.reference, curve->mix);
    check_close("share", study.items[1].share, (25 * 28 / 30.5) / 35, 1e-10);
    CU_ASSERT(isnan(curve->share));
    text_release(&rows);
    end();
}

static const char scattered[] = "specimen,mix,aggregate_fraction,age_days,compressive_strength_MPa\n"
                                "a,M,0,3,17\nb,M,0,7,26.5\nc,M,0,7,25\nd,M,0,28,36\ne,M,0,28,34\nf,M,0,56,37.5\n"
                                "g,N,0.4,3,11\nh,N,0.4,7,15.4\ni,N,0.4,7,16.9\nj,N,0.4,28,21\nk,N,0.4,28,23.2\nl,N,0.4,56,23\n";

/* The ratio's interval worked out from the curves' own numbers. */
static void ratio_at_one_age(void)
{
    struct age_question question = ask();
    question.law = GROWTH_ROOT_EXPONENTIAL;
    question.age_days = 14;
    question.confidence = 0.9;
    read_rows(scattered);
    fit(&question);
    const struct age_curve *m = &study.items[0], *n = &study.items[1];
    CU_ASSERT_EQUAL(m->chosen, GROWTH_ROOT_EXPONENTIAL);
    CU_ASSERT_FALSE(m->laws[GROWTH_HYPERBOLIC].fitted);
    double v1 = pow(n->at.std_error / n->at.estimate, 2), v2 = pow(m->at.std_error / m->at.estimate, 2);
    double df = pow(v1 + v2, 2) / (v1 * v1 / 4 + v2 * v2 / 4);
    double factor = exp(t_quantile(0.95, df) * sqrt(v1 + v2)), share = n->at.estimate / m->at.estimate;
    check_close("share", n->share, share, 1e-14);
    check_close("lower", n->share_lower, share / factor, 1e-12);
    check_close("upper", n->share_upper, share * factor, 1e-12);
    CU_ASSERT(n->share_lower < n->share && n->share < n->share_upper);
    end();
}

/* AICc by its definition from the residual squares of the hyperbolic law. */
static void choice_by_aicc(void)
{
    struct age_question question = ask();
    read_rows(scattered);
    fit(&question);
    const struct age_curve *m = &study.items[0];
    double rss = m->laws[GROWTH_HYPERBOLIC].fit.fit.residual_sum_squares, n = 6, k = 3, pi = 3.14159265358979323846;
    check_close("AICc", m->laws[GROWTH_HYPERBOLIC].aicc, n * log(2 * pi * rss / n) + n + 2 * k + 2 * k * (k + 1) / (n - k - 1), 1e-12);
    for (enum growth_law law = 0; law < GROWTH_LAW_COUNT; law++)
        CU_ASSERT_FALSE(m->laws[law].aicc < m->laws[m->chosen].aicc);
    struct coefficient_row row;
    age_law_constant(&m->laws[GROWTH_HYPERBOLIC], 1, 0.95, &row);
    check_text(row.name, "half_time");
    CU_ASSERT(row.lower < row.estimate && row.estimate < row.upper);
    end();
}

/* Rows of batches that follow limit t / (4 + t) exactly, each at five ages. */
static void add_batches(struct text *rows, const char *mix, double fraction, const double *limits, size_t n)
{
    static const double ages[] = { 3, 7, 14, 28, 90 };
    for (size_t j = 0; j < n; j++)
        for (size_t i = 0; i < 5; i++)
            text_addf(rows, "%s%zu%zu,%s,%zu,%g,%g,%.17g\n", mix, j, i, mix, j, fraction, ages[i], limits[j] * ages[i] / (4 + ages[i]));
}

static void read_batches(void)
{
    static const double limits[] = { 30, 27, 33 }, lone[] = { 20 };
    struct text rows = { 0 };
    text_add(&rows, heading);
    add_batches(&rows, "M", 0, limits, 3);
    add_batches(&rows, "N", 0.4, lone, 1);
    read_rows(rows.bytes);
    text_release(&rows);
}

/*
 * Batches keep their luck from age to age: 15 points say no more than 3 batches. Without each the limit is the mean of the
 * other two, 30, 31.5, 28.5, and the jackknife's standard error that of the mean of three, 3 / sqrt(3).
 */
static void batches_at_several_ages(void)
{
    static const double without[] = { 30, 31.5, 28.5 };
    struct age_question question = ask();
    struct coefficient_row row;
    double mean = 0, squares = 0;
    read_batches();
    fit(&question);
    const struct age_curve *m = &study.items[0], *n = &study.items[1];
    for (size_t j = 0; j < 3; j++)
        mean += log(without[j]) / 3;
    for (size_t j = 0; j < 3; j++)
        squares += pow(log(without[j]) - mean, 2);
    double reach = t_quantile(0.975, 2) * sqrt(2.0 / 3 * squares);
    CU_ASSERT_EQUAL_FATAL(m->chosen, GROWTH_HYPERBOLIC);
    check_close("at 28 days", m->at.estimate, 30 * 28 / 32.0, 1e-9);
    check_close("lower", m->at.lower, 30 * 28 / 32.0 * exp(-reach), 1e-8);
    check_close("upper", m->at.upper, 30 * 28 / 32.0 * exp(reach), 1e-8);
    age_law_constant(&m->laws[GROWTH_HYPERBOLIC], 0, 0.95, &row);
    check_close("standard error of the limit", row.std_error, sqrt(3), 1e-8);
    check_close("its degrees of freedom", row.df, 2, 0);
    CU_ASSERT(n->chosen < GROWTH_LAW_COUNT);
    CU_ASSERT(isnan(n->at.lower) && isnan(n->at.upper)); /* one batch */
    CU_ASSERT(isfinite(n->share) && isnan(n->share_lower) && isnan(n->share_upper));
    end();
}

/* An age beyond the tests is told as such and nothing is compared there. */
static void outside(void)
{
    struct age_question question = ask();
    question.age_days = 365;
    read_rows(scattered);
    fit(&question);
    CU_ASSERT_TRUE(study.items[0].at.outside);
    CU_ASSERT(isnan(study.items[1].share));
    end();
}

static void one_age_only(void)
{
    struct age_question question = ask();
    read_rows("specimen,mix,age_days,compressive_strength_MPa\na,M,28,30\nb,M,28.2,31\nc,N,7,20\nd,N,28,30\n");
    fit(&question);
    CU_ASSERT_EQUAL_FATAL(study.n_items, 1);
    CU_ASSERT_EQUAL(growth_study_fitted(&study), 0);
    CU_ASSERT(age_curve_why_not(&study.items[0])[0] != '\0');
    CU_ASSERT(isnan(study.age_days));
    end();
}

static void unknown_reference(void)
{
    struct age_question question = ask();
    question.reference_mix = "Q";
    read_rows(scattered);
    CU_ASSERT_EQUAL(growth_study_make(&set, &question, &study, &problems), STATUS_USAGE);
    CU_ASSERT_PTR_NULL(study.items);
    end();
}

/* Cubes read higher than cylinders: a point is of one kind, the one with most results, and that is said. */
static void kinds_of_specimen(void)
{
    struct age_question question = ask();
    read_rows("specimen,mix,batch,shape,length_mm,diameter_mm,age_days,compressive_strength_MPa\n"
              "a,M,1,cube,100,,7,20\nb,M,1,cube,100,,28,30\nc,M,1,cube,100,,56,33\nd,M,1,cube,100,,90,35\n"
              "e,M,1,cylinder,200,100,7,15\nf,M,1,cylinder,200,100,28,24\ng,M,1,cylinder,200,100,56,27\n");
    fit(&question);
    CU_ASSERT_EQUAL_FATAL(study.n_items, 1);
    CU_ASSERT(study.items[0].n_specimens == 4 && study.items[0].n_points == 4);
    CU_ASSERT_EQUAL_FATAL(problems.n_items, 1);
    CU_ASSERT_PTR_NOT_NULL(strstr(problems.items[0].text, "those of 'cube 100 mm' are used"));
    growth_study_release(&study);
    question.selection.kinds[0] = (struct specimen_kind){ SHAPE_CYLINDER, LOADING_AXIAL, NAN };
    question.selection.n_kinds = 1;
    fit(&question);
    CU_ASSERT_EQUAL_FATAL(study.n_items, 1);
    CU_ASSERT(study.items[0].n_specimens == 3 && study.items[0].n_points == 3);
    end();
}

static void no_memory(void)
{
    struct age_question question = ask();
    for (int repeated = 0; repeated < 2; repeated++) {
        enum status status = STATUS_MEMORY;
        if (repeated)
            read_batches();
        else
            read_rows(scattered);
        for (unsigned long n = 1; status == STATUS_MEMORY && n < 5000; n++) {
            memory_fail_at(n, true);
            status = growth_study_make(&set, &question, &study, &problems);
            memory_fail_at(0, false);
        }
        CU_ASSERT_EQUAL(status, STATUS_OK);
        end();
    }
}

int main(void)
{
    static const struct check_case cases[] = {
        { "means of batches", means_of_batches },   { "ratio at one age", ratio_at_one_age },
        { "choice by AICc", choice_by_aicc },       { "outside", outside },
        { "one age only", one_age_only },           { "unknown reference", unknown_reference },
        { "no memory", no_memory },                 { "batches at several ages", batches_at_several_ages },
        { "kinds of specimen", kinds_of_specimen },
    };
    if (!temporary_start())
        return 2;
    int failed = check_run("age study", cases, sizeof cases / sizeof *cases);
    temporary_end();
    return failed;
}
