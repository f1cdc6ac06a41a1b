#include "output/answer.h"
#include "output/drying_json.h"
#include "output/gather.h"
#include "output/json_build.h"
#include "output/quality_json.h"
#include "output/results_json.h"
#include "output/table.h"
#include "output/words.h"

#include <math.h>
#include <string.h>

#define PAGE_WIDTH 96

static const char *const severity_titles[] = { "errors", "doubts", "notices" };
static const char *const severity_words[] = { "error", "doubt", "notice" };

static size_t property_count(const struct specimen_set *set, enum property property)
{
    size_t n = 0;
    for (size_t i = 0; i < set->n; i++)
        n += isfinite(specimen_set_value(set, i, property)) ? 1 : 0;
    return n;
}

static void add_files(const struct specimen_set *set, struct text *out)
{
    for (size_t i = 0; i < set->n_paths; i++) {
        text_add(out, i ? ", " : "Read ");
        text_add_printable(out, set->paths[i]);
    }
    text_addf(out, "%s%zu specimen%s in %zu batch%s of %zu mix%s, %zu aggregate%s\n", set->n_paths ? ": " : "",
              set->n, set->n == 1 ? "" : "s", set->n_batches, set->n_batches == 1 ? "" : "es",
              set->n_mixes, set->n_mixes == 1 ? "" : "es", set->n_aggregates, set->n_aggregates == 1 ? "" : "s");
    if (set->n_set_aside)
        text_addf(out, "%zu row%s set aside\n", set->n_set_aside, set->n_set_aside == 1 ? "" : "s");
}

static void add_property_counts(const struct specimen_set *set, struct text *out)
{
    struct table table = { 0 };
    table_column(&table, "result", false);
    table_column(&table, "specimens", true);
    for (enum property p = 0; p < PROPERTY_COUNT; p++)
        if (property_count(set, p) > 0) {
            table_cell(&table, property_row(p)->words);
            table_cellf(&table, "%zu", property_count(set, p));
        }
    if (table.n_cells > 0) {
        text_add(out, "\n");
        table_show(&table, out);
    }
    out->failed |= table.failed;
    table_release(&table);
}

static void add_problems(const struct problem_list *problems, enum severity severity, struct text *out)
{
    struct gathering gathering = { problems, severity, 0 };
    const struct problem *first;
    char sentence[1024];
    size_t count = problem_list_count(problems, severity), told = 0, n;
    if (count == 0)
        return;
    text_addf(out, "\n%zu %s\n", count, count == 1 ? severity_words[severity] : severity_titles[severity]);
    while (gathering_next(&gathering, &first, &n, sentence, sizeof sentence)) {
        text_add(out, "  ");
        table_wrap(out, sentence, 2, PAGE_WIDTH);
        told += n;
    }
    if (told < count)
        text_addf(out, "  ... and %zu more\n", count - told);
}

enum status answer_check_table(const struct specimen_set *set, const struct problem_list *problems, struct text *out)
{
    add_files(set, out);
    add_property_counts(set, out);
    for (enum severity s = SEVERITY_ERROR; s <= SEVERITY_NOTICE; s++)
        add_problems(problems, s, out);
    if (problems->n_errors == 0 && problems->n_doubts == 0)
        text_add(out, "\nNothing wrong and nothing doubtful.\n");
    else
        text_addf(out, "\n%zu to mend, %zu to look at.\n", problems->n_errors, problems->n_doubts);
    return out->failed ? STATUS_MEMORY : STATUS_OK;
}

static void put_problem(struct json_build *build, json_t *array, const struct problem *problem)
{
    json_t *object = json_append_object(build, array);
    json_put_text(build, object, "severity", severity_words[problem->severity]);
    json_put_text(build, object, "path", problem->path);
    if (problem->line)
        json_put_count(build, object, "line", problem->line);
    else
        json_put_text(build, object, "line", NULL);
    json_put_text(build, object, "column", problem->column);
    json_put_text(build, object, "text", problem->text);
}

enum status answer_check_json(const struct specimen_set *set, const struct problem_list *problems, const struct results_beside *beside,
                              const struct quality_list *quality, struct text *out)
{
    struct json_build build;
    json_build_start(&build);
    json_t *files = json_put_array(&build, build.root, "files");
    for (size_t i = 0; i < set->n_paths; i++)
        json_append_text(&build, files, set->paths[i]);
    json_put_count(&build, build.root, "specimens", set->n);
    json_put_count(&build, build.root, "batches", set->n_batches);
    json_put_count(&build, build.root, "mixes", set->n_mixes);
    json_t *aggregates = json_put_array(&build, build.root, "aggregates");
    for (size_t i = 0; i < set->n_aggregates; i++)
        json_append_text(&build, aggregates, set->aggregates[i]);
    json_t *counts = json_put_object(&build, build.root, "results");
    for (enum property p = 0; p < PROPERTY_COUNT; p++)
        json_put_count(&build, counts, property_row(p)->name, property_count(set, p));
    json_put_count(&build, build.root, "set_aside", set->n_set_aside);
    json_put_count(&build, build.root, "errors", problems->n_errors);
    json_put_count(&build, build.root, "doubts", problems->n_doubts);
    json_put_count(&build, build.root, "notices", problems->n_notices);
    json_t *array = json_put_array(&build, build.root, "problems");
    for (size_t i = 0; i < problems->n_items; i++)
        put_problem(&build, array, &problems->items[i]);
    quality_put(&build, build.root, set, quality);
    fresh_put(&build, build.root, beside->fresh);
    const struct drying_study *drying = beside->drying;
    if (drying == NULL)
        json_put_text(&build, build.root, "drying", NULL);
    json_t *dryings = drying ? json_put_array(&build, build.root, "drying") : NULL;
    for (size_t i = 0; drying && i < drying->n_items; i++)
        drying_json_put(&build, json_append_object(&build, dryings), &drying->items[i], drying->confidence);
    return json_build_finish(&build, out);
}
