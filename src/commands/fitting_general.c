#include "commands/fitting.h"

#include "base/memory.h"
#include "ingest/numbers.h"
#include "output/answer_general.h"

/* The headings in the order that the question wants them: response, predictor, others, weights. */
static bool list_headings(const struct study_options *options, struct text_list *headings)
{
    bool good = text_list_add(headings, options->response);
    if (options->on)
        good = good && text_list_add(headings, options->on);
    for (size_t i = 0; i < options->also.n_items; i++)
        good = good && text_list_add(headings, options->also.items[i]);
    if (options->weights)
        good = good && text_list_add(headings, options->weights);
    return good;
}

static enum status answer(struct run *run, const struct study *study, const struct text_list *headings,
                          const struct number_table *table)
{
    const struct study_options *options = &study->options;
    struct general_fit_question question = {
        .n_rows = table->n_rows, .n_columns = table->n_columns, .values = table->values,
        .names = headings->items, .batches = (const char *const *)table->labels,
        .has_predictor = options->on != NULL, .has_weights = options->weights != NULL,
        .no_intercept = options->no_intercept, .degree = (unsigned)options->degree,
        .confidence = options->confidence,
    };
    struct general_fit fit;
    struct problem problem = {0};
    enum status status = general_fit_estimate(&question, &fit, &problem);
    if (status != STATUS_OK) {
        problem_list_take(&run->problems, &problem);
        return status;
    }
    status = options->json ? answer_general_json(&fit, &run->out) : answer_general_table(&fit, options->confidence, &run->out);
    general_fit_release(&fit);
    return study_deliver(run, study, status);
}

/* What makes no sense together. */
static enum status check_options(struct run *run, const struct study *study)
{
    const struct study_options *options = &study->options;
    if (study->paths.n_items != 1)
        usage_error(run, "a fit of columns reads one file, not %zu", study->paths.n_items);
    if (options->properties.n_items)
        usage_error(run, "--property fits by aggregate, --response fits columns; choose one");
    if (options->on == NULL && options->degree != 1)
        usage_error(run, "--degree needs the column that it is the degree of: --on=COLUMN");
    if (options->on == NULL && options->also.n_items)
        usage_error(run, "--also adds to a column; name the first one with --on=COLUMN");
    return run->problems.n_errors ? STATUS_USAGE : STATUS_OK;
}

enum status fitting_general(struct run *run, const struct study *study)
{
    struct text_list headings = {0};
    struct number_table table = {0};
    enum status status = check_options(run, study);
    if (status == STATUS_OK && !list_headings(&study->options, &headings)) {
        problem_list_add(&run->problems, SEVERITY_ERROR, STATUS_MEMORY, NULL, "no memory left");
        status = STATUS_MEMORY;
    }
    if (status == STATUS_OK)
        status = number_table_read(study->paths.items[0], headings.items, headings.n_items, study->options.batch,
                                   &table, &run->problems);
    if (status == STATUS_OK)
        status = answer(run, study, &headings, &table);
    number_table_release(&table);
    text_list_release(&headings);
    return status;
}
