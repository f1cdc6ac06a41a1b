#include "commands/study.h"

#include "base/file.h"
#include "base/memory.h"
#include "commands/study_file.h"

#include <string.h>

void study_release(struct study *study)
{
    problem_list_release(&study->selection_notices);
    quality_findings_release(&study->quality);
    specimen_set_release(&study->set);
    mix_list_release(&study->mixes);
    material_list_release(&study->materials);
    for (size_t i = 0; i < study->n_maps; i++)
        column_map_release(&study->maps[i]);
    memory_free(study->maps);
    text_list_release(&study->paths);
    study_options_release(&study->options);
    owned_texts_release(&study->owned);
}

static enum status out_of_memory(struct run *run)
{
    problem_list_add(&run->problems, SEVERITY_ERROR, STATUS_MEMORY, NULL, "no memory left");
    return STATUS_MEMORY;
}

static bool is_specimen_column(const char *name)
{
    for (size_t i = 0; i < n_specimen_rules; i++)
        if (heading_same(specimen_rules[i].name, name))
            return true;
    return false;
}

/* Parses --column; maps of specimen columns come first, the rest is for the mixes file (without one: refused as unknown). */
static enum status make_maps(struct run *run, struct study *study)
{
    const struct text_list *columns = &study->options.columns;
    study->maps = memory_new(columns->n_items, sizeof *study->maps);
    if (study->maps == NULL)
        return out_of_memory(run);
    for (size_t i = 0; i < columns->n_items; i++) {
        struct column_map map, *end_of_specimens = study->maps + study->n_specimen_maps;
        struct problem problem = {0};
        if (column_map_parse(columns->items[i], &map, &problem) != STATUS_OK) {
            problem_list_take(&run->problems, &problem);
        } else if (is_specimen_column(map.name) || study->options.mixes == NULL) {
            memmove(end_of_specimens + 1, end_of_specimens, (study->n_maps - study->n_specimen_maps) * sizeof *study->maps);
            *end_of_specimens = map;
            study->n_specimen_maps++;
            study->n_maps++;
        } else {
            study->maps[study->n_maps++] = map;
        }
    }
    return STATUS_OK;
}

/* Writing over what is read would lose it. */
static void guard_output(struct run *run, const struct study *study, const char *option, const char *path)
{
    const struct study_options *options = &study->options;
    const char *others[] = {options->mixes, options->materials, options->weighings, options->fresh, options->study};
    bool clash = false;
    if (path == NULL)
        return;
    for (size_t i = 0; i < study->paths.n_items; i++)
        clash = clash || file_same(path, study->paths.items[i]);
    for (size_t i = 0; i < sizeof others / sizeof others[0]; i++)
        clash = clash || (others[i] && file_same(path, others[i]));
    if (clash)
        usage_error(run, "--%s '%s' is a file that is read; name another one", option, path);
}

static enum status guard_outputs(struct run *run, const struct study *study)
{
    const struct study_options *options = &study->options;
    guard_output(run, study, "output", options->output);
    guard_output(run, study, "set-aside", options->set_aside);
    if (options->output && options->set_aside && strcmp(options->output, options->set_aside) == 0)
        usage_error(run, "--output and --set-aside name the same file '%s'", options->output);
    return run->problems.n_errors ? run->problems.worst : STATUS_OK;
}

/* Rows whose headings say nothing that a result could come from would make an empty answer. */
static enum status require_results(struct run *run, const struct study *study)
{
    const struct specimen_set *set = &study->set;
    for (int property = 0; property < PROPERTY_COUNT; property++)
        if (set->value[property])
            return STATUS_OK;
    for (int further = 0; further < FURTHER_COUNT; further++)
        if (set->further[further])
            return STATUS_OK;
    if (set->result)
        return STATUS_OK;
    struct place place = {.path = set->paths[0], .line = 1};
    problem_list_add(&run->problems, SEVERITY_ERROR, STATUS_INPUT, &place,
                     "no column gives a result: needed are a density or strength, or masses, sizes and loads "
                     "(docs/files.md); name foreign headings with --column NAME=HEADING");
    run->quiet = false; /* the notes say which headings were not understood */
    return STATUS_INPUT;
}

/* Flags what stands out among companion specimens and tells it; nothing is left out for it. */
static enum status judge_quality(struct run *run, struct study *study)
{
    struct problem problem = {0};
    enum status status = quality_flag(&study->set, &study->quality, &problem);
    if (status == STATUS_OK)
        quality_tell_outliers(&study->set, &study->quality, study->us, &run->problems);
    else
        problem_list_take(&run->problems, &problem);
    return status;
}

/* Guards what is written, then reads mixes and materials; mixes_read tells whether the former can be used. */
static enum status read_recipes(struct run *run, struct study *study, bool *mixes_read)
{
    const struct study_options *options = &study->options;
    struct problem_list *problems = &run->problems;
    *mixes_read = false;
    enum status status = guard_outputs(run, study);
    if (status == STATUS_OK)
        status = make_maps(run, study);
    if (status != STATUS_OK || problems->n_errors)
        return problems->worst;
    *mixes_read = options->mixes
        && mix_list_read(options->mixes, study->maps + study->n_specimen_maps,
                         study->n_maps - study->n_specimen_maps, &study->mixes, problems) == STATUS_OK;
    if (options->materials)
        (void)material_list_read(options->materials, NULL, 0, &study->materials, problems); /* its problems count at the end */
    return STATUS_OK;
}

enum status study_read_recipes(struct run *run, struct study *study)
{
    bool mixes_read;
    enum status status = read_recipes(run, study, &mixes_read);
    const struct material_list *materials = &study->materials;
    study->us = study->options.units < 0 ? materials->n_items > 0 && materials->items[0].us_units : study->options.units == SHOWN_US;
    return run->problems.n_errors ? run->problems.worst : status;
}

enum status study_read_files(struct run *run, struct study *study)
{
    const struct study_options *options = &study->options;
    struct problem_list *problems = &run->problems;
    bool mixes_read;
    enum status status = read_recipes(run, study, &mixes_read);
    if (status != STATUS_OK)
        return status;
    struct specimen_set_settings settings = {
        .maps = study->maps, .n_maps = study->n_specimen_maps,
        .set_aside_path = options->set_aside, .mixes = mixes_read ? &study->mixes : NULL, .fingerprint = study->fingerprint,
    };
    status = specimen_set_read(study->paths.items, study->paths.n_items, &settings, &study->set, problems);
    study->us = options->units < 0 ? study->set.us_units : options->units == SHOWN_US;
    if (status == STATUS_OK && problems->n_errors == 0)
        status = require_results(run, study);
    if (status == STATUS_OK && problems->n_errors == 0)
        status = judge_quality(run, study);
    return problems->n_errors ? problems->worst : status;
}

/* A name that the specimens must hold; the nearest is offered. */
static void require_name(struct run *run, const char *option, const char *wanted, const char *const *names, size_t n_names)
{
    for (size_t i = 0; i < n_names; i++)
        if (strcmp(names[i], wanted) == 0)
            return;
    const char *near = n_names ? text_nearest(wanted, names, n_names) : NULL;
    if (near)
        usage_error(run, "--%s: the specimens hold no '%s'; did you mean '%s'?", option, wanted, near);
    else
        usage_error(run, "--%s: the specimens hold no '%s'", option, wanted);
}

static enum status require_names(struct run *run, const struct study *study)
{
    const struct study_options *options = &study->options;
    const struct specimen_set *set = &study->set;
    for (size_t i = 0; i < options->aggregates.n_items; i++)
        require_name(run, "aggregate", options->aggregates.items[i], (const char *const *)set->aggregates, set->n_aggregates);
    if (options->reference) {
        const char **names = memory_new(set->n_mixes, sizeof *names);
        if (names == NULL)
            return out_of_memory(run);
        for (size_t i = 0; i < set->n_mixes; i++)
            names[i] = set->mixes[i].name;
        require_name(run, "reference", options->reference, names, set->n_mixes);
        memory_free((void *)names);
    }
    return run->problems.n_errors ? run->problems.worst : STATUS_OK;
}

static void take_shapes(struct run *run, struct study *study)
{
    const struct text_list *shapes = &study->options.shapes;
    for (size_t i = 0; i < shapes->n_items; i++) {
        struct problem problem = {0};
        struct selection *selection = &study->selection;
        if (selection->n_kinds == SELECTION_KINDS)
            usage_error(run, "--shape: no more than %d of them", SELECTION_KINDS);
        else if (specimen_kind_parse(shapes->items[i], "--shape", &selection->kinds[selection->n_kinds], &problem) != STATUS_OK)
            problem_list_take(&run->problems, &problem);
        else
            selection->n_kinds++;
    }
}

enum status study_select_told(struct run *run, struct study *study)
{
    const struct study_options *options = &study->options;
    study->selection = (struct selection){
        .aggregates = options->aggregates.items, .n_aggregates = options->aggregates.n_items,
        .age_days = options->age_days, .moisture = (enum moisture)(options->moisture + 1),
    };
    take_shapes(run, study);
    return require_names(run, study);
}

enum status study_select_quietly(struct run *run, struct study *study)
{
    enum status status = study_select_told(run, study);
    if (status != STATUS_OK)
        return status;
    status = selection_settle(&study->set, &study->selection, &study->selection_notices);
    if (status != STATUS_OK)
        study_tell_selection(run, study);
    return status;
}

void study_tell_selection(struct run *run, const struct study *study)
{
    problem_list_pass(&study->selection_notices, &run->problems);
    if (study->selection_notices.worst == STATUS_MEMORY && study->selection_notices.n_errors == 0)
        (void)out_of_memory(run); /* a notice found no room */
}

enum status study_select(struct run *run, struct study *study)
{
    enum status status = study_select_quietly(run, study);
    if (status == STATUS_OK)
        study_tell_selection(run, study);
    return status;
}

enum status study_keep_selected(struct run *run, struct study *study)
{
    enum status status = study_select_told(run, study);
    if (status != STATUS_OK)
        return status;
    status = selection_check(&study->set, &study->selection, &run->problems);
    if (status != STATUS_OK)
        return status;
    bool *wanted = memory_new(study->set.n, sizeof *wanted);
    if (wanted == NULL)
        return out_of_memory(run);
    const size_t all = study->set.n, n = selection_rows(&study->set, &study->selection, wanted);
    const bool kept = n == 0 || n == all || specimen_set_keep(&study->set, wanted);
    memory_free(wanted);
    if (!kept)
        return out_of_memory(run);
    if (n > 0 && n < all)
        problem_list_add(&run->problems, SEVERITY_NOTICE, STATUS_OK, NULL,
                         "listed: %zu of %zu specimens; --aggregate, --age, --moisture or --shape leave out the others", n, all);
    if (n > 0)
        return STATUS_OK;
    problem_list_add(&run->problems, SEVERITY_ERROR, STATUS_TOO_FEW, NULL,
                     "none of the %zu specimens is of the --aggregate, --age, --moisture and --shape that were asked for", all);
    return STATUS_TOO_FEW;
}

enum status study_open(struct run *run, const struct option_group *groups, struct study *study)
{
    enum status status = study_settle_options(run, groups, study);
    if (status == STATUS_OK)
        status = study_read_files(run, study);
    if (status == STATUS_OK)
        status = study_select(run, study);
    return status;
}

enum status study_deliver(struct run *run, const struct study *study, enum status status)
{
    struct problem problem = {0};
    if (run->out.failed)
        return out_of_memory(run);
    if (study->options.output == NULL)
        return status;
    enum status written = file_replace(study->options.output, run->out.bytes ? run->out.bytes : "", run->out.length, &problem);
    text_clear(&run->out);
    if (written == STATUS_OK)
        return status;
    problem_list_take(&run->problems, &problem);
    return written;
}
