#include "specimen/row_seals.h"

#include "ingest/journal.h"
#include "specimen/specimen_set_store.h"

void row_seals_begin(struct row_seals *seals, const struct row *heading, const struct column_binding *bindings)
{
    const struct column_binding *check = &bindings[specimen_rule_index(JOURNAL_CHECK_COLUMN)];
    *seals = (struct row_seals){
        .watched = check->index >= 0 && (size_t)check->index + 1 == heading->n_cells
                   && bindings[specimen_rule_index("place")].index < 0,
        .heading = check->heading,
    };
}

static bool add_error(const struct row_seals *seals, const struct row *row, const char *text, struct problem_list *problems)
{
    struct place place = { row->path, row->line, seals->heading };
    problem_list_add(problems, SEVERITY_ERROR, STATUS_INPUT, &place, "%s", text);
    return false;
}

bool row_seals_judge(struct row_seals *seals, const struct row *row, struct problem_list *problems)
{
    unsigned long k, n;
    if (!seals->watched)
        return true;
    enum journal_seal_state state = journal_seal_judge(row->raw, row->raw_length, &k, &n);
    bool agrees = state == JOURNAL_SEAL_AGREES;
    if (!agrees || k == n)
        seals->open_line = 0;
    else if (seals->open_line == 0 || k != seals->k + 1 || n != seals->n)
        seals->open_line = row->line;
    seals->k = agrees ? k : 0;
    seals->n = agrees ? n : 0;
    if (state == JOURNAL_SEAL_CHANGED)
        return add_error(seals, row, "the row is not as it was recorded: mend it, or empty this cell to say that the change is meant",
                         problems);
    if (state == JOURNAL_SEAL_BROKEN)
        return add_error(seals, row, "is no seal of a recorded row: leave this cell empty in a row typed by hand", problems);
    return true;
}

void row_seals_end(const struct row_seals *seals, const char *path, struct problem_list *problems)
{
    struct place place = { path, seals->open_line, NULL };
    if (seals->open_line)
        problem_list_add(problems, SEVERITY_DOUBT, STATUS_OK, &place,
                         "a record of %lu rows begins here and only %lu of them are there: it was never acknowledged; "
                         "the next 'record' moves what there is to %.200s.torn", seals->n, seals->k, path);
}
