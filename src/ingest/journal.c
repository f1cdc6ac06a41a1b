#include "ingest/journal.h"

#include "base/file.h"
#include "base/memory.h"
#include "ingest/journal_rows.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

enum { LINE_LIMIT = 1 << 20, CHUNK = 1 << 16, OPEN_ATTEMPTS = 100 };

/* An append under way. */
struct append {
    const struct journal_request *request;
    struct journal_result *result;
    struct problem *problem;
    struct text heading;   /* with row_check */
    struct text addition;  /* what will be written, in one piece */
    struct text torn_path;
    struct journal_scan scan;
    int descriptor;        /* -1 when not open */
    bool opened_new, locked;
};

static enum status refuse(const struct append *append, size_t line, const char *text)
{
    struct place place = { .path = append->request->path, .line = line };
    return problem_set(append->problem, STATUS_INPUT, &place, "%s", text);
}

static enum status disk_failed(const struct append *append, const char *doing)
{
    int reason = errno;
    struct place place = { .path = append->request->path };
    return problem_set(append->problem, STATUS_IO, &place, "not recorded: cannot %s: %s; the journal is as it was",
                       doing, strerror(reason));
}

static enum status memory_lacks(const struct append *append)
{
    struct place place = { .path = append->request->path };
    return problem_set(append->problem, STATUS_MEMORY, &place, "not recorded: no memory left");
}

/* Names the row, for there is no line in a file to point at yet. */
static enum status row_problem(const struct append *append, size_t row, const char *what)
{
    struct place place = { .path = append->request->path };
    return problem_set(append->problem, STATUS_INPUT, &place, "row %zu of %zu cannot be recorded: it %s", row + 1,
                       append->request->n_rows, what);
}

static enum status check_row(const struct append *append, size_t i, size_t n_cells)
{
    const char *row = append->request->rows[i];
    size_t length = strlen(row), at;
    if (length >= LINE_LIMIT - 64)
        return row_problem(append, i, "is longer than 1 MiB");
    if (row[strspn(row, " \t")] == '\0' || row[0] == '#')
        return row_problem(append, i, "would be read as a blank or comment line: put its first cell in double quotes");
    if (!text_is_utf8(row, length, &at))
        return row_problem(append, i, "is not UTF-8 text");
    size_t n = journal_cell_count(row);
    if (n == 0)
        return row_problem(append, i, "holds a line break or a double quote without its partner");
    if (n != n_cells)
        return row_problem(append, i, "has not as many cells as the heading");
    return STATUS_OK;
}

static enum status check_request(const struct append *append)
{
    const struct journal_request *request = append->request;
    size_t n_cells = journal_cell_count(request->heading);
    if (n_cells == 0 || request->heading[0] == '\0' || request->heading[0] == '#')
        return refuse(append, 0, "the heading cannot be written as one line");
    if (request->n_rows == 0)
        return refuse(append, 0, "there is no row to record");
    enum status status = STATUS_OK;
    for (size_t i = 0; status == STATUS_OK && i < request->n_rows; i++)
        status = check_row(append, i, n_cells);
    return status;
}

/* Opens or creates, without following a link to nowhere. -1 with errno. */
static int open_or_create(const char *path, bool *created)
{
    int flags = O_RDWR | O_APPEND | O_CLOEXEC | O_NONBLOCK | O_NOCTTY;
    int descriptor = open(path, flags);
    *created = false;
    if (descriptor >= 0 || errno != ENOENT)
        return descriptor;
    descriptor = open(path, flags | O_CREAT | O_EXCL, 0666);
    *created = descriptor >= 0;
    return descriptor;
}

static bool lock(int descriptor)
{
    int result;
    do
        result = flock(descriptor, LOCK_EX);
    while (result != 0 && errno == EINTR);
    return result == 0;
}

/* Whether path still names the locked file: another program may have replaced it while we waited. */
static bool still_named(int descriptor, const char *path)
{
    struct stat opened, named;
    return fstat(descriptor, &opened) == 0 && stat(path, &named) == 0 && opened.st_dev == named.st_dev
        && opened.st_ino == named.st_ino;
}

static enum status open_locked(struct append *append)
{
    const char *path = append->request->path;
    for (unsigned attempt = 0; attempt < OPEN_ATTEMPTS; attempt++) {
        int descriptor = open_or_create(path, &append->opened_new);
        if (descriptor < 0 && errno == EEXIST)
            continue; /* created by another writer this instant, or a link to nowhere */
        if (descriptor < 0)
            return disk_failed(append, "open it");
        append->descriptor = descriptor;
        struct stat entry;
        if (fstat(descriptor, &entry) != 0)
            return disk_failed(append, "look at it");
        if (!S_ISREG(entry.st_mode))
            return refuse(append, 0, "is not a regular file: a journal is a file of its own");
        if (!lock(descriptor))
            return disk_failed(append, "lock it");
        append->locked = still_named(descriptor, path);
        if (append->locked)
            return STATUS_OK;
        close(descriptor);
        append->descriptor = -1;
    }
    return refuse(append, 0, "is a link to nowhere, or is replaced all the time: name the file itself");
}

/* Feeds whole lines, keeps the rest at the buffer's start. */
static size_t feed_lines(struct journal_scan *scan, char *buffer, size_t filled)
{
    size_t start = 0;
    const char *end;
    while ((end = memchr(buffer + start, '\n', filled - start))) {
        size_t length = (size_t)(end - buffer) - start;
        journal_scan_line(scan, buffer + start, length, true);
        start += length + 1;
    }
    memmove(buffer, buffer + start, filled - start);
    return filled - start;
}

/* Reads the whole journal once. size gets its length. */
static enum status scan_lines(struct append *append, char *buffer, size_t *size)
{
    struct journal_scan *scan = &append->scan;
    size_t filled = 0;
    *size = 0;
    for (;;) {
        ssize_t got = pread(append->descriptor, buffer + filled, CHUNK, (off_t)*size);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            return disk_failed(append, "read it");
        if (got == 0)
            break;
        *size += (size_t)got;
        filled = feed_lines(scan, buffer, filled + (size_t)got);
        if (scan->heading_differs)
            return STATUS_OK;
        if (filled > LINE_LIMIT)
            return refuse(append, scan->line + 1, "line longer than 1 MiB: this is no journal, or it is damaged");
    }
    if (filled > 0)
        journal_scan_line(scan, buffer, filled, false);
    return STATUS_OK;
}

static enum status scan_journal(struct append *append, size_t *size)
{
    append->scan.heading = append->heading.bytes;
    char *buffer = memory_new(LINE_LIMIT + CHUNK, 1);
    if (!buffer)
        return memory_lacks(append);
    enum status status = scan_lines(append, buffer, size);
    memory_free(buffer);
    return status;
}

/* What the journal holds must leave no doubt about where its records end. */
static enum status judge_scan(const struct append *append, size_t size)
{
    const struct journal_scan *scan = &append->scan;
    if (scan->heading_differs)
        return refuse(append, scan->line, "its heading is not the one to record under, which ends in "
                                          "'" JOURNAL_CHECK_COLUMN "': record to a new file");
    append->result->n_changed = scan->n_changed;
    append->result->first_changed_line = scan->first_changed_line;
    if (scan->good_end == size || scan->changed_line == 0)
        return STATUS_OK;
    if (scan->changed_kind == LINE_CHANGED)
        return refuse(append, scan->changed_line, "was changed after it was recorded: if the change is right, empty "
                                                  "its cell '" JOURNAL_CHECK_COLUMN "'");
    return refuse(append, scan->changed_line, "does not end in a cell '" JOURNAL_CHECK_COLUMN "': for a row typed "
                                              "by hand leave that cell empty");
}

/* Copies the bytes from start to size behind what PATH.torn holds, with a line that says where they stood. */
static bool copy_tail(const struct append *append, int torn, size_t start, size_t size)
{
    char note[128], buffer[4096];
    int length = snprintf(note, sizeof note, "# %zu bytes from byte %zu of the journal, an unfinished record:\n",
                          size - start, start);
    bool good = file_write_all(torn, note, (size_t)length);
    while (good && start < size) {
        size_t wanted = size - start < sizeof buffer ? size - start : sizeof buffer;
        ssize_t got = pread(append->descriptor, buffer, wanted, (off_t)start);
        if (got < 0 && errno == EINTR)
            continue;
        if (got == 0)
            errno = EIO;
        good = got > 0 && file_write_all(torn, buffer, (size_t)got);
        start += good ? (size_t)got : 0;
    }
    return good && file_write_all(torn, "\n", 1) && file_sync(torn);
}

static int open_torn(const char *path)
{
    int descriptor = open(path, O_WRONLY | O_APPEND | O_CREAT | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK | O_NOCTTY, 0666);
    struct stat entry;
    if (descriptor >= 0 && (fstat(descriptor, &entry) != 0 || !S_ISREG(entry.st_mode))) {
        close(descriptor);
        errno = EINVAL;
        return -1;
    }
    return descriptor;
}

/* Only when the copy is on the disk is the journal cut. */
static enum status move_tail(struct append *append, size_t size)
{
    size_t start = append->scan.good_end;
    int torn = open_torn(append->torn_path.bytes);
    if (torn < 0)
        return disk_failed(append, "set an unfinished record aside in its .torn file");
    bool copied = copy_tail(append, torn, start, size);
    int reason = errno;
    copied = close(torn) == 0 && copied;
    errno = reason;
    if (!copied)
        return disk_failed(append, "set an unfinished record aside in its .torn file");
    enum status status = file_sync_folder(append->torn_path.bytes, append->problem);
    if (status != STATUS_OK)
        return status;
    if (!file_cut(append->descriptor, start) || !file_sync(append->descriptor))
        return disk_failed(append, "cut off an unfinished record");
    append->result->torn_bytes = size - start;
    return STATUS_OK;
}

static enum status build_addition(struct append *append)
{
    const struct journal_request *request = append->request;
    struct text *addition = &append->addition;
    if (append->scan.line_end_missing)
        text_add(addition, "\n");
    if (!append->scan.heading_seen)
        text_addf(addition, "%s\n", append->heading.bytes);
    for (size_t i = 0; i < request->n_rows; i++)
        journal_row_add(addition, request->rows[i], (struct journal_seal){ i + 1, request->n_rows });
    return addition->failed ? memory_lacks(append) : STATUS_OK;
}

/* Takes back what was written. A rollback that fails leaves rows that may or may not last. */
static enum status roll_back(struct append *append, const char *doing)
{
    int reason = errno;
    bool undone = file_cut(append->descriptor, append->scan.good_end) && file_sync(append->descriptor);
    errno = reason;
    if (undone)
        return disk_failed(append, doing);
    append->result->outcome = JOURNAL_UNSURE;
    struct place place = { .path = append->request->path };
    return problem_set(append->problem, STATUS_IO, &place,
                       "perhaps recorded: cannot %s: %s, nor take the rows back; look at the last rows before "
                       "recording again", doing, strerror(reason));
}

static enum status write_addition(struct append *append)
{
    if (!file_write_all(append->descriptor, append->addition.bytes, append->addition.length))
        return roll_back(append, "write");
    if (!file_sync(append->descriptor))
        return roll_back(append, "put the rows on disk");
    enum status folder = file_sync_folder(append->request->path, NULL);
    if (folder == STATUS_MEMORY)
        errno = ENOMEM;
    if (folder != STATUS_OK)
        return roll_back(append, "put its folder on disk");
    append->result->outcome = JOURNAL_RECORDED;
    return STATUS_OK;
}

/* All that happens under the lock. */
static enum status append_locked(struct append *append)
{
    const struct journal_request *request = append->request;
    size_t size = 0;
    enum status status = scan_journal(append, &size);
    append->result->created = size == 0;
    if (status == STATUS_OK)
        status = judge_scan(append, size);
    if (status == STATUS_OK)
        status = build_addition(append);
    if (status == STATUS_OK && append->scan.good_end < size)
        status = move_tail(append, size);
    if (status == STATUS_OK && append->scan.heading_seen && request->allow)
        status = request->allow(request->path, request->context, append->problem);
    if (status == STATUS_OK)
        status = write_addition(append);
    return status;
}

/* A file that this call made and left empty goes again. Only under the lock: another writer may be filling it. */
static void remove_empty(const struct append *append)
{
    struct stat entry;
    if (append->opened_new && append->locked && fstat(append->descriptor, &entry) == 0 && entry.st_size == 0
        && still_named(append->descriptor, append->request->path))
        unlink(append->request->path);
}

static enum status close_journal(struct append *append, enum status status)
{
    bool recorded = append->result->outcome == JOURNAL_RECORDED;
    if (append->descriptor < 0)
        return status;
    if (append->result->outcome == JOURNAL_NOT_RECORDED)
        remove_empty(append);
    if (close(append->descriptor) == 0 || !recorded)
        return status;
    append->result->outcome = JOURNAL_UNSURE;
    struct place place = { .path = append->request->path };
    return problem_set(append->problem, STATUS_IO, &place,
                       "perhaps recorded: cannot close it: %s; look at the last rows before recording again",
                       strerror(errno));
}

enum status journal_append(const struct journal_request *request, struct journal_result *result,
                           struct problem *problem)
{
    struct append append = { .request = request, .result = result, .problem = problem, .descriptor = -1 };
    *result = (struct journal_result){ .outcome = JOURNAL_NOT_RECORDED };
    enum status status = check_request(&append);
    text_addf(&append.heading, "%s,%s", request->heading, JOURNAL_CHECK_COLUMN);
    text_addf(&append.torn_path, "%s.torn", request->path);
    if (status == STATUS_OK && (append.heading.failed || append.torn_path.failed))
        status = memory_lacks(&append);
    if (status == STATUS_OK)
        status = open_locked(&append);
    if (status == STATUS_OK)
        status = append_locked(&append);
    status = close_journal(&append, status);
    text_release(&append.heading);
    text_release(&append.addition);
    text_release(&append.torn_path);
    return status;
}
