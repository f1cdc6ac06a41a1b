#include "specimen/recording.h"

#include "base/memory.h"
#include "ingest/journal.h"
#include "specimen/specimen_rows.h"

#include <string.h>

enum { FILE_JOURNAL, FILE_RECORDING, FILES };

static bool open_set(struct specimen_set *set, const char *journal_path, const char *from)
{
    *set = (struct specimen_set){ 0 };
    set->store = memory_new(1, sizeof *set->store);
    set->paths = memory_new(FILES, sizeof *set->paths);
    if (!set->store || !set->paths)
        return false;
    set->n_paths = FILES;
    set->store->path_capacity = FILES;
    set->paths[FILE_JOURNAL] = memory_text(journal_path ? journal_path : "", strlen(journal_path ? journal_path : ""));
    set->paths[FILE_RECORDING] = memory_text(from ? from : "", strlen(from ? from : ""));
    return set->paths[FILE_JOURNAL] && set->paths[FILE_RECORDING];
}

struct entering {
    struct specimen_set *set;
    struct problem_list found;
};

static enum status enter_journal_row(struct specimen *specimen, void *context)
{
    struct entering *entering = context;
    if (!specimen_derive(specimen, &entering->found))
        return STATUS_OK;
    enum status status = set_enter(entering->set, specimen, FILE_JOURNAL, NULL, &entering->found);
    return status == STATUS_INPUT ? STATUS_OK : status;
}

/* Errors only: doubts and notices were told when the rows were recorded. */
static void pass_errors(const struct problem_list *found, const char *journal_path, struct problem_list *problems)
{
    struct place place = { .path = journal_path };
    if (found->n_errors > 0)
        problem_list_add(problems, SEVERITY_ERROR, STATUS_INPUT, &place,
                         "the journal itself cannot be read as it stands: mend it, or record to a new file");
    for (size_t i = 0; i < found->n_items; i++)
        if (found->items[i].severity == SEVERITY_ERROR)
            problem_list_take(problems, &found->items[i]);
}

static enum status enter_journal(struct specimen_set *set, const char *journal_path, struct problem_list *problems)
{
    struct entering entering = { .set = set };
    struct specimen_rows rows = { .rows_optional = true, .seals_unread = true, .take = enter_journal_row, .context = &entering,
                                  .problems = &entering.found }; /* journal_append judges the seals */
    enum status status = specimen_rows_read(&rows, journal_path);
    if (status == STATUS_OK && entering.found.n_errors > 0)
        status = STATUS_INPUT;
    pass_errors(&entering.found, journal_path, problems);
    problem_list_release(&entering.found);
    return status;
}

static enum status enter_recording(struct specimen_set *set, const struct recording *recording, struct problem_list *problems)
{
    enum status worst = STATUS_OK;
    for (size_t i = 0; i < recording->n_items && worst != STATUS_MEMORY; i++) {
        const struct specimen *specimen = &recording->items[i].specimen;
        enum status status = set_enter(set, specimen, FILE_RECORDING, NULL, problems);
        if (status != STATUS_OK)
            worst = status;
    }
    return worst;
}

enum status recording_check(const struct recording *recording, const char *journal_path, struct specimen_set *set,
                            struct problem_list *problems)
{
    struct specimen_set own = {0};
    struct specimen_set *entered = set ? set : &own;
    enum status status = open_set(entered, journal_path, recording->from) ? STATUS_OK : STATUS_MEMORY;
    if (status == STATUS_OK && journal_path)
        status = enter_journal(entered, journal_path, problems);
    if (status == STATUS_OK)
        status = enter_recording(entered, recording, problems);
    if (status == STATUS_OK && !set_finish(entered))
        status = STATUS_MEMORY;
    if (status == STATUS_MEMORY)
        problem_list_add(problems, SEVERITY_ERROR, STATUS_MEMORY, NULL, "no memory left to check what is to be recorded");
    if (!set)
        specimen_set_release(&own);
    return status;
}

/* ---- short looks at a journal ---- */

struct look {
    const char *id;
    size_t line;
    struct text heading;
    bool us;
};

static enum status look_at_row(struct specimen *specimen, void *context)
{
    struct look *look = context;
    if (look->line == 0 && strcmp(specimen->id, look->id) == 0)
        look->line = specimen->line;
    return STATUS_OK;
}

size_t recording_line_of(const char *journal_path, const char *id)
{
    struct look look = { .id = id };
    struct problem_list unheard = { 0 };
    struct specimen_rows rows = { .rows_optional = true, .seals_unread = true, .take = look_at_row, .context = &look, .problems = &unheard };
    (void)specimen_rows_read(&rows, journal_path); /* what is wrong with it shows when it is written to */
    problem_list_release(&unheard);
    return look.line;
}

static enum status look_at_heading(const struct row *row, const struct dialect *dialect, void *context)
{
    struct look *look = context;
    (void)dialect;
    look->us = row->raw_length == look->heading.length && memcmp(row->raw, look->heading.bytes, row->raw_length) == 0;
    look->line = row->line;
    return STATUS_ANSWER_NO; /* seen enough */
}

static enum status pass_over(const struct row *row, void *context)
{
    (void)row;
    (void)context;
    return STATUS_OK;
}

bool recording_units_us(const char *journal_path, bool otherwise)
{
    struct look look = { .id = "" };
    struct problem_list unheard = { 0 };
    struct dialect dialect = { 0 };
    struct row_receiver receiver = { .heading = look_at_heading, .row = pass_over, .context = &look, .rows_optional = true };
    (void)recording_heading(true, &look.heading);
    text_add(&look.heading, "," JOURNAL_CHECK_COLUMN);
    if (!look.heading.failed)
        (void)reader_run(journal_path, &dialect, &receiver, &unheard);
    text_release(&look.heading);
    problem_list_release(&unheard);
    return look.line ? look.us : otherwise;
}
