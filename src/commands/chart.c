#include "commands/showing.h"

#include "output/answer_files.h"
#include "output/chart.h"

#include <string.h>

/* The pictures that --format asks for; svg and png when it does not. */
static enum status chosen_formats(struct run *run, const struct text_list *formats, unsigned *chosen)
{
    *chosen = formats->n_items ? 0 : CHART_SVG | CHART_PNG;
    for (size_t i = 0; i < formats->n_items; i++) {
        unsigned found = 0;
        for (size_t j = 0; j < CHART_FILES; j++)
            if (strcmp(chart_files[j].word, formats->items[i]) == 0)
                found = chart_files[j].format;
        if (found == 0)
            usage_error(run, "--format: '%s' is none of svg, png, pdf", formats->items[i]);
        *chosen |= found;
    }
    return run->problems.n_errors ? run->problems.worst : STATUS_OK;
}

static void list_charts(const struct chart_list *charts, const char *folder, struct text *out)
{
    for (size_t i = 0; i < charts->n_items; i++) {
        text_add_printable(out, folder);
        text_addf(out, "/%s.gp  ", charts->items[i].name);
        text_add_printable(out, charts->items[i].title);
        text_add(out, charts->items[i].drawn ? "\n" : " (not drawn)\n");
    }
}

/* Returns what was drawn, or STATUS_MEMORY. */
static enum status tell_charts(const struct study *study, const struct chart_list *charts, unsigned formats, const char *folder,
                               enum status drawn, struct text *out)
{
    if (study->options.json)
        return answer_chart_json(charts, formats, folder, out) == STATUS_OK ? drawn : STATUS_MEMORY;
    list_charts(charts, folder, out);
    return drawn;
}

static bool is_drawn(const struct chart_list *charts, const char *name)
{
    for (size_t i = 0; i < charts->n_items; i++)
        if (strcmp(charts->items[i].name, name) == 0)
            return true;
    return false;
}

/* What no study can have is told before the work begins. */
static enum status check_names(struct run *run, const struct text_list *wanted)
{
    const char *near;
    for (size_t i = 0; i < wanted->n_items; i++)
        if (!chart_known(wanted->items[i], &near))
            usage_error(run, near ? "--chart: there is no chart '%s'; did you mean '%s'?" : "--chart: there is no chart '%s'; docs/charts.md lists them%s",
                        wanted->items[i], near ? near : "");
    return run->problems.n_errors ? run->problems.worst : STATUS_OK;
}

/* A chart that was asked for and that the study does not support must not be missed in silence. */
static enum status require_charts(struct run *run, const struct text_list *wanted, const struct chart_list *charts)
{
    enum status status = STATUS_OK;
    for (size_t i = 0; i < wanted->n_items; i++)
        if (!is_drawn(charts, wanted->items[i])) {
            usage_error(run, "--chart: this study has no chart '%s'; without --chart the command lists those that it has", wanted->items[i]);
            status = STATUS_USAGE;
        }
    return status;
}

static enum status write_files(struct run *run, const struct study *study, const struct chart_source *source, unsigned formats,
                               struct problem *problem)
{
    const char *folder = study->options.output ? study->options.output : "charts";
    struct chart_list charts = {0};
    enum status status = chart_write_all(source, formats, folder, &charts, problem);
    if (status == STATUS_OK || status == STATUS_TOOL)
        status = tell_charts(study, &charts, formats, folder, status, &run->out);
    if (status == STATUS_OK)
        status = require_charts(run, &study->options.charts, &charts);
    chart_list_release(&charts);
    return status;
}

static enum status show(struct run *run, const struct study *study, const struct chart_source *source, struct problem *problem)
{
    const struct terminal terminal = terminal_of(run->screen);
    struct chart_list charts = {0};
    enum status status = chart_show(source, &terminal, &run->out, &charts, problem);
    if (status == STATUS_OK)
        status = require_charts(run, &study->options.charts, &charts);
    chart_list_release(&charts);
    return status;
}

static enum status draw(struct run *run, const struct study *study, const struct recommend_request *request, unsigned formats)
{
    const struct study_options *options = &study->options;
    struct showing showing;
    struct problem problem = {0};
    enum status status = showing_open(run, study, request, &showing);
    if (status == STATUS_OK || status == STATUS_ANSWER_NO) {
        const struct chart_source source = {
            .set = &study->set, .request = request, .answer = &showing.answer, .quality = &showing.quality,
            .drying = showing.drying.told, .ages = &showing.ages, .growth = &showing.growth, .us = study->us,
            .wanted = (const char *const *)options->charts.items, .n_wanted = options->charts.n_items,
        };
        status = options->terminal ? show(run, study, &source, &problem) : write_files(run, study, &source, formats, &problem);
        if (problem.text[0])
            problem_list_take(&run->problems, &problem);
    }
    showing_release(&showing);
    return status;
}

/* What only files have makes no sense on the screen. */
static enum status check_terminal(struct run *run, const struct study_options *options)
{
    if (options->terminal && options->output)
        usage_error(run, "--terminal draws on the screen and --output names a folder; leave one out");
    if (options->terminal && options->formats.n_items)
        usage_error(run, "--terminal draws with characters and --format names pictures; leave one out");
    if (options->terminal && options->json)
        usage_error(run, "--terminal draws for people and --json tells programs; leave one out");
    return run->problems.n_errors ? run->problems.worst : STATUS_OK;
}

enum status command_chart(struct run *run)
{
    struct study study = {0};
    struct recommend_request request;
    unsigned formats;
    enum status status = study_settle_options(run, chart_groups, &study);
    if (status == STATUS_OK)
        status = check_terminal(run, &study.options);
    if (status == STATUS_OK)
        status = check_names(run, &study.options.charts);
    if (status == STATUS_OK)
        status = chosen_formats(run, &study.options.formats, &formats);
    if (status == STATUS_OK)
        status = study_open_settled(run, &study, &request);
    request.sensitivity = true;
    if (status == STATUS_OK)
        status = draw(run, &study, &request, formats);
    study_release(&study);
    return status;
}
