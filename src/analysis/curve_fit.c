#include "analysis/curve.h"

#include "analysis/curve_choice.h"
#include "analysis/levels.h"
#include "base/memory.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define TERMS_MAX 3

/* What all laws of one curve set share. */
struct fit_context {
    const struct sample *sample;
    const double *x;           /* of every row of the design: n_designs */
    size_t n_designs;
    struct levels levels;      /* of x */
    double *design;
    double *log_y;             /* of every result; NULL until a law asks */
    struct mixed_pool own, own_log;
    struct mixed_pool *pool, *log_pool; /* of y and of log_y, kept from law to law: the sample's or own */
    bool all_no_batch, judge_all;
    char predictor_name[80], predictor_words[80];
};

static void context_name_predictor(struct fit_context *context, enum property predictor)
{
    bool fraction = predictor >= PROPERTY_COUNT;
    snprintf(context->predictor_name, sizeof context->predictor_name, "%s",
             fraction ? "aggregate_fraction" : property_row(predictor)->name);
    snprintf(context->predictor_words, sizeof context->predictor_words, "%s",
             fraction ? "aggregate fraction" : property_row(predictor)->words);
}

static enum status context_prepare(struct fit_context *context, const struct specimen_set *set,
                                   struct sample *sample, enum property predictor)
{
    context->sample = sample;
    context->pool = sample->summed ? &sample->sums : &context->own;
    context->log_pool = sample->summed ? &sample->log_sums : &context->own_log;
    context->all_no_batch = !sample->summed || sample->no_batch;
    for (size_t i = 0; i < sample->n && !sample->summed; i++)
        context->all_no_batch = context->all_no_batch && (set->flags[sample->row[i]] & FLAG_NO_BATCH);
    context_name_predictor(context, predictor);
    context->x = sample->mix_x ? sample->mix_x : sample->row_x;
    context->n_designs = sample->mix_x ? sample->n_mixes : sample->n;
    context->design = memory_new(context->n_designs, TERMS_MAX * sizeof *context->design);
    enum status status = levels_find(context->x, context->n_designs, &context->levels);
    return context->design ? status : STATUS_MEMORY;
}

static void context_release(struct fit_context *context)
{
    memory_free(context->design);
    memory_free(context->log_y);
    mixed_pool_release(&context->own);
    mixed_pool_release(&context->own_log);
    levels_release(&context->levels);
}

static bool all_above_zero(const double *values, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (!(values[i] > 0))
            return false;
    return true;
}

static enum status law_applies(const struct curve *curve, const struct fit_context *context, struct problem *problem)
{
    const struct sample *sample = context->sample;
    if (context->levels.n_levels < law_terms(curve->law))
        return problem_set(problem, STATUS_TOO_FEW, NULL, "the %s law needs %zu different values of %s, there %s %zu",
                           law_word(curve->law), law_terms(curve->law), context->predictor_words,
                           context->levels.n_levels == 1 ? "is" : "are", context->levels.n_levels);
    if (law_is_log(curve->law) && !(sample->summed ? sample->positive : all_above_zero(sample->y, sample->n)))
        return problem_set(problem, STATUS_NUMERIC, NULL, "the %s law needs %s above 0: a value of 0 has no logarithm",
                           law_word(curve->law), property_row(curve->property)->words);
    if (curve->law == LAW_POWER && !all_above_zero(context->x, context->n_designs))
        return problem_set(problem, STATUS_NUMERIC, NULL, "the power law needs %s above 0: a value of 0 has no logarithm",
                           context->predictor_words);
    return STATUS_OK;
}

/* The logarithms are taken once for all laws that want them. */
static enum status context_take_logs(struct fit_context *context)
{
    const struct sample *sample = context->sample;
    if (context->log_y || sample->summed)
        return STATUS_OK;
    context->log_y = memory_new(sample->n, sizeof *context->log_y);
    if (!context->log_y)
        return STATUS_MEMORY;
    for (size_t i = 0; i < sample->n; i++)
        context->log_y[i] = log(sample->y[i]);
    return STATUS_OK;
}

/* Data of a law that applies. By the aggregate fraction the rows of a mix share one row of the design. */
static struct mixed_data context_fill(struct fit_context *context, enum law law)
{
    const struct sample *sample = context->sample;
    size_t p = law_terms(law);
    for (size_t i = 0; i < context->n_designs; i++) {
        double terms[TERMS_MAX];
        law_design(law, context->x[i], terms);
        memcpy(context->design + i * p, terms, p * sizeof *terms);
    }
    return (struct mixed_data){
        .n_rows = sample->n, .n_terms = p, .design = context->design, .batch_design = sample->mix_x ? sample->batch_mix : NULL,
        .response = law_is_log(law) ? context->log_y : sample->y, .batch = sample->batch, .n_batches = sample->n_batches,
        .pool = !sample->mix_x ? NULL : law_is_log(law) ? context->log_pool : context->pool, .no_leverage = !context->judge_all,
    };
}

/* Sum of ln y, of every result or of one a batch. After a fit to the logarithms, which finds the cells of a sample without rows. */
static double sum_of_logs(const struct fit_context *context, bool one_a_batch)
{
    const struct sample *sample = context->sample;
    double sum = 0;
    size_t met = 0; /* the sample numbers its batches in order of appearance */
    for (size_t i = 0; sample->summed && i < sample->log_sums.n_cells; i++) {
        const struct mixed_cell *cell = &sample->log_sums.cells[i];
        sum += cell->n_batches * (one_a_batch ? 1 : cell->n_rows) * (cell->mean + sample->log_sums.shift);
    }
    for (size_t i = 0; !sample->summed && i < sample->n; i++) {
        bool first = sample->batch[i] == met;
        met += first;
        if (first || !one_a_batch)
            sum += context->log_y[i];
    }
    return sum;
}

/* AICc moved to the scale of y by ln y of every result that the likelihood is of: one a batch where its specimens are identical. */
static double curve_aicc(const struct curve *curve, const struct fit_context *context)
{
    double aicc = mixed_fit_aicc(&curve->fit);
    return law_is_log(curve->law) ? aicc + 2 * sum_of_logs(context, mixed_fit_means_only(&curve->fit)) : aicc;
}

static double slope_at(const struct curve *curve, double x)
{
    return curve->fit.coefficient[1] + 2 * curve->fit.coefficient[2] * x;
}

/* Only a law with a square can turn. */
static bool curve_turns(const struct curve *curve)
{
    return curve->fit.n_terms == 3 && slope_at(curve, curve->x_min) * slope_at(curve, curve->x_max) < 0;
}

static void curve_describe(struct curve *curve, const struct fit_context *context)
{
    curve->aicc = curve_aicc(curve, context);
    curve->r_squared = curve->fit.r_squared;
    curve->residual_sd = sqrt(curve->fit.var_batch + curve->fit.var_specimen);
    curve->doubtful = curve_turns(curve);
    curve->shape_untested = context->levels.n_levels <= curve->fit.n_terms;
}

static enum status no_memory_to_judge(const struct curve *curve, struct problem *problem)
{
    return problem_set(problem, STATUS_MEMORY, NULL, "no memory left to judge the %s law", law_word(curve->law));
}

/* The error at a batch left out, on the scale of y. */
static enum status curve_find_error(struct curve *curve, struct fit_context *context, struct problem *problem)
{
    const struct mixed_data data = context_fill(context, curve->law);
    const struct mixed_measured measured = { context->sample->y, exp, context->pool };
    enum status status = mixed_leave_one_batch_out(&data, &curve->fit, law_is_log(curve->law) ? &measured : NULL, &curve->cross_validation_rmse);
    return status == STATUS_MEMORY ? no_memory_to_judge(curve, problem) : STATUS_OK;
}

static enum status curve_find_lack(struct curve *curve, struct fit_context *context, struct problem *problem)
{
    if (curve->predictor != PROPERTY_COUNT)
        return STATUS_OK;
    const struct mixed_data data = context_fill(context, curve->law);
    enum status status = mixed_lack_of_fit(&data, context->levels.group, context->levels.n_levels, &curve->lack_of_fit);
    curve->lack_of_fit.available = curve->lack_of_fit.available && status == STATUS_OK;
    return status == STATUS_MEMORY ? no_memory_to_judge(curve, problem) : STATUS_OK;
}

static enum status curve_estimate(struct curve *curve, struct fit_context *context)
{
    char names[TERMS_MAX][96];
    const char *term_names[TERMS_MAX];
    enum status status = law_applies(curve, context, &curve->problem);
    if (status != STATUS_OK)
        return status;
    if (law_is_log(curve->law) && context_take_logs(context) != STATUS_OK)
        return problem_set(&curve->problem, STATUS_MEMORY, NULL, "no memory left for the logarithms of %zu results", context->sample->n);
    struct mixed_data data = context_fill(context, curve->law);
    for (size_t term = 0; term < data.n_terms; term++) {
        law_term_name(curve->law, term, context->predictor_name, names[term], sizeof names[term]);
        term_names[term] = names[term];
    }
    data.term_names = term_names;
    status = mixed_fit_estimate(&data, MIXED_REML, &curve->fit, &curve->problem);
    if (status != STATUS_OK)
        return status;
    curve->fitted = true;
    curve_describe(curve, context);
    return STATUS_OK;
}

static void curve_start(struct curve *curve, enum law law, const struct fit_context *context)
{
    const struct sample *sample = context->sample;
    curve->law = law;
    curve->aicc = curve->cross_validation_rmse = curve->r_squared = curve->residual_sd = NAN;
    curve->all_no_batch = context->all_no_batch;
    curve->n_specimens = sample->n;
    curve->n_batches = sample->n_batches;
    curve->n_mixes = sample->n_mixes;
    curve->x_min = context->levels.value[0];
    curve->x_max = context->levels.value[context->levels.n_levels - 1];
}

/* Errors of the laws that the choice lies between, or of all. A law alone within the tie needs none to be chosen. */
static enum status find_errors(struct curve_set *curves, struct fit_context *context, bool all, struct problem *problem)
{
    double smallest = curve_smallest_aicc(curves->curves);
    size_t n_tied = 0;
    for (enum law law = 0; law < LAW_COUNT; law++)
        n_tied += curve_is_tied(&curves->curves[law], smallest);
    for (enum law law = 0; law < LAW_COUNT; law++) {
        struct curve *curve = &curves->curves[law];
        bool wanted = all ? curve->fitted : n_tied > 1 && curve_is_tied(curve, smallest);
        if (wanted && curve_find_error(curve, context, problem) != STATUS_OK)
            return STATUS_MEMORY;
    }
    return STATUS_OK;
}

/* Lack of fit of the law to go by, or of all. */
static enum status find_lacks(struct curve_set *curves, struct fit_context *context, enum law used, bool all, struct problem *problem)
{
    for (enum law law = 0; law < LAW_COUNT; law++) {
        struct curve *curve = &curves->curves[law];
        if (curve->fitted && (all || law == used) && curve_find_lack(curve, context, problem) != STATUS_OK)
            return STATUS_MEMORY;
    }
    return STATUS_OK;
}

/* Why nothing could be fitted: the asked law's reason, else the simplest law's. */
static enum status report_none(const struct curve_set *curves, enum law law, struct problem *problem)
{
    *problem = curves->curves[law < LAW_COUNT ? law : LAW_LINEAR].problem;
    return problem->status;
}

static enum status estimate_laws(struct curve_set *curves, struct fit_context *context, enum law law, struct problem *problem)
{
    for (enum law each = 0; each < LAW_COUNT; each++) {
        struct curve *curve = &curves->curves[each];
        curve_start(curve, each, context);
        enum status status = STATUS_OK;
        if (law == LAW_AUTO || law == each)
            status = curve_estimate(curve, context);
        else
            problem_set(&curve->problem, STATUS_OK, NULL, "not asked for");
        if (status == STATUS_MEMORY) {
            *problem = curve->problem;
            return status;
        }
    }
    return STATUS_OK;
}

/* The laws that are fitted, the one to go by, and whether the others are judged as well. */
struct law_wish { enum law fitted, used; bool judge_all; };

static enum status curve_set_estimate(struct curve_set *curves, struct fit_context *context, struct law_wish wish, struct problem *problem)
{
    enum status status = estimate_laws(curves, context, wish.fitted, problem);
    if (status == STATUS_OK && (wish.judge_all || wish.used == LAW_AUTO))
        status = find_errors(curves, context, wish.judge_all, problem);
    if (status != STATUS_OK)
        return status;
    const enum law chosen = context->levels.n_levels == 2 ? curve_choose_cautious(curves->curves) : curve_choose_law(curves->curves);
    curves->chosen = wish.used == LAW_AUTO ? chosen : wish.used;
    if (curves->chosen == LAW_COUNT || !curves->curves[curves->chosen].fitted)
        return report_none(curves, wish.used, problem);
    curves->curves[curves->chosen].chosen = true;
    return find_lacks(curves, context, curves->chosen, wish.judge_all, problem);
}

static enum status fit_sample(const struct specimen_set *set, struct law_wish wish, struct curve_set *curves, struct problem *problem)
{
    struct fit_context context = { .judge_all = wish.judge_all };
    enum status status = context_prepare(&context, set, &curves->sample, curves->curves[0].predictor);
    if (status == STATUS_OK)
        status = curve_set_estimate(curves, &context, wish, problem);
    else
        problem_set(problem, status, NULL, "no memory left to fit %zu results", curves->sample.n);
    context_release(&context);
    if (status != STATUS_OK)
        curve_set_release(curves);
    return status;
}

static void curve_set_start(struct curve_set *curves, uint32_t aggregate, enum property property, enum property predictor)
{
    memset(curves, 0, sizeof *curves);
    curves->chosen = LAW_COUNT;
    for (enum law each = 0; each < LAW_COUNT; each++) {
        curves->curves[each].aggregate = aggregate;
        curves->curves[each].property = property;
        curves->curves[each].predictor = predictor;
    }
}

enum status curve_set_fit(const struct specimen_set *set, const struct selection *selection,
                          uint32_t aggregate, enum property property, enum property predictor,
                          enum law law, struct curve_set *curves, struct problem *problem)
{
    struct law_wish wish = { .fitted = law, .used = law, .judge_all = true };
    curve_set_start(curves, aggregate, property, predictor);
    enum status status = sample_take(set, selection, aggregate, SAMPLE_ALL, property, predictor, &curves->sample, problem);
    return status == STATUS_OK ? fit_sample(set, wish, curves, problem) : status;
}

enum status curve_set_choose(const struct specimen_set *set, const struct selection *selection, const struct property_sums *sums,
                             uint32_t aggregate, enum property property, enum law law, struct curve_set *curves, struct problem *problem)
{
    struct law_wish wish = { .fitted = LAW_AUTO, .used = law, .judge_all = false };
    curve_set_start(curves, aggregate, property, PROPERTY_COUNT);
    enum status status = curve_set_sample(set, selection, sums, curves, &curves->sample, problem);
    if (status == STATUS_OK)
        status = fit_sample(set, wish, curves, problem);
    sample_release(&curves->sample);
    return status;
}

enum status curve_set_sample(const struct specimen_set *set, const struct selection *selection, const struct property_sums *sums,
                             const struct curve_set *curves, struct sample *sample, struct problem *problem)
{
    const struct curve *any = &curves->curves[0];
    enum status status = STATUS_TOO_FEW;
    if (sums && sums->of[any->property].mean)
        status = property_sums_sample(sums, any->property, any->aggregate, SAMPLE_ALL, sample, problem);
    if (status != STATUS_TOO_FEW)
        return status;
    return sample_take(set, selection, any->aggregate, SAMPLE_ALL, any->property, any->predictor, sample, problem);
}

void curve_set_release(struct curve_set *curves)
{
    for (enum law law = 0; law < LAW_COUNT; law++)
        mixed_fit_release(&curves->curves[law].fit);
    sample_release(&curves->sample);
    memset(curves, 0, sizeof *curves);
    curves->chosen = LAW_COUNT;
}

const struct curve *curve_set_chosen(const struct curve_set *curves)
{
    return curves->chosen < LAW_COUNT ? &curves->curves[curves->chosen] : NULL;
}
