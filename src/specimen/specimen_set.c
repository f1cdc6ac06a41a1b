#include "specimen/specimen_set.h"

#include "base/file.h"
#include "base/memory.h"
#include "specimen/given.h"
#include "specimen/row_seals.h"
#include "specimen/specimen_block.h"
#include "specimen/specimen_set_store.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* One reading of all files. */
struct loader {
    struct specimen_set *set;
    const struct specimen_set_settings *settings;
    struct problem_list *problems;
    struct problem_list found; /* by the row at hand, until it is known what becomes of it */
    struct set_aside aside;
    struct column_binding bindings[SPECIMEN_RULES_MOST];
    struct active_rule active[SPECIMEN_RULES_MOST];
    size_t n_active;
    struct dialect dialect;
    struct row_seals seals;
    struct specimen blank;     /* what every specimen begins as */
    uint32_t file;
};

/* Problems of the computation name columns by their rules; the user knows the headings. */
static void use_heading(const struct loader *loader, struct problem *problem)
{
    size_t rule = problem->column[0] ? specimen_rule_index(problem->column) : n_specimen_rules;
    if (rule < n_specimen_rules && loader->bindings[rule].index >= 0)
        snprintf(problem->column, sizeof problem->column, "%s", loader->bindings[rule].heading);
}

static void clear_found(struct loader *loader)
{
    loader->found.n_items = loader->found.n_errors = loader->found.n_doubts = loader->found.n_notices = 0;
    loader->found.worst = STATUS_OK;
}

/* Passes what was found on; as doubts when the row is set aside. */
static void pass_found(struct loader *loader, bool set_aside)
{
    for (size_t i = 0; i < loader->found.n_items; i++) {
        struct problem *problem = &loader->found.items[i];
        use_heading(loader, problem);
        if (set_aside && problem->severity == SEVERITY_ERROR) {
            char text[sizeof problem->text];
            snprintf(text, sizeof text, "set aside: %.*s", (int)(sizeof text - 16), problem->text);
            memcpy(problem->text, text, sizeof text);
            problem->severity = SEVERITY_DOUBT;
            problem->status = STATUS_OK;
        }
        problem_list_take(loader->problems, problem);
    }
    if (loader->found.worst == STATUS_MEMORY)
        problem_list_add(loader->problems, SEVERITY_ERROR, STATUS_MEMORY, NULL, "no memory left");
    clear_found(loader);
}

/* All reasons of a row in one line: "column 'mass_g': ...; column ..." */
static void add_reasons(struct loader *loader, struct text *reasons)
{
    for (size_t i = 0; i < loader->found.n_items; i++) {
        struct problem *problem = &loader->found.items[i];
        if (problem->severity != SEVERITY_ERROR)
            continue;
        use_heading(loader, problem);
        text_add(reasons, reasons->length ? "; " : "");
        if (problem->column[0])
            text_addf(reasons, "column '%s': ", problem->column);
        text_add_printable(reasons, problem->text);
    }
}

static enum status refuse_row(struct loader *loader, const struct row *row)
{
    if (!loader->aside.path) {
        pass_found(loader, false);
        return STATUS_OK;
    }
    struct text reasons = { 0 };
    add_reasons(loader, &reasons);
    enum status status = set_aside_row(&loader->aside, row, reasons.bytes && !reasons.failed ? reasons.bytes : "", loader->problems);
    text_release(&reasons);
    pass_found(loader, status == STATUS_OK);
    return status;
}

static enum status take_bad_row(const struct row *row, const char *reason, void *context)
{
    (void)reason; /* it stands in the list as well */
    return refuse_row(context, row);
}

static enum status memory_out(struct loader *loader, const struct row *row)
{
    struct place place = { row->path, row->line, NULL };
    problem_list_add(loader->problems, SEVERITY_ERROR, STATUS_MEMORY, &place, "no memory left for the specimens");
    return STATUS_MEMORY;
}

/* Enters a row that nothing is wrong with so far, or does what is to be done with a bad one. */
static enum status settle_row(struct loader *loader, const struct row *row, const struct specimen *specimen, bool good)
{
    enum status status = STATUS_OK;
    if (good)
        status = set_enter(loader->set, specimen, loader->file, loader->settings->mixes, &loader->found);
    if (status == STATUS_MEMORY)
        return memory_out(loader, row);
    if (!good || status == STATUS_INPUT)
        return refuse_row(loader, row);
    if (loader->found.n_items > 0)
        pass_found(loader, false);
    return STATUS_OK;
}

static bool read_specimen(const struct loader *loader, const struct row *row, struct specimen *specimen, struct problem_list *found)
{
    return specimen_take_row(specimen, row, loader->bindings, loader->active, loader->n_active, &loader->dialect, found);
}

static enum status take_row(const struct row *row, void *context)
{
    struct loader *loader = context;
    struct specimen specimen = loader->blank;
    bool good = read_specimen(loader, row, &specimen, &loader->found);
    good = row_seals_judge(&loader->seals, row, &loader->found) && good;
    good = good && specimen_derive(&specimen, &loader->found);
    return settle_row(loader, row, &specimen, good);
}

static enum status expect_rows(size_t n_rows, void *context)
{
    const struct loader *loader = context;
    const struct row nowhere = { .path = loader->set->paths[loader->file] };
    return set_expect_rows(loader->set, n_rows) ? STATUS_OK : memory_out(context, &nowhere);
}

static void *open_block(void)
{
    return specimen_block_new();
}

static void begin_block(void *block)
{
    specimen_block_clear(block);
}

/*
 * On any thread: reads of the loader what the heading settled, and changes nothing. Seals are judged in order, so not here.
 * Units of cells that are empty since do not matter: only questions tell them.
 */
static bool digest_row(const struct row *row, const void *context, void *into)
{
    const struct loader *loader = context;
    struct specimen_block *block = into;
    struct problem_list found = { 0 };
    if (block->n == 0)
        block->specimen = loader->blank;
    if (loader->seals.watched)
        return false;
    struct given given;
    bool good = read_specimen(loader, row, &block->specimen, &found);
    given_keep(&given, &block->specimen);
    good = good && specimen_derive(&block->specimen, &found) && found.n_items == 0;
    if (found.n_items > 0)
        problem_list_release(&found);
    if (good)
        specimen_block_add(block, &block->specimen);
    given_restore(&given, &block->specimen);
    return good;
}

static enum status take_stretch(const struct row_stretch *stretch, size_t *from, void *context)
{
    struct loader *loader = context;
    const struct place first = { stretch->path, stretch->first_line, NULL };
    enum status status = set_enter_block(loader->set, stretch->block, from, first, loader->file, loader->settings->mixes);
    const struct row row = { .path = stretch->path, .line = stretch->first_line + *from };
    return status == STATUS_MEMORY ? memory_out(loader, &row) : status;
}

static const struct row_digest specimen_digest = { expect_rows, open_block, memory_free, begin_block, digest_row, take_stretch };

static enum status nothing_measured(struct loader *loader, const struct row *row)
{
    struct place place = { row->path, row->line, NULL };
    struct text text = { 0 };
    for (size_t i = 0; i < row->n_cells; i++)
        text_addf(&text, "%s'%.40s'", i ? ", " : "", row->cells[i].text);
    problem_list_add(loader->problems, SEVERITY_ERROR, STATUS_INPUT, &place,
                     "no column measures anything that is known here; the headings are %s: map them, as in --column mass=\"Weight (g)\"",
                     text.failed ? "" : text.bytes);
    text_release(&text);
    return STATUS_INPUT;
}

static enum status take_heading(const struct row *row, const struct dialect *dialect, void *context)
{
    struct loader *loader = context;
    const struct specimen_set_settings *settings = loader->settings;
    struct specimen_set *set = loader->set;
    loader->dialect = *dialect;
    set_aside_heading(&loader->aside, row, dialect->separator);
    enum status status = columns_bind(row, specimen_rules, n_specimen_rules, settings->maps, settings->n_maps,
                                      loader->bindings, &loader->found);
    bool failed = status != STATUS_OK;
    row_seals_begin(&loader->seals, row, loader->bindings);
    pass_found(loader, false);
    if (!specimen_rules_measure(loader->bindings))
        return failed ? STATUS_INPUT : nothing_measured(loader, row);
    loader->n_active = specimen_active_rules(loader->bindings, loader->active);
    if (!set_headings_keep(set, loader->file, loader->bindings))
        return memory_out(loader, row);
    set->has_aggregate_column |= loader->bindings[specimen_rule_index("aggregate")].index >= 0;
    set->has_batch_column |= loader->bindings[specimen_rule_index("batch")].index >= 0;
    if (loader->file == 0)
        set->us_units = specimen_rules_us(loader->bindings);
    return failed ? STATUS_INPUT : STATUS_OK;
}

/* ---- files ---- */

static bool same_path(const char *a, const char *b)
{
    return strcmp(a, b) == 0 || file_same(a, b);
}

/* The same rows twice would look like twice the evidence. */
static bool path_refused(struct loader *loader, const char *const *paths, size_t i)
{
    struct place place = { .path = paths[i] };
    for (size_t j = 0; j < i; j++)
        if (same_path(paths[i], paths[j])) {
            problem_list_add(loader->problems, SEVERITY_ERROR, STATUS_INPUT, &place, "is given twice: it is the same file as '%.200s'", paths[j]);
            return true;
        }
    if (loader->aside.path && same_path(paths[i], loader->aside.path)) {
        problem_list_add(loader->problems, SEVERITY_ERROR, STATUS_USAGE, &place, "is read, so rows cannot be set aside into it: name another file");
        return true;
    }
    return false;
}

static bool keep_path(struct specimen_set *set, const char *path)
{
    void *paths = set->paths;
    char *copy = memory_text(path, strlen(path));
    if (!copy || set->n_paths >= UINT16_MAX || !memory_reserve(&paths, &set->store->path_capacity, set->n_paths + 1, sizeof *set->paths)) {
        memory_free(copy);
        return false;
    }
    set->paths = paths;
    set->paths[set->n_paths++] = copy;
    return true;
}

static enum status read_file(struct loader *loader, const char *path)
{
    struct dialect dialect = { 0 };
    struct row_receiver receiver = { .heading = take_heading, .row = take_row, .bad_row = take_bad_row,
                                     .digest = &specimen_digest, .context = loader,
                                     .fingerprint = loader->settings->fingerprint ? &loader->set->fingerprint : NULL };
    for (size_t i = 0; i < SPECIMEN_RULES_MOST; i++)
        loader->bindings[i].index = -1;
    loader->seals = (struct row_seals){ 0 };
    loader->file = (uint32_t)loader->set->n_paths;
    if (!keep_path(loader->set, path)) {
        struct row nowhere = { .path = path };
        return memory_out(loader, &nowhere);
    }
    enum status status = reader_run(path, &dialect, &receiver, &loader->found);
    row_seals_end(&loader->seals, path, &loader->found);
    pass_found(loader, false);
    return status;
}

static enum status read_files(struct loader *loader, const char *const *paths, size_t n_paths)
{
    enum status worst = STATUS_OK;
    for (size_t i = 0; i < n_paths && worst != STATUS_MEMORY; i++) {
        enum status status = path_refused(loader, paths, i) ? STATUS_INPUT : read_file(loader, paths[i]);
        if (worst == STATUS_OK || status == STATUS_MEMORY)
            worst = status;
    }
    return worst;
}

static enum status end_reading(struct loader *loader, enum status status, size_t n_errors_before)
{
    struct specimen_set *set = loader->set;
    set->n_set_aside = loader->aside.n_rows;
    if (!set_assume_batches(set, loader->problems) || !set_finish(set)) {
        struct row nowhere = { 0 };
        return memory_out(loader, &nowhere);
    }
    if (status == STATUS_OK && loader->problems->n_errors > n_errors_before)
        status = loader->problems->worst;
    if (status == STATUS_OK)
        status = set_aside_write(&loader->aside, loader->problems);
    if (status == STATUS_OK && set->n == 0) {
        problem_list_add(loader->problems, SEVERITY_ERROR, STATUS_TOO_FEW, NULL, "no specimen is left: all %zu rows were set aside", set->n_set_aside);
        status = STATUS_TOO_FEW;
    }
    return status;
}

enum status specimen_set_read(const char *const *paths, size_t n_paths,
                              const struct specimen_set_settings *settings,
                              struct specimen_set *set, struct problem_list *problems)
{
    struct loader loader = { .set = set, .settings = settings, .problems = problems, .aside.path = settings->set_aside_path };
    size_t n_errors_before = problems->n_errors;
    specimen_clear(&loader.blank);
    *set = (struct specimen_set){ .fingerprint = READER_FINGERPRINT_START };
    set->store = memory_new(1, sizeof *set->store);
    if (!set->store) {
        struct row nowhere = { 0 };
        return memory_out(&loader, &nowhere);
    }
    enum status status = read_files(&loader, paths, n_paths);
    status = end_reading(&loader, status, n_errors_before);
    set_aside_release(&loader.aside);
    problem_list_release(&loader.found);
    return status;
}

/* Mixes without aggregate are of the aggregate "all"; then the batches are counted. */
bool set_finish(struct specimen_set *set)
{
    struct set_store *store = set->store;
    if (set->id)
        name_index_release(&store->id_index); /* else it tells the ids */
    name_table_release(&store->mix_table);
    name_index_release(&store->batch_index);
    for (size_t i = 0; i < set->n_mixes; i++) {
        struct set_mix *mix = &set->mixes[i];
        if (mix->aggregate == NOT_KNOWN && (mix->aggregate = set_aggregate(set, "all")) == NOT_KNOWN)
            return false;
        set->has_fraction |= !isnan(mix->aggregate_fraction);
    }
    for (size_t i = 0; i < set->n_batches; i++)
        set->mixes[set->batches[i].mix].n_batches++;
    return true;
}
