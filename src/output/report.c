#include "output/report.h"

#include "base/file.h"
#include "output/load.h"
#include "output/report_html.h"
#include "output/report_text.h"

static enum status no_memory(struct problem *problem)
{
    return problem_set(problem, STATUS_MEMORY, NULL, "no memory left to write the report");
}

/* The report's own files, which take their places together. */
struct report_files { const char *folder; struct file_batch batch; };

/* Writes text as folder/name and empties it; passes a failure of its making on. */
static enum status put_file(struct report_files *files, const char *name, enum status made, struct text *text, struct problem *problem)
{
    char path[LOAD_PATH];
    enum status status = made == STATUS_MEMORY || text->failed ? no_memory(problem) : made;
    if (status == STATUS_OK)
        status = load_path(files->folder, name, "", path, problem);
    if (status == STATUS_OK)
        status = file_batch_add(&files->batch, path, text->bytes ? text->bytes : "", text->length, problem);
    text_release(text);
    return status;
}

/* The tables and data that stand beside the text. */
static enum status add_data(const struct report_source *source, struct report_files *files, struct problem *problem)
{
    const struct report_settings *settings = source->settings;
    struct text text = { 0 };
    enum status status = put_file(files, "results.csv", answer_results_csv(source->set, settings->us, &text), &text, problem);
    if (status == STATUS_OK)
        status = put_file(files, "summary.json",
                          answer_recommend_json(source->set, source->request, source->answer, &text), &text, problem);
    if (status == STATUS_OK && settings->set_aside_path && source->set->n_set_aside > 0) {
        status = load_file(settings->set_aside_path, &text, problem);
        status = put_file(files, "set-aside.csv", status, &text, problem);
    }
    text_release(&text);
    return status;
}

static enum status add_text(const struct report_source *source, struct report_files *files, struct problem *problem)
{
    const struct report_settings *settings = source->settings;
    struct text markdown = { 0 }, html = { 0 };
    enum status status = report_text(source, &markdown);
    if (status == STATUS_OK)
        status = report_html(markdown.bytes, report_title(settings), settings->folder, &html, problem);
    else
        no_memory(problem);
    if (status == STATUS_OK)
        status = put_file(files, "report.html", status, &html, problem);
    if (status == STATUS_OK)
        status = put_file(files, "report.md", status, &markdown, problem);
    text_release(&markdown);
    text_release(&html);
    return status;
}

static enum status write_files(const struct report_source *source, struct problem *problem)
{
    struct report_files files = { .folder = source->settings->folder };
    enum status status = add_data(source, &files, problem);
    if (status == STATUS_OK)
        status = add_text(source, &files, problem);
    if (status == STATUS_OK)
        return file_batch_finish(&files.batch, problem);
    file_batch_drop(&files.batch);
    return status;
}

enum status report_write(const struct specimen_set *set, const struct recommend_request *request,
                         const struct recommendation *answer, const struct fit_list *fits,
                         const struct report_settings *settings, struct problem *problem)
{
    char folder[LOAD_PATH];
    struct problem drawing = { 0 };
    struct chart_list charts = { 0 };
    enum status status = file_make_folder(settings->folder, problem);
    if (status == STATUS_OK)
        status = load_path(settings->folder, "charts", "", folder, problem);
    if (status != STATUS_OK)
        return status;
    const struct chart_source pictures = {
        .set = set, .request = request, .answer = answer, .us = settings->us,
        .quality = settings->quality, .drying = settings->drying, .ages = settings->ages, .growth = settings->growth,
    };
    enum status drawn = chart_write_all(&pictures, settings->draw ? CHART_SVG | CHART_PNG : 0, folder, &charts, &drawing);
    const struct report_source source = { set, request, answer, fits, settings, &charts };
    status = drawn == STATUS_OK || drawn == STATUS_TOOL ? write_files(&source, problem) : drawn;
    if (drawn != STATUS_OK && (status == STATUS_OK || status == drawn)) {
        *problem = drawing;
        status = drawn;
    }
    chart_list_release(&charts);
    return status;
}
