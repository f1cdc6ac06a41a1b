#include "ingest/lines.h"

#include "base/memory.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define CHUNK 262144u /* 256 KiB a read */
#define BUFFER_SIZE (ROW_LONGEST + CHUNK)

static enum status open_problem(struct problem_list *problems, const char *path, enum status status, const char *reason)
{
    struct place place = { .path = path };
    problem_list_add(problems, SEVERITY_ERROR, status, &place, "cannot be read: %s", reason);
    return status;
}

/* Without O_NONBLOCK the opening of a pipe that nobody writes to would hang. */
static enum status open_file(struct line_source *source, struct problem_list *problems)
{
    struct stat entry;
    source->descriptor = open(source->path, O_RDONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
    if (source->descriptor < 0)
        return open_problem(problems, source->path, STATUS_INPUT, strerror(errno));
    if (fstat(source->descriptor, &entry) != 0)
        return open_problem(problems, source->path, STATUS_IO, strerror(errno));
    if (S_ISDIR(entry.st_mode))
        return open_problem(problems, source->path, STATUS_INPUT, "it is a folder: name the files in it");
    if (!S_ISREG(entry.st_mode) && !S_ISFIFO(entry.st_mode))
        return open_problem(problems, source->path, STATUS_INPUT, "it is a device, not a file");
    int flags = fcntl(source->descriptor, F_GETFL);
    if (flags < 0 || fcntl(source->descriptor, F_SETFL, flags & ~O_NONBLOCK) != 0)
        return open_problem(problems, source->path, STATUS_IO, strerror(errno));
    return STATUS_OK;
}

enum status lines_open(struct line_source *source, const char *path, struct problem_list *problems)
{
    *source = (struct line_source){ .path = path, .descriptor = -1, .fingerprint = source->fingerprint };
    source->buffer = memory_resize(NULL, BUFFER_SIZE + 1, 1);
    if (!source->buffer)
        return open_problem(problems, path, STATUS_MEMORY, "no memory left");
    if (strcmp(path, "-") == 0) {
        source->descriptor = STDIN_FILENO;
        return STATUS_OK;
    }
    return open_file(source, problems);
}

static void add_fingerprint(uint64_t *fingerprint, const char *bytes, size_t length)
{
    uint64_t hash = *fingerprint;
    for (size_t i = 0; i < length; i++)
        hash = (hash ^ (unsigned char)bytes[i]) * UINT64_C(1099511628211);
    *fingerprint = hash;
}

/* Until the room is full, so that a look ahead does not depend on how a pipe was fed. */
ssize_t lines_read(struct line_source *source, char *to, size_t room)
{
    size_t length = 0;
    while (length < room) {
        ssize_t n = read(source->descriptor, to + length, room - length);
        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0)
            return -1;
        if (n == 0)
            break;
        length += (size_t)n;
    }
    if (source->fingerprint)
        add_fingerprint(source->fingerprint, to, length);
    return (ssize_t)length;
}

size_t lines_rows_expected(const struct line_source *source, size_t n_rows)
{
    struct stat entry;
    const off_t ahead = (off_t)(source->end - source->at), handed_out = lseek(source->descriptor, 0, SEEK_CUR) - ahead;
    if (handed_out <= 0 || fstat(source->descriptor, &entry) != 0 || !S_ISREG(entry.st_mode) || entry.st_size <= handed_out)
        return 0;
    return (size_t)((double)(entry.st_size - handed_out) / (double)handed_out * (double)n_rows);
}

void lines_read_problem(const struct line_source *source, int error, struct problem_list *problems)
{
    open_problem(problems, source->path, error == EISDIR ? STATUS_INPUT : STATUS_IO, strerror(error));
}

static bool fill(struct line_source *source, struct problem_list *problems)
{
    if (source->kept > 0) {
        memmove(source->buffer, source->buffer + source->kept, source->end - source->kept);
        source->at -= source->kept;
        source->end -= source->kept;
        source->kept = 0;
    }
    size_t room = BUFFER_SIZE - source->end;
    char *to = source->buffer + source->end;
    ssize_t n;
    if (source->supply.more) {
        n = source->supply.more(source->supply.context, to, room, problems);
        source->ended = n == 0;
    } else {
        size_t wanted = room < CHUNK ? room : CHUNK;
        n = lines_read(source, to, wanted);
        if (n < 0)
            lines_read_problem(source, errno, problems);
        source->ended = n >= 0 && (size_t)n < wanted;
    }
    source->end += n > 0 ? (size_t)n : 0;
    return n >= 0;
}

static void give_line(struct line_source *source, struct line *line, size_t length)
{
    line->bytes = source->buffer + source->at;
    line->length = line->content = length;
    if (line->content > 0 && line->bytes[line->content - 1] == '\n')
        line->content--;
    while (line->content > 0 && line->bytes[line->content - 1] == '\r')
        line->content--;
    source->at += length;
    source->line++;
}

enum line_result lines_next(struct line_source *source, struct line *line, struct problem_list *problems)
{
    size_t searched = 0;
    for (;;) {
        char *start = source->buffer + source->at;
        size_t length = source->end - source->at;
        char *newline = memchr(start + searched, '\n', length - searched);
        if (newline && (size_t)(newline + 1 - source->buffer) - source->kept > ROW_LONGEST)
            return LINE_TOO_LONG;
        if (newline) {
            give_line(source, line, (size_t)(newline - start) + 1);
            return LINE_GIVEN;
        }
        if (source->end - source->kept > ROW_LONGEST)
            return LINE_TOO_LONG;
        searched = length;
        if (source->ended && length == 0)
            return LINE_NONE;
        if (source->ended) {
            give_line(source, line, length);
            return LINE_GIVEN;
        }
        if (!fill(source, problems))
            return LINE_FAILED;
    }
}

const char *lines_ahead(const struct line_source *source, size_t *length)
{
    *length = source->end - source->at;
    return source->buffer + source->at;
}

const char *lines_buffered(const struct line_source *source, size_t *length)
{
    *length = source->end - source->kept;
    return source->buffer + source->kept;
}

const char *lines_row(const struct line_source *source, size_t *length)
{
    *length = source->at - source->kept;
    return source->buffer + source->kept;
}

void lines_skip(struct line_source *source, struct line *line, size_t n)
{
    line->bytes += n;
    line->length -= n;
    line->content -= n;
    source->kept += n;
}

void lines_start_row(struct line_source *source)
{
    source->kept = source->at;
}

void lines_release(struct line_source *source)
{
    if (source->descriptor > STDIN_FILENO)
        close(source->descriptor);
    memory_free(source->buffer);
    source->buffer = NULL;
    source->descriptor = -1;
}
