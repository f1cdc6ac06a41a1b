#include "output/answer_files.h"

#include "output/json_build.h"

#include <stdio.h>

#define PATH_MOST 4200

static void put_path(struct json_build *build, json_t *object, const char *key, const char *folder, const char *name)
{
    char path[PATH_MOST];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    json_put_text(build, object, key, path);
}

static void put_chart(struct json_build *build, json_t *array, const struct chart *chart, unsigned formats, const char *folder)
{
    char name[sizeof chart->name + 8], path[PATH_MOST];
    json_t *object = json_append_object(build, array);
    json_put_text(build, object, "name", chart->name);
    json_put_text(build, object, "title", chart->title);
    json_put_text(build, object, "alternative", chart->alternative);
    snprintf(name, sizeof name, "%s.gp", chart->name);
    put_path(build, object, "script", folder, name);
    json_t *drawn = json_put_array(build, object, "pictures");
    for (size_t i = 0; chart->drawn && i < CHART_FILES; i++) {
        if (!(formats & chart_files[i].format))
            continue;
        snprintf(path, sizeof path, "%s/%s.%s", folder, chart->name, chart_files[i].word);
        json_append_text(build, drawn, path);
    }
}

enum status answer_chart_json(const struct chart_list *charts, unsigned formats, const char *folder, struct text *out)
{
    struct json_build build;
    json_build_start(&build);
    json_put_text(&build, build.root, "folder", folder);
    json_t *array = json_put_array(&build, build.root, "charts");
    for (size_t i = 0; i < charts->n_items; i++)
        put_chart(&build, array, &charts->items[i], formats, folder);
    return json_build_finish(&build, out);
}

enum status answer_report_json(const char *sentence, bool found, const char *folder, bool set_aside, struct text *out)
{
    struct json_build build;
    json_build_start(&build);
    json_put_text(&build, build.root, "status", found ? "found" : "none");
    json_put_text(&build, build.root, "sentence", sentence);
    json_put_text(&build, build.root, "folder", folder);
    put_path(&build, build.root, "page", folder, "report.html");
    put_path(&build, build.root, "text", folder, "report.md");
    put_path(&build, build.root, "summary", folder, "summary.json");
    put_path(&build, build.root, "results", folder, "results.csv");
    put_path(&build, build.root, "charts", folder, "charts");
    if (set_aside)
        put_path(&build, build.root, "set_aside", folder, "set-aside.csv");
    else
        json_put_text(&build, build.root, "set_aside", NULL);
    return json_build_finish(&build, out);
}
