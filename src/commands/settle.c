#include "commands/study.h"

#include "base/memory.h"
#include "commands/study_file.h"

#include <string.h>

/* How many items of each list the study file gave, so that the command line can be told apart. */
struct study_counts { size_t columns, aggregates, shapes, targets, limits, properties, also, formats, charts, differences; };

static struct study_counts count_lists(const struct study_options *options)
{
    return (struct study_counts){
        options->columns.n_items, options->aggregates.n_items, options->shapes.n_items, options->targets.n_items, options->limits.n_items,
        options->properties.n_items, options->also.n_items, options->formats.n_items, options->charts.n_items,
        options->differences.n_items,
    };
}

static void drop(struct text_list *list, size_t index)
{
    memmove(list->items + index, list->items + index + 1, (list->n_items - index - 1) * sizeof *list->items);
    list->n_items--;
}

/* The command line's items take the place of the study file's. */
static void settle_list(struct text_list *list, size_t n_study)
{
    if (list->n_items > n_study)
        for (; n_study > 0; n_study--)
            drop(list, 0);
}

static bool same_key(const char *a, const char *b)
{
    size_t length = strcspn(a, "=");
    return length == strcspn(b, "=") && strncmp(a, b, length) == 0;
}

/* One name twice in one place is refused. Returns how many of the study file's items stay. */
static size_t refuse_twice(struct run *run, struct text_list *list, size_t n_study, const char *option)
{
    for (size_t i = 0; i < list->n_items; i++) {
        for (size_t j = i + 1; j < list->n_items;) {
            bool same_place = (i < n_study) == (j < n_study);
            if (!same_place || !same_key(list->items[i], list->items[j])) {
                j++;
                continue;
            }
            usage_error(run, "--%s '%.*s' is given twice", option, (int)strcspn(list->items[j], "="), list->items[j]);
            drop(list, j);
            n_study -= j < n_study;
        }
    }
    return n_study;
}

/* As settle_list for NAME=VALUE items, name by name. */
static void settle_keyed(struct run *run, struct text_list *list, size_t n_study, const char *option)
{
    n_study = refuse_twice(run, list, n_study, option);
    for (size_t i = 0; i < n_study; i++) {
        for (size_t j = n_study; j < list->n_items; j++) {
            if (same_key(list->items[i], list->items[j])) {
                list->items[i] = list->items[j];
                drop(list, j);
                break;
            }
        }
    }
}

static void settle_lists(struct run *run, struct study_options *options, struct study_counts study)
{
    settle_keyed(run, &options->columns, study.columns, "column");
    settle_keyed(run, &options->targets, study.targets, "target");
    settle_keyed(run, &options->limits, study.limits, "limit");
    settle_keyed(run, &options->differences, study.differences, "difference");
    settle_list(&options->aggregates, study.aggregates);
    settle_list(&options->shapes, study.shapes);
    settle_list(&options->properties, study.properties);
    settle_list(&options->also, study.also);
    settle_list(&options->formats, study.formats);
    settle_list(&options->charts, study.charts);
}

/* The options again from the start: study file, then the command line over it. */
static enum status settle_with_study(struct run *run, const struct option_group *groups, struct study *study)
{
    const char *path = study->options.study;
    study_options_release(&study->options);
    text_list_release(&study->paths);
    study_options_default(&study->options);
    enum status status = study_file_read(path, &study->options, &study->owned, &run->problems);
    if (status != STATUS_OK)
        return status;
    struct study_counts counts = count_lists(&study->options);
    status = option_parse(groups, run->argc, run->argv, &study->options, &study->paths, &run->problems);
    if (status == STATUS_OK)
        settle_lists(run, &study->options, counts);
    return status;
}

/* Specimen files of the study file stand in when the command line names none. */
static void settle_paths(struct run *run, struct study *study, bool required)
{
    const struct text_list *stand_in = &study->options.specimens;
    for (size_t i = 0; study->paths.n_items == i && i < stand_in->n_items; i++)
        if (!text_list_add(&study->paths, stand_in->items[i]))
            problem_list_add(&run->problems, SEVERITY_ERROR, STATUS_MEMORY, NULL, "no memory left");
    if (study->paths.n_items == 0 && required)
        usage_error(run, "no specimen file is named; give one, such as specimens.csv, or a --study that names it");
}

static enum status settle(struct run *run, const struct option_group *groups, struct study *study, bool specimens_required)
{
    study_options_default(&study->options);
    size_t errors_before = run->problems.n_errors;
    enum status status = option_parse(groups, run->argc, run->argv, &study->options, &study->paths, &run->problems);
    if (status == STATUS_OK && study->options.study)
        status = settle_with_study(run, groups, study);
    else if (status == STATUS_OK)
        settle_lists(run, &study->options, (struct study_counts){0});
    if (status != STATUS_OK)
        return status;
    settle_paths(run, study, specimens_required);
    run->quiet = study->options.quiet;
    return run->problems.n_errors == errors_before ? STATUS_OK : run->problems.worst;
}

enum status study_settle_options(struct run *run, const struct option_group *groups, struct study *study)
{
    return settle(run, groups, study, true);
}

enum status study_settle_options_alone(struct run *run, const struct option_group *groups, struct study *study)
{
    return settle(run, groups, study, false);
}
