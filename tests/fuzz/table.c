/*
 * Any bytes as a CSV file of each kind that the program reads. A first line
 * "#columns A=B|C=D" gives column maps; the program takes it for a comment.
 */
#include "fuzz.h"

#include "base/text.h"
#include "ingest/journal.h"
#include "specimen/fresh_list.h"
#include "specimen/mixes.h"
#include "specimen/recording.h"
#include "specimen/specimen_set.h"
#include "specimen/weighings.h"

#include <math.h>
#include <string.h>

enum { MAPS = 8 };
static const char columns_mark[] = "#columns ";

static size_t read_maps(const uint8_t *data, size_t size, struct column_map *maps)
{
    size_t n_maps = 0;
    const uint8_t *end = memchr(data, '\n', size);
    if (size < sizeof columns_mark || memcmp(data, columns_mark, sizeof columns_mark - 1) != 0 || !end)
        return 0;
    char *line = fuzz_text(data + sizeof columns_mark - 1, (size_t)(end - data) - (sizeof columns_mark - 1)), *rest = line;
    for (char *item = strtok_r(line, "|", &rest); item && n_maps < MAPS; item = strtok_r(NULL, "|", &rest))
        n_maps += column_map_parse(item, &maps[n_maps], NULL) == STATUS_OK;
    free(line);
    return n_maps;
}

/* A failure says so, with a problem to show; every problem can be shown. */
static void judge(enum status status, struct problem_list *problems)
{
    char sentence[1024];
    PROMISE((status == STATUS_OK) == (problems->n_errors == 0));
    PROMISE(status == STATUS_OK || status == STATUS_INPUT || status == STATUS_USAGE);
    for (size_t i = 0; i < problems->n_items; i++) {
        problem_sentence(&problems->items[i], sentence, sizeof sentence);
        PROMISE(sentence[0] && text_is_utf8(sentence, strlen(sentence), &(size_t){0}));
    }
    problem_list_release(problems);
}

static void judge_set(const struct specimen_set *set)
{
    for (size_t i = 0; i < set->n; i++) {
        PROMISE(specimen_set_mix(set, i) < set->n_mixes && set->batch[i] < set->n_batches && specimen_set_id(set, i, &(struct name_room){ 0 }));
        for (enum property property = 0; property < PROPERTY_COUNT; property++) {
            double value = specimen_set_value(set, i, property);
            PROMISE(isnan(value) || (isfinite(value) && value >= 0));
        }
    }
}

static void read_specimens(const char *path, const struct column_map *maps, size_t n_maps, const char *aside)
{
    struct problem_list problems = {0};
    struct specimen_set set = {0};
    struct specimen_set_settings settings = {.maps = maps, .n_maps = n_maps, .set_aside_path = aside};
    enum status status = specimen_set_read(&path, 1, &settings, &set, &problems);
    judge_set(&set);
    if (aside == NULL)
        judge(status, &problems);
    problem_list_release(&problems);
    specimen_set_release(&set);
}

static void read_recipes(const char *path, const struct column_map *maps, size_t n_maps)
{
    struct problem_list problems = {0};
    struct mix_list mixes = {0};
    struct material_list materials = {0};
    judge(mix_list_read(path, maps, n_maps, &mixes, &problems), &problems);
    mix_list_release(&mixes);
    judge(material_list_read(path, NULL, 0, &materials, &problems), &problems);
    material_list_release(&materials);
}

static void read_tests(const char *path)
{
    struct problem_list problems = {0};
    struct weighing_list weighings = {0};
    struct fresh_list fresh = {0};
    judge(weighing_list_read(path, &weighings, &problems), &problems);
    weighing_list_release(&weighings);
    judge(fresh_list_read(path, &fresh, &problems), &problems);
    fresh_list_release(&fresh);
}

static void record(const char *path, const struct column_map *maps, size_t n_maps)
{
    struct problem_list problems = {0};
    struct recording recording = {0};
    judge(recording_add_file(&recording, path, maps, n_maps, &problems), &problems);
    recording_line_of(path, "A1");
    recording_release(&recording);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct column_map maps[MAPS];
    size_t n_maps = read_maps(data, size, maps);
    struct fuzz_file file = fuzz_file_open(data, size);
    read_specimens(file.path, maps, n_maps, NULL);
    switch (size % 4) { /* the rarer readers, each with a share of the inputs */
    case 0: read_specimens(file.path, maps, n_maps, "/dev/null"); break;
    case 1: read_recipes(file.path, maps, n_maps); break;
    case 2: read_tests(file.path); break;
    default: record(file.path, maps, n_maps); break;
    }
    fuzz_file_close(&file);
    for (size_t i = 0; i < n_maps; i++)
        column_map_release(&maps[i]);
    return 0;
}
