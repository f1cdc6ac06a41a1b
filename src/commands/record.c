#include "commands/record.h"

#include "base/file.h"
#include "base/memory.h"
#include "commands/study.h"
#include "ingest/journal.h"
#include "output/answer.h"
#include "output/ask.h"

#include <string.h>
#include <unistd.h>

#define AT(member) offsetof(struct record_job, member)

static const char *const unit_words[] = {[SHOWN_SI] = "si", [SHOWN_US] = "us", NULL};
static const struct option_row rows[] = {
    {"from", OPTION_TEXT, "FILE", "record all specimens of this CSV file, or none of them", AT(from), 0, 0, NULL},
    {"column", OPTION_TEXT_LIST, "NAME=HEADING", "the file calls column NAME by this HEADING (repeatable)", AT(columns), 0, 0, NULL},
    {"ask", OPTION_FLAG, NULL, "ask for the values (does so by itself at a terminal)", AT(ask), 0, 0, NULL},
    {"doubtful", OPTION_FLAG, NULL, "record doubtful values as they stand", AT(doubtful), 0, 0, NULL},
    {"units", OPTION_CHOICE, NULL, "units of a new journal and of what is shown (si)", AT(units), 0, 0, unit_words},
    {"quiet", OPTION_FLAG, NULL, "show no notes, only errors and doubtful values", AT(quiet), 0, 0, NULL},
    {"help", OPTION_FLAG, NULL, "explain the command", AT(help), 0, 0, NULL},
};
const struct option_group record_groups[] = {{"Record", rows, sizeof rows / sizeof rows[0]}, {NULL, NULL, 0}};

/* ---- writing ---- */

/* What the look under the lock needs and finds. */
struct last_look {
    const struct recording *recording;
    bool doubtful;
    struct problem_list found;
};

static enum status look_again(const char *path, void *context, struct problem *problem)
{
    struct last_look *look = context;
    enum status status = recording_check(look->recording, path, NULL, &look->found);
    if (status == STATUS_OK && look->found.n_doubts > 0 && !look->doubtful)
        return STATUS_ANSWER_NO;
    if (status != STATUS_OK)
        problem_set(problem, status, NULL, "not recorded: the journal is as it was");
    return status;
}

/* What the writing found in the journal and mended. */
static void tell_findings(const char *path, const struct journal_result *result, struct problem_list *problems)
{
    struct place place = {.path = path};
    if (result->torn_bytes)
        problem_list_add(problems, SEVERITY_NOTICE, STATUS_OK, &place,
                         "%zu bytes of a record that was never finished nor acknowledged were moved to %.200s.torn",
                         result->torn_bytes, path);
    place.line = result->first_changed_line;
    if (result->n_changed)
        problem_list_add(problems, SEVERITY_DOUBT, STATUS_OK, &place,
                         "%zu row%s no longer as recorded, this one first: empty the cell '" JOURNAL_CHECK_COLUMN "' of each change that is meant",
                         result->n_changed, result->n_changed == 1 ? " is" : "s are");
}

static enum status append_rows(const struct record_job *job, struct last_look *look, const char *heading, const char **lines,
                               struct problem_list *problems)
{
    const struct recording *recording = look->recording;
    struct journal_request request = {.path = job->journal, .heading = heading, .rows = lines, .n_rows = recording->n_items,
                                      .allow = look_again, .context = look};
    struct journal_result result;
    struct problem problem = {0};
    for (size_t i = 0; i < recording->n_items; i++)
        lines[i] = recording->items[i].row;
    enum status status = journal_append(&request, &result, &problem);
    if (status != STATUS_OK && status != STATUS_ANSWER_NO)
        problem_list_take(problems, &problem); /* what became of the rows first, then why */
    problem_list_pass(&look->found, problems);
    tell_findings(job->journal, &result, problems);
    return status;
}

enum status record_append(const struct record_job *job, const struct recording *recording, bool doubtful,
                          struct problem_list *problems)
{
    struct last_look look = {.recording = recording, .doubtful = doubtful};
    struct text heading = {0};
    const char **lines = memory_new(recording->n_items, sizeof *lines);
    enum status status = lines ? recording_heading(job->us, &heading) : STATUS_MEMORY;
    if (status == STATUS_OK)
        status = append_rows(job, &look, heading.bytes, lines, problems);
    else
        problem_list_add(problems, SEVERITY_ERROR, status, NULL, "not recorded: no memory left");
    problem_list_release(&look.found);
    text_release(&heading);
    memory_free((void *)lines);
    return status;
}

void record_acknowledge(const struct record_job *job, size_t n, struct text *out)
{
    text_addf(out, "recorded %zu specimen%s in ", n, n == 1 ? "" : "s");
    text_add_printable(out, job->journal);
    text_add(out, "\n");
}

/* ---- values from the command line ---- */

bool record_take_values(const struct text_list *values, struct specimen *specimen, struct text_list *owned,
                        struct problem_list *problems)
{
    size_t n_errors_before = problems->n_errors;
    for (size_t i = 0; i < values->n_items; i++) {
        const char *equals = strchr(values->items[i], '=');
        if (equals == NULL || equals == values->items[i] || equals[1] == '\0') {
            problem_list_add(problems, SEVERITY_ERROR, STATUS_USAGE, NULL, "'%.100s' is not NAME=VALUE, such as mass=1.71kg",
                             values->items[i]);
            continue;
        }
        char *name = memory_text(values->items[i], (size_t)(equals - values->items[i]));
        if (name == NULL || !text_list_add(owned, name)) {
            memory_free(name);
            problem_list_add(problems, SEVERITY_ERROR, STATUS_MEMORY, NULL, "no memory left for the values");
            return false;
        }
        for (size_t j = 0; j + 1 < owned->n_items; j++)
            if (heading_same(owned->items[j], name))
                problem_list_add(problems, SEVERITY_ERROR, STATUS_USAGE, NULL, "'%.60s' is given twice", name);
        (void)recording_set_column(specimen, name, equals + 1, problems); /* its errors are counted below */
    }
    return problems->n_errors == n_errors_before;
}

static enum status gather_values(const struct record_job *job, struct recording *recording)
{
    struct specimen specimen;
    struct text_list names = {0};
    specimen_clear(&specimen);
    bool good = record_take_values(&job->values, &specimen, &names, &job->run->problems);
    for (size_t i = 0; i < names.n_items; i++)
        memory_free((void *)names.items[i]);
    text_list_release(&names);
    return good ? recording_add(recording, &specimen, &job->run->problems) : job->run->problems.worst;
}

static enum status gather_file(const struct record_job *job, struct recording *recording)
{
    struct problem_list *problems = &job->run->problems;
    struct column_map *maps = memory_new(job->columns.n_items, sizeof *maps);
    size_t n_maps = 0;
    if (maps == NULL)
        problem_list_add(problems, SEVERITY_ERROR, STATUS_MEMORY, NULL, "no memory left");
    for (size_t i = 0; maps && i < job->columns.n_items; i++) {
        struct problem problem = {0};
        if (column_map_parse(job->columns.items[i], &maps[n_maps], &problem) == STATUS_OK)
            n_maps++;
        else
            problem_list_take(problems, &problem);
    }
    enum status status = problems->n_errors ? problems->worst : recording_add_file(recording, job->from, maps, n_maps, problems);
    for (size_t i = 0; i < n_maps; i++)
        column_map_release(&maps[i]);
    memory_free(maps);
    return status;
}

static enum status refuse_doubts(struct run *run)
{
    problem_list_add(&run->problems, SEVERITY_ERROR, STATUS_INPUT, NULL,
                     "not recorded: correct what is doubtful, or give --doubtful to record it as it stands");
    return STATUS_INPUT;
}

enum { SHOWN_MOST = 100 }; /* specimens whose results are shown; a lifetime's work would drown its acknowledgement */

/* The answer is made before the rows are written, so that nothing can go wrong between the disk and the acknowledgement. */
static enum status make_answer(const struct record_job *job, const struct recording *recording, struct text *answer)
{
    struct specimen_set set = {0};
    enum status status = recording_check(recording, NULL, &set, &job->run->problems);
    if (status == STATUS_OK && set.n <= SHOWN_MOST)
        status = answer_results_table(&set, job->units < 0 ? job->us : job->units == SHOWN_US, answer);
    if (status == STATUS_OK)
        record_acknowledge(job, recording->n_items, answer);
    specimen_set_release(&set);
    if (!answer->failed)
        return status;
    problem_list_add(&job->run->problems, SEVERITY_ERROR, STATUS_MEMORY, NULL, "not recorded: no memory left for the answer");
    return STATUS_MEMORY;
}

/* Checks, writes, and only then says so. */
static enum status record_gathered(const struct record_job *job, const struct recording *recording)
{
    struct run *run = job->run;
    struct text answer = {0};
    enum status status = make_answer(job, recording, &answer);
    if (status == STATUS_OK)
        status = run->problems.n_doubts && !job->doubtful ? STATUS_ANSWER_NO
                                                          : record_append(job, recording, job->doubtful, &run->problems);
    if (status == STATUS_ANSWER_NO)
        status = refuse_doubts(run);
    if (status == STATUS_OK)
        run->out = answer;
    else
        text_release(&answer);
    run->acknowledges = status == STATUS_OK;
    return status;
}

static enum status record_once(const struct record_job *job)
{
    struct recording recording = {.us = job->us};
    enum status status = job->from ? gather_file(job, &recording) : gather_values(job, &recording);
    if (status == STATUS_OK)
        status = record_gathered(job, &recording);
    else if (status == STATUS_INPUT)
        (void)recording_check(&recording, NULL, NULL, &job->run->problems); /* so that all problems are told at once */
    recording_release(&recording);
    return status;
}

/* ---- the command ---- */

static void require_companions(struct record_job *job)
{
    struct run *run = job->run;
    if (job->from && (job->ask || job->values.n_items))
        usage_error(run, "--from takes the values out of a file: leave out %s", job->ask ? "--ask" : "the values");
    if (job->from && strcmp(job->from, "-") != 0 && file_same(job->from, job->journal))
        usage_error(run, "--from '%.100s' is the journal itself", job->from);
    if (job->columns.n_items && !job->from)
        usage_error(run, "--column is about the headings of a file: it needs --from");
    if (!job->from && !job->ask && job->values.n_items == 0)
        usage_error(run, "nothing to record: give values, such as specimen=A1 mass=1.71kg, or --from FILE, or --ask");
}

static enum status settle(struct record_job *job, const struct text_list *arguments)
{
    struct run *run = job->run;
    const struct ask terminal = {.in = STDIN_FILENO, .out = STDERR_FILENO};
    if (arguments->n_items == 0) {
        usage_error(run, "name the journal to record in, such as journal.csv");
        return STATUS_USAGE;
    }
    job->journal = arguments->items[0];
    job->values = (struct text_list){.items = arguments->items + 1, .n_items = arguments->n_items - 1};
    if (job->from == NULL && job->values.n_items == 0)
        job->ask = job->ask || ask_is_terminal(&terminal);
    if (strchr(job->journal, '=') || strcmp(job->journal, "-") == 0)
        usage_error(run, "the journal comes first, then the values: 'record journal.csv specimen=A1 ...', not '%.60s'", job->journal);
    require_companions(job);
    return run->problems.n_errors ? STATUS_USAGE : STATUS_OK;
}

enum status command_record(struct run *run)
{
    struct record_job job = {.run = run, .units = -1};
    struct text_list arguments = {0};
    enum status status = option_parse(record_groups, run->argc, run->argv, &job, &arguments, &run->problems);
    run->quiet = job.quiet;
    if (status == STATUS_OK)
        status = settle(&job, &arguments);
    if (status == STATUS_OK) {
        job.us = recording_units_us(job.journal, job.units == SHOWN_US);
        status = job.ask ? record_ask(&job) : record_once(&job);
    }
    text_list_release(&arguments);
    text_list_release(&job.columns);
    return status != STATUS_OK && run->problems.worst == STATUS_MEMORY ? STATUS_MEMORY : status;
}
