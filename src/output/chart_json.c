#include "output/chart.h"
#include "output/json_build.h"

enum status chart_list_json(const struct chart_list *charts, const char *folder, struct text *out)
{
    struct json_build build;
    json_build_start(&build);
    json_put_text(&build, build.root, "folder", folder);
    json_t *array = json_put_array(&build, build.root, "charts");
    for (size_t i = 0; i < charts->n_items; i++) {
        json_t *chart = json_append_object(&build, array);
        json_put_text(&build, chart, "name", charts->items[i].name);
        json_put_text(&build, chart, "title", charts->items[i].title);
        json_put_text(&build, chart, "alternative", charts->items[i].alternative);
        json_put_bool(&build, chart, "drawn", charts->items[i].drawn);
    }
    return json_build_finish(&build, out);
}
