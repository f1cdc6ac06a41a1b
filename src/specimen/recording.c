#include "specimen/recording.h"

#include "base/memory.h"
#include "base/utf8.h"
#include "ingest/everyday_words.h"
#include "specimen/recording_row.h"
#include "specimen/specimen_fields.h"
#include "specimen/specimen_rows.h"

#include <math.h>
#include <string.h>

static enum status memory_out(struct problem_list *problems)
{
    problem_list_add(problems, SEVERITY_ERROR, STATUS_MEMORY, NULL, "no memory left for what is to be recorded");
    return STATUS_MEMORY;
}

/* ---- what was typed ---- */

static void unknown_column(const char *name, struct problem_list *problems)
{
    const char *names[SPECIMEN_RULES_MOST];
    size_t n = 0;
    for (size_t i = 0; i < n_specimen_rules; i++)
        if (specimen_fields[i].kind != FIELD_IGNORED)
            names[n++] = specimen_rules[i].name;
    const char *near = everyday_column(name, specimen_rules, n_specimen_rules);
    if (!near)
        near = text_nearest(name, names, n);
    problem_list_add(problems, SEVERITY_ERROR, STATUS_USAGE, NULL,
                     near ? "'%.*s' is no column of a specimen; did you mean '%s'?" : "'%.*s' is no column of a specimen; docs/files.md lists them",
                     (int)utf8_cut(name, 60), name, near);
}

static bool set_number(struct specimen *specimen, size_t rule, const char *value, struct problem_list *problems)
{
    struct problem problem = { 0 };
    double number;
    if (quantity_parse(value, specimen_rules[rule].units, specimen_rules[rule].name, &number, &problem) != STATUS_OK) {
        problem_list_take(problems, &problem);
        return false;
    }
    memcpy((char *)specimen + specimen_fields[rule].offset, &number, sizeof number);
    const char *unit = value + strspn(value, "+-0123456789.eE "); /* no unit begins with an e */
    if (specimen_rules[rule].units && *unit)
        specimen_note_unit(specimen, specimen_rules[rule].units, unit_find(specimen_rules[rule].units, unit));
    return true;
}

bool recording_set_column(struct specimen *specimen, const char *name, const char *value, struct problem_list *problems)
{
    size_t rule = 0;
    while (rule < n_specimen_rules && !heading_same(specimen_rules[rule].name, name))
        rule++;
    if (rule == n_specimen_rules || specimen_fields[rule].kind == FIELD_IGNORED) {
        unknown_column(name, problems);
        return false;
    }
    if (specimen_fields[rule].kind == FIELD_NUMBER)
        return set_number(specimen, rule, value, problems);
    struct cell cell = { .text = value, .length = strlen(value) };
    struct row row = { .n_cells = 1, .cells = &cell };
    struct column_binding binding = { .index = 0 };
    strncpy(binding.heading, specimen_rules[rule].name, sizeof binding.heading - 1);
    return specimen_take_field(specimen, rule, &row, &binding, &(struct dialect){ ',', '.' }, problems);
}

/* ---- adding ---- */

static bool is_break(char c)
{
    return c == '\n' || c == '\r';
}

/* A copy on one line, line breaks as one blank, without outer blanks. NULL when memory is out. */
static const char *keep_line(struct recording *recording, const char *typed)
{
    typed += strspn(typed, " \t\r\n");
    size_t length = 0, typed_length = strlen(typed);
    while (typed_length > 0 && strchr(" \t\r\n", typed[typed_length - 1]))
        typed_length--;
    char *line = memory_text(typed, typed_length);
    if (!line)
        return NULL;
    for (size_t i = 0; i < typed_length; i++)
        if (!is_break(typed[i]))
            line[length++] = typed[i];
        else if (!is_break(typed[i + 1]))
            line[length++] = ' ';
    line[length] = '\0';
    const char *kept = set_keep_text(recording->texts, line);
    memory_free(line);
    return kept;
}

static bool keep_texts(struct recording *recording, struct specimen *specimen)
{
    for (size_t i = 0; i < n_specimen_rules; i++) {
        const char *text;
        if (specimen_fields[i].kind != FIELD_TEXT)
            continue;
        memcpy(&text, (const char *)specimen + specimen_fields[i].offset, sizeof text);
        text = keep_line(recording, text);
        if (!text)
            return false;
        memcpy((char *)specimen + specimen_fields[i].offset, &text, sizeof text);
    }
    if (specimen->path)
        specimen->path = recording->from;
    return true;
}

static bool measures_something(const struct specimen *specimen)
{
    double number;
    for (size_t i = 0; i < n_specimen_rules; i++) {
        if (!specimen_fields[i].measured || specimen_fields[i].kind != FIELD_NUMBER)
            continue;
        memcpy(&number, (const char *)specimen + specimen_fields[i].offset, sizeof number);
        if (!isnan(number))
            return true;
    }
    return specimen->result != RESULT_NONE;
}

/* What a file to analyse may leave out and a journal may not. */
static void check_complete(const struct specimen *specimen, struct problem_list *problems)
{
    struct place place = { specimen->path, specimen->line, specimen->path ? "specimen" : NULL };
    if (specimen->id[0] == '\0')
        problem_list_add(problems, SEVERITY_ERROR, STATUS_INPUT, &place,
                         specimen->path ? "is empty: in a journal each specimen has a name"
                                        : "in a journal each specimen has a name: add specimen=NAME");
    place.column = NULL;
    if (!measures_something(specimen))
        problem_list_add(problems, SEVERITY_ERROR, STATUS_INPUT, &place,
                         "nothing was measured: a row has at least one mass, size, load or result");
}

static char *make_row(const struct specimen *specimen, bool us)
{
    struct text text = { 0 };
    recording_row_add(&text, specimen, us);
    char *row = text.failed ? NULL : memory_text(text.bytes, text.length);
    text_release(&text);
    return row;
}

enum status recording_add(struct recording *recording, const struct specimen *specimen, struct problem_list *problems)
{
    size_t n_errors_before = problems->n_errors;
    struct recorded entry = { .specimen = *specimen };
    if (!recording->texts && !(recording->texts = memory_new(1, sizeof *recording->texts)))
        return memory_out(problems);
    void *items = recording->items;
    bool good = keep_texts(recording, &entry.specimen)
        && memory_reserve(&items, &recording->capacity, recording->n_items + 1, sizeof *recording->items);
    recording->items = items;
    if (!good || !(entry.row = make_row(&entry.specimen, recording->us)))
        return memory_out(problems);
    check_complete(&entry.specimen, problems);
    (void)specimen_derive(&entry.specimen, problems); /* its errors are counted below */
    if (problems->n_errors > n_errors_before) {
        memory_free(entry.row);
        return STATUS_INPUT;
    }
    recording->items[recording->n_items++] = entry;
    return STATUS_OK;
}

/* What reading a file needs besides the recording. */
struct addition {
    struct recording *recording;
    struct problem_list *problems;
};

static enum status add_row(struct specimen *specimen, void *context)
{
    struct addition *addition = context;
    enum status status = recording_add(addition->recording, specimen, addition->problems);
    return status == STATUS_INPUT ? STATUS_OK : status; /* told already; the other rows may have problems too */
}

enum status recording_add_file(struct recording *recording, const char *path, const struct column_map *maps, size_t n_maps,
                               struct problem_list *problems)
{
    struct addition addition = { recording, problems };
    struct specimen_rows rows = { .maps = maps, .n_maps = n_maps, .take = add_row, .context = &addition, .problems = problems };
    recording->from = memory_text(path, strlen(path));
    return recording->from ? specimen_rows_read(&rows, path) : memory_out(problems);
}

void recording_release(struct recording *recording)
{
    for (size_t i = 0; i < recording->n_items; i++)
        memory_free(recording->items[i].row);
    memory_free(recording->items);
    memory_free(recording->from);
    set_store_release(recording->texts);
    *recording = (struct recording){ 0 };
}
