#include "commands/fitting.h"

#include "commands/naming.h"


static enum property require_property(struct run *run, const char *option, const char *name)
{
    struct problem problem = {0};
    enum property property = property_find(name);
    if (property == PROPERTY_COUNT) {
        naming_unknown(option, name, false, &problem);
        problem_list_take(&run->problems, &problem);
    }
    return property;
}

/* Options that only a general fit has a use for. */
static void refuse_general_options(struct run *run, const struct study_options *options)
{
    if (options->also.n_items || options->weights || options->batch || options->no_intercept || options->degree != 1)
        usage_error(run, "--also, --degree, --no-intercept, --weights and --batch belong to a fit of columns; "
                         "name the column to explain with --response=COLUMN");
}

static enum status answer(struct run *run, const struct study *study, const enum property *properties,
                          size_t n_properties, enum property predictor)
{
    struct fit_list fits = {0};
    const struct study_options *options = &study->options;
    enum status status = fitting_by_aggregate(run, study, properties, n_properties, predictor, &fits);
    if (status == STATUS_OK && fits.n_items == 0) {
        problem_list_add(&run->problems, SEVERITY_ERROR, STATUS_TOO_FEW, NULL,
                         "no curve could be fitted; the notes say what is missing");
        run->quiet = false;
        status = STATUS_TOO_FEW;
    } else if (status == STATUS_OK) {
        status = options->json ? answer_fit_json(&study->set, &fits, options->confidence, &run->out)
                               : answer_fit_table(&study->set, &fits, options->confidence, study->us, &run->out);
        status = study_deliver(run, study, status);
    }
    fitting_release(&fits);
    return status;
}

static bool is_on_age(const struct study_options *options)
{
    return options->on && heading_same(options->on, "age");
}

static enum status fit_on_age(struct run *run, struct study *study, const enum property *properties, size_t n_properties)
{
    enum status status = study_read_files(run, study);
    if (status == STATUS_OK)
        status = study_select_told(run, study);
    return status == STATUS_OK ? fitting_on_age(run, study, properties, n_properties) : status;
}

static void check_law(struct run *run, const struct study_options *options)
{
    if (!is_on_age(options) && options->law > LAW_AUTO)
        usage_error(run, "the laws 'hyperbolic' and 'root-exponential' are of growth with age: --on=age");
    if (is_on_age(options) && options->law < LAW_AUTO && options->law != LAW_EXPONENTIAL)
        usage_error(run, "growth with age has the laws 'hyperbolic', 'exponential' and 'root-exponential', not '%s'",
                    law_word((enum law)options->law));
}

static enum status fit_by_aggregate(struct run *run, struct study *study)
{
    const struct study_options *options = &study->options;
    enum property properties[PROPERTY_COUNT], predictor = PROPERTY_COUNT;
    size_t n_properties = 0;
    refuse_general_options(run, options);
    for (size_t i = 0; i < options->properties.n_items; i++) {
        enum property property = require_property(run, "property", options->properties.items[i]);
        if (n_properties < PROPERTY_COUNT)
            properties[n_properties++] = property;
    }
    check_law(run, options);
    if (options->on && !is_on_age(options) && !heading_same(options->on, "aggregate_fraction"))
        predictor = require_property(run, "on", options->on);
    if (run->problems.n_errors)
        return run->problems.worst;
    if (is_on_age(options))
        return fit_on_age(run, study, properties, n_properties);
    enum status status = study_read_files(run, study);
    if (status == STATUS_OK)
        status = study_select(run, study);
    return status == STATUS_OK ? answer(run, study, properties, n_properties, predictor) : status;
}

enum status command_fit(struct run *run)
{
    struct study study = {0};
    enum status status = study_settle_options(run, fit_groups, &study);
    if (status == STATUS_OK)
        status = study.options.response ? fitting_general(run, &study) : fit_by_aggregate(run, &study);
    study_release(&study);
    return status;
}
