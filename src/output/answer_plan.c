#include "output/answer_plan.h"

#include "advise/words.h"
#include "base/number.h"
#include "output/table.h"
#include "output/words.h"

#include <math.h>
#include <stdio.h>

#define PAGE_WIDTH 96
#define LINE 768

static const struct candidate *candidate_of(const struct plan_answer *source, size_t candidate)
{
    return &source->answer->candidates[candidate];
}

static const struct demand_outcome *outcome_of(const struct plan_answer *source, const struct plan_line *line)
{
    return &candidate_of(source, line->candidate)->outcomes[line->demand];
}

/* The fraction with the fewest batches that has the chance wanted. */
static const struct plan_reach *first_reach(const struct plan *plan)
{
    for (size_t i = 0; i < plan->n_reaches; i++)
        if (!isnan(plan->reaches[i].fraction))
            return &plan->reaches[i];
    return NULL;
}

/* "5 batches of 3", or "5 specimens" where batches are not told. */
static void cast_words(size_t batches, double specimens, bool apart, char *out, size_t size)
{
    if (apart)
        snprintf(out, size, "%zu batches of %g", batches, specimens);
    else
        snprintf(out, size, "%zu specimens", batches);
}

/* What it takes for the recommended recipe, or for the first within reach, at the demand that is hardest for it. */
static void add_focus_sentence(const struct plan_answer *source, bool us, struct text *out)
{
    const struct plan *plan = source->plan;
    const struct plan_line *line = &plan->lines[plan->focus];
    const struct demand_outcome *outcome = outcome_of(source, line);
    const struct plan_reach *reach = first_reach(plan);
    char recipe[WORDS_MAX], wanted[WORDS_MAX], fraction[32], cast[64];
    words_recipe(source->set, candidate_of(source, line->candidate), recipe);
    demand_value_words(&outcome->demand, us, wanted, sizeof wanted);
    text_addf(out, "%s %s: for a chance of %g %% that its own results assure %s %s of %s %s, cast ", source->answer->found ? "Recommended is" : "Nearest to the demands is",
              recipe, 100 * source->plan_request->power, article_words(demand_words(&outcome->demand)), demand_words(&outcome->demand), outcome->is_limit ? "at most" : "at least", wanted);
    cast_words(line->needed, line->specimens, line->scatter.apart, cast, sizeof cast);
    if (line->needed > 0)
        text_addf(out, "%s in all", cast);
    else
        text_addf(out, "more than %d %s, since it lies just at the demand", PLAN_BATCHES_MOST, line->scatter.apart ? "batches" : "specimens");
    if (line->n_batches > 0)
        text_addf(out, " (%zu so far)", line->n_batches);
    if (line->needed == 0 && reach) {
        number_show(reach->fraction, 0.001, "-", fraction, sizeof fraction);
        cast_words(reach->batches, line->specimens, line->scatter.apart, cast, sizeof cast);
        text_addf(out, "; at a fraction of %s, %s would do", fraction, cast);
    }
    text_add(out, ". ");
}

static void trial_words(const struct plan_answer *source, double fraction, uint32_t mix, char out[WORDS_MAX])
{
    char number[32];
    const struct plan_trial *trial = &source->plan->trial;
    fraction_words(fraction, number, sizeof number);
    if (mix == SAMPLE_ALL)
        snprintf(out, WORDS_MAX, "%s at %s", words_aggregate(source->set, trial->aggregate), number);
    else
        snprintf(out, WORDS_MAX, "mix %s again", words_mix(source->set, mix));
}

static void add_trial_sentence(const struct plan_answer *source, struct text *out)
{
    const struct plan_trial *trial = &source->plan->trial;
    char recipe[WORDS_MAX], fraction[32], now[32], then[32];
    if (!trial->known) {
        text_addf(out, "Next trial: %s.", trial->reason);
        return;
    }
    trial_words(source, trial->best, trial->best_mix, recipe);
    fraction_words(trial->shown_fraction, fraction, sizeof fraction);
    number_show_significant(trial->margin_now, 3, now, sizeof now);
    number_show_significant(trial->margin_then, 3, then, sizeof then);
    text_addf(out, "Next trial: a batch of %g of %s; it should narrow the recommended fraction from %s +- %s to +- %s (by %.1f %%).",
              trial->specimens, recipe, fraction, now, then, trial->narrowing_pct);
}

static void add_title(struct text *out, const char *title)
{
    text_add(out, "\n");
    table_wrap(out, title, 0, PAGE_WIDTH);
}

static void size_columns(struct table *table)
{
    static const char *const headings[PLAN_SIZES] = { "of 1", "of 2", "of 3", "of 4", "of 6" };
    for (size_t size = 0; size < PLAN_SIZES; size++)
        table_column(table, headings[size], true);
}

/* "12", or "> 40". */
static void batch_cells(const size_t batches[PLAN_SIZES], bool known, bool apart, struct table *table)
{
    for (size_t size = 0; size < PLAN_SIZES; size++) {
        if (!known || (!apart && plan_sizes[size] != 1))
            table_cell(table, "-");
        else if (batches[size] > 0)
            table_cellf(table, "%zu", batches[size]);
        else
            table_cellf(table, "> %d", PLAN_BATCHES_MOST);
    }
}

static void line_cells(const struct plan_answer *source, const struct plan_line *line, bool us, struct table *table)
{
    const struct demand_outcome *outcome = outcome_of(source, line);
    char cell[WORDS_MAX];
    words_recipe(source->set, candidate_of(source, line->candidate), cell);
    table_cell(table, cell);
    words_outcome(outcome, line->estimate, us, cell);
    table_cell(table, cell);
    words_outcome(outcome, line->assured, us, cell);
    table_cell(table, cell);
    if (candidate_of(source, line->candidate)->interpolated)
        table_cell(table, "-");
    else
        table_cellf(table, "%zu", line->n_batches);
    batch_cells(line->batches, line->known, line->scatter.apart, table);
}

/* Recipes that no number of batches helps, and why, in one paragraph each reason. */
static void add_out_of_reach(const struct plan_answer *source, size_t demand, struct text *out)
{
    struct text names = { 0 };
    char recipe[WORDS_MAX];
    size_t n = 0;
    for (size_t i = 0; i < source->plan->n_lines; i++) {
        const struct plan_line *line = &source->plan->lines[i];
        if (line->demand != demand || !line->reason[0])
            continue;
        words_recipe(source->set, candidate_of(source, line->candidate), recipe);
        text_addf(&names, "%s%s%s", n ? ", " : "", recipe, line->known ? "" : " (no scatter known)");
        n++;
    }
    if (n > 0) {
        text_add(out, "  ");
        text_add(&names, ": no number of batches will do, or none can be told");
        table_wrap(out, names.bytes ? names.bytes : "", 2, PAGE_WIDTH);
    }
    out->failed |= names.failed;
    text_release(&names);
}

static void add_lines(const struct plan_answer *source, size_t demand, bool us, struct text *out)
{
    struct table table = { 0 };
    const struct plan_line *first = NULL;
    table_column(&table, "recipe", false);
    table_column(&table, "mean", true);
    table_column(&table, "assured now", true);
    table_column(&table, "cast", true);
    size_columns(&table);
    for (size_t i = 0; i < source->plan->n_lines; i++) {
        const struct plan_line *line = &source->plan->lines[i];
        if (line->demand != demand)
            continue;
        first = first ? first : line;
        if (!line->reason[0])
            line_cells(source, line, us, &table);
    }
    if (first) {
        char wanted[WORDS_MAX], title[LINE];
        const struct demand_outcome *outcome = outcome_of(source, first);
        demand_value_words(&outcome->demand, us, wanted, sizeof wanted);
        snprintf(title, sizeof title, "Batches in all, of so many specimens, for a chance of %g %% that the recipe's own results assure %s %s of %s %s",
                 100 * source->plan_request->power, article_words(demand_words(&outcome->demand)), demand_words(&outcome->demand),
                 outcome->is_limit ? "at most" : "at least", wanted);
        add_title(out, title);
        if (table.n_cells > 0)
            table_show(&table, out);
        add_out_of_reach(source, demand, out);
    }
    out->failed |= table.failed;
    table_release(&table);
}

/* Rows beyond which nothing changes any more are left out. */
static bool all_certain(const double chance[PLAN_SIZES])
{
    for (size_t size = 0; size < PLAN_SIZES; size++)
        if (chance[size] < 0.995)
            return false;
    return true;
}

static void add_grid(const struct plan_answer *source, struct text *out)
{
    const struct plan *plan = source->plan;
    const struct plan_line *line = &plan->lines[plan->focus];
    struct table table = { 0 };
    char recipe[WORDS_MAX], title[LINE];
    words_recipe(source->set, candidate_of(source, line->candidate), recipe);
    table_column(&table, "batches", true);
    size_columns(&table);
    for (size_t n = 0; n < PLAN_GRID_BATCHES && !(n > 0 && all_certain(plan->grid.chance[n - 1])); n++) {
        table_cellf(&table, "%zu", n + 2);
        for (size_t size = 0; size < PLAN_SIZES; size++)
            table_cellf(&table, isnan(plan->grid.chance[n][size]) ? "-" : "%.0f %%", 100 * plan->grid.chance[n][size]);
    }
    snprintf(title, sizeof title, "%s: chance of that %s with so many batches of so many specimens", recipe,
             demand_words(&outcome_of(source, line)->demand));
    add_title(out, title);
    table_show(&table, out);
    table_release(&table);
}

static void add_reaches(const struct plan_answer *source, bool us, struct text *out)
{
    const struct plan *plan = source->plan;
    struct table table = { 0 };
    char cell[WORDS_MAX], title[LINE];
    table_column(&table, "batches", true);
    table_column(&table, "fraction", true);
    table_column(&table, us ? "density, lb/ft3" : "density, kg/m3", true);
    for (size_t i = 0; i < plan->n_reaches; i++) {
        table_cellf(&table, "%zu", plan->reaches[i].batches);
        number_show(plan->reaches[i].fraction, 0.001, "none", cell, sizeof cell);
        table_cell(&table, cell);
        property_show(PROPERTY_DENSITY, plan->reaches[i].density_kg_m3, us, cell, sizeof cell);
        table_cell(&table, cell);
    }
    snprintf(title, sizeof title, "The fraction nearest to the recommended one where so many batches of %g have a chance of %g %% by themselves, of all demands",
             plan->lines[plan->focus].specimens, 100 * source->plan_request->power);
    add_title(out, title);
    table_show(&table, out);
    table_release(&table);
}

/* A standard deviation in the unit shown; on the logarithm in per cent of the value. */
static void scatter_cell(const struct plan_scatter *scatter, enum property property, double variance, bool us, struct table *table)
{
    char number[64];
    double sd = sqrt(variance);
    number_show_significant(scatter->log_scale ? 100 * sd : words_shown(property, sd, us), 2, number, sizeof number);
    table_cellf(table, "%s %s", number, scatter->log_scale ? "%" : property_unit(property, us));
}

static void difference_cells(const struct plan_answer *source, const struct plan_difference_line *line, bool us, struct table *table)
{
    char recipe[WORDS_MAX];
    enum property property = source->plan_request->differences[line->difference].property;
    words_recipe(source->set, candidate_of(source, line->candidate), recipe);
    table_cell(table, recipe);
    if (line->known && line->scatter.apart)
        scatter_cell(&line->scatter, property, line->scatter.var_batch, us, table);
    else
        table_cell(table, "-");
    if (line->known)
        scatter_cell(&line->scatter, property, line->scatter.var_specimen, us, table);
    else
        table_cell(table, "-");
    batch_cells(line->batches, line->known, line->scatter.apart, table);
}

static void add_difference(const struct plan_answer *source, size_t difference, bool us, struct text *out)
{
    const struct plan_difference *wanted = &source->plan_request->differences[difference];
    const struct demand as_demand = { DEMAND_PROPERTY, wanted->property, wanted->value };
    struct table table = { 0 };
    char value[WORDS_MAX], line[LINE];
    table_column(&table, "mixes like", false);
    table_column(&table, "between", true);
    table_column(&table, "within", true);
    size_columns(&table);
    for (size_t i = 0; i < source->plan->n_difference_lines; i++)
        if (source->plan->difference_lines[i].difference == difference)
            difference_cells(source, &source->plan->difference_lines[i], us, &table);
    demand_value_words(&as_demand, us, value, sizeof value);
    snprintf(line, sizeof line, "Batches of each of two mixes that scatter like this one between and within batches, for a chance of %g %% that a "
             "difference of %s in %s is seen (two-sided, %g %%)", 100 * source->plan_request->power, value, property_row(wanted->property)->words,
             100 * source->request->assurance.confidence);
    add_title(out, line);
    table_show(&table, out);
    table_release(&table);
}

static void add_trial(const struct plan_answer *source, struct text *out)
{
    const struct plan_trial *trial = &source->plan->trial;
    struct table table = { 0 };
    char cell[WORDS_MAX], title[LINE];
    if (!trial->known)
        return;
    table_column(&table, "one more batch", false);
    table_column(&table, "fraction", true);
    table_column(&table, "narrows by", true);
    trial_words(source, trial->best, trial->best_mix, cell);
    table_cellf(&table, "%.60s (best)", cell);
    number_show(trial->best, 0.001, "-", cell, sizeof cell);
    table_cell(&table, cell);
    table_cellf(&table, "%.1f %%", trial->narrowing_pct);
    for (size_t i = 0; i < trial->n_points; i++) {
        trial_words(source, trial->points[i].fraction, trial->points[i].mix, cell);
        table_cell(&table, cell);
        number_show(trial->points[i].fraction, 0.001, "-", cell, sizeof cell);
        table_cell(&table, cell);
        table_cellf(&table, "%.1f %%", trial->points[i].narrowing_pct);
    }
    snprintf(title, sizeof title, "The next trial: how much one batch of %g narrows the recommended fraction, which %s decides", trial->specimens,
             property_row(trial->property)->words);
    add_title(out, title);
    table_show(&table, out);
    table_release(&table);
}

static void add_first_lines(const struct plan_answer *source, bool us, struct text *out)
{
    struct text sentence = { 0 };
    const struct plan *plan = source->plan;
    if (plan->focus < plan->n_lines)
        add_focus_sentence(source, us, &sentence);
    else if (plan->n_lines > 0)
        text_addf(&sentence, "No recipe is within reach of all demands with %d batches: the means miss them, or nearly. ", PLAN_BATCHES_MOST);
    add_trial_sentence(source, &sentence);
    table_wrap(out, sentence.bytes ? sentence.bytes : "", 0, PAGE_WIDTH);
    out->failed |= sentence.failed;
    text_release(&sentence);
}

static void add_meaning(const struct plan_answer *source, const char *meaning, bool us, struct text *out)
{
    struct text line = { 0 };
    text_addf(&line, "Assured: %s. Means and scatter are taken to stay as found so far. The numbers hold for what was tested: ", meaning);
    recommendation_holds_for(source->set, source->request, source->answer, us, &line);
    text_add(&line, ".");
    text_add(out, "\n");
    table_wrap(out, line.bytes ? line.bytes : "", 0, PAGE_WIDTH);
    out->failed |= line.failed;
    text_release(&line);
}

enum status answer_plan_table(const struct plan_answer *source, bool us, struct text *out)
{
    const struct recommend_request *request = source->request;
    char meaning[WORDS_MAX];
    add_first_lines(source, us, out);
    words_basis(source->set, request, source->answer, meaning);
    if (source->plan->n_lines > 0)
        add_meaning(source, meaning, us, out);
    for (size_t demand = 0; demand < request->n_targets + request->n_limits; demand++)
        add_lines(source, demand, us, out);
    if (source->plan->focus < source->plan->n_lines)
        add_grid(source, out);
    if (source->plan->n_reaches > 0)
        add_reaches(source, us, out);
    for (size_t i = 0; i < source->plan_request->n_differences; i++)
        add_difference(source, i, us, out);
    add_trial(source, out);
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}
