#include "commands/showing.h"

#include "output/answer_files.h"
#include "output/chart.h"

#include <string.h>

/* The pictures that --format asks for; svg and png when it does not. */
static enum status chosen_formats(struct run *run, const struct text_list *formats, unsigned *chosen)
{
    static const struct { const char *word; unsigned format; } known[] = {
        {"svg", CHART_SVG}, {"png", CHART_PNG}, {"pdf", CHART_PDF},
    };
    *chosen = formats->n_items ? 0 : CHART_SVG | CHART_PNG;
    for (size_t i = 0; i < formats->n_items; i++) {
        unsigned found = 0;
        for (size_t j = 0; j < sizeof known / sizeof known[0]; j++)
            if (strcmp(known[j].word, formats->items[i]) == 0)
                found = known[j].format;
        if (found == 0)
            usage_error(run, "'--format': '%s' is none of svg, png, pdf", formats->items[i]);
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

static void tell(const struct study *study, const struct chart_list *charts, unsigned formats, const char *folder, struct run *run)
{
    if (!study->options.json)
        list_charts(charts, folder, &run->out);
    else if (answer_chart_json(charts, formats, folder, &run->out) != STATUS_OK)
        run->out.failed = true;
}

static enum status draw(struct run *run, const struct study *study, const struct recommend_request *request, unsigned formats)
{
    const char *folder = study->options.output ? study->options.output : "charts";
    struct showing showing;
    struct chart_list charts = {0};
    struct problem problem = {0};
    enum status status = showing_open(run, study, request, &showing);
    if (status == STATUS_OK || status == STATUS_ANSWER_NO) {
        const struct chart_source source = {&study->set, request, &showing.answer, &showing.quality,
                                            showing.drying.told, &showing.ages, study->us};
        status = chart_write_all(&source, formats, folder, &charts, &problem);
        if (status != STATUS_OK)
            problem_list_take(&run->problems, &problem);
        if (status == STATUS_OK || status == STATUS_TOOL)
            tell(study, &charts, formats, folder, run);
    }
    chart_list_release(&charts);
    showing_release(&showing);
    return status;
}

enum status command_chart(struct run *run)
{
    struct study study = {0};
    struct recommend_request request;
    unsigned formats;
    enum status status = study_open_deciding(run, chart_groups, &study, &request);
    request.sensitivity = true;
    if (status == STATUS_OK)
        status = chosen_formats(run, &study.options.formats, &formats);
    if (status == STATUS_OK)
        status = draw(run, &study, &request, formats);
    study_release(&study);
    return status;
}
