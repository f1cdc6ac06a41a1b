#include "commands/study_file.h"

#include "base/memory.h"
#include "cli/lookup.h"

#include <errno.h>
#include <fcntl.h>
#include <ini.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum {
    STUDY_BYTES = 1 << 20, /* more is no study file */
    STUDY_LINE = 198       /* what inih takes in one piece, without the line end */
};

struct study_reader {
    const char *path;
    const char *at;              /* rest of the bytes */
    size_t line;                 /* physical line that inih is at */
    struct study_options *options;
    struct text_list *owned;
    struct text_list seen;       /* names already given */
    struct problem_list *problems;
};

static struct place place_of(const struct study_reader *reader)
{
    return (struct place){.path = reader->path, .line = reader->line};
}

void owned_texts_release(struct text_list *owned)
{
    for (size_t i = 0; i < owned->n_items; i++)
        memory_free((void *)owned->items[i]);
    text_list_release(owned);
}

/* Takes over bytes; NULL when memory is out. */
static const char *keep(struct text_list *owned, char *bytes)
{
    if (bytes && text_list_add(owned, bytes))
        return bytes;
    memory_free(bytes);
    return NULL;
}

static bool names_path(const char *name)
{
    static const char *const names[] = {"specimens", "mixes", "materials", "weighings", "fresh", "set-aside", "output"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        if (strcmp(names[i], name) == 0)
            return true;
    return false;
}

/* The value as it will be used: a path is seen from the study file's folder. */
static const char *kept_value(struct study_reader *reader, const char *name, const char *value)
{
    const char *slash = strrchr(reader->path, '/');
    bool own_folder = names_path(name) && slash && value[0] != '/' && value[0] != '\0';
    struct text text = {0};
    if (own_folder)
        text_add_bytes(&text, reader->path, (size_t)(slash - reader->path) + 1);
    text_add(&text, value);
    char *copy = text.failed ? NULL : memory_text(text.bytes ? text.bytes : "", text.length);
    text_release(&text);
    return keep(reader->owned, copy);
}

/* False after adding a problem when name stands in the file already and is not repeatable. */
static bool first_time(struct study_reader *reader, const struct option_row *row)
{
    struct place place = place_of(reader);
    if (row->kind == OPTION_TEXT_LIST)
        return true;
    for (size_t i = 0; i < reader->seen.n_items; i++) {
        if (strcmp(reader->seen.items[i], row->name) == 0) {
            problem_list_add(reader->problems, SEVERITY_ERROR, STATUS_USAGE, &place, "'%s' is given twice", row->name);
            return false;
        }
    }
    if (text_list_add(&reader->seen, row->name))
        return true;
    problem_list_add(reader->problems, SEVERITY_ERROR, STATUS_MEMORY, &place, "no memory left");
    return false;
}

/* inih's handler: always 1, because problems are collected, not signalled. */
static int take_setting(void *user, const char *section, const char *name, const char *value)
{
    struct study_reader *reader = user;
    struct place place = place_of(reader);
    if (section[0]) {
        problem_list_add(reader->problems, SEVERITY_ERROR, STATUS_USAGE, &place,
                         "a study file has no sections; take out '[%s]'", section);
        return 1;
    }
    const struct option_row *row = option_find(study_groups, name);
    if (row && (strcmp(name, "study") == 0 || strcmp(name, "help") == 0)) {
        problem_list_add(reader->problems, SEVERITY_ERROR, STATUS_USAGE, &place, "'%s' does not belong in a study file", name);
        return 1;
    }
    if (row && !first_time(reader, row))
        return 1;
    const char *kept = kept_value(reader, name, value);
    struct problem problem = {0};
    enum status status = kept ? option_set(study_groups, name, kept, reader->options, &problem) : STATUS_MEMORY;
    if (status != STATUS_OK)
        problem_list_add(reader->problems, SEVERITY_ERROR, status, &place, "%s", kept ? problem.text : "no memory left");
    return 1;
}

/* inih's fgets: one line at a time, counted, without its leading blanks (inih would take them for a continuation). */
static char *next_line(char *out, int size, void *stream)
{
    struct study_reader *reader = stream;
    if (*reader->at == '\0')
        return NULL;
    reader->line++;
    const char *start = reader->at + strspn(reader->at, " \t");
    size_t length = strcspn(start, "\n");
    reader->at = start + length + (start[length] == '\n');
    if (length > STUDY_LINE || length + 2 > (size_t)size) {
        struct place place = place_of(reader);
        problem_list_add(reader->problems, SEVERITY_ERROR, STATUS_USAGE, &place,
                         "the line is longer than %d bytes", (int)STUDY_LINE);
        length = 0;
    }
    memcpy(out, start, length);
    memcpy(out + length, "\n", 2);
    return out;
}

static enum status cannot_read(const char *path, enum status status, const char *why, struct problem_list *problems)
{
    problem_list_add(problems, SEVERITY_ERROR, status, &(struct place){.path = path}, "cannot be read: %s", why);
    return status;
}

/* Reads up to STUDY_BYTES of an open file into text. */
static const char *read_all(int descriptor, struct text *text)
{
    char block[4096];
    for (;;) {
        ssize_t got = read(descriptor, block, sizeof block);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            return strerror(errno);
        if (got == 0)
            return NULL;
        text_add_bytes(text, block, (size_t)got);
        if (text->failed)
            return "no memory left";
        if (text->length > STUDY_BYTES)
            return "it is too long for a study file";
        if (memchr(block, '\0', (size_t)got))
            return "it is not a text file";
    }
}

static enum status load(const char *path, struct text *text, struct problem_list *problems)
{
    struct stat facts;
    int descriptor = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    if (descriptor < 0)
        return cannot_read(path, STATUS_INPUT, strerror(errno), problems);
    const char *why = NULL;
    if (fstat(descriptor, &facts) != 0)
        why = strerror(errno);
    else if (!S_ISREG(facts.st_mode))
        why = S_ISDIR(facts.st_mode) ? "it is a folder" : "it is not a regular file";
    else
        why = read_all(descriptor, text);
    close(descriptor);
    return why ? cannot_read(path, text->failed ? STATUS_MEMORY : STATUS_INPUT, why, problems) : STATUS_OK;
}

enum status study_file_read(const char *path, struct study_options *options,
                            struct text_list *owned, struct problem_list *problems)
{
    struct text text = {0};
    size_t errors_before = problems->n_errors;
    enum status status = load(path, &text, problems);
    if (status == STATUS_OK) {
        struct study_reader reader = {.path = path, .at = text.bytes ? text.bytes : "", .options = options,
                                      .owned = owned, .problems = problems};
        int line = ini_parse_stream(next_line, &reader, take_setting, &reader);
        if (line > 0)
            problem_list_add(problems, SEVERITY_ERROR, STATUS_USAGE, &(struct place){.path = path, .line = (size_t)line},
                             "this is no 'name = value'");
        else if (line < 0)
            problem_list_add(problems, SEVERITY_ERROR, STATUS_MEMORY, &(struct place){.path = path}, "no memory left");
        text_list_release(&reader.seen);
        status = problems->n_errors == errors_before ? STATUS_OK : problems->worst;
    }
    text_release(&text);
    return status;
}
