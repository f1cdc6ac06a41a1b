#include "base/file.h"

#include "base/memory.h"
#include "base/text.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* The injection seam of write, fsync and rename. */
static atomic_ulong call_count;
static atomic_ulong fail_from;
static atomic_bool fail_always;
static atomic_int fail_error;

void file_fail_at(unsigned long n, bool sticky, int error_number)
{
    atomic_store(&call_count, 0);
    atomic_store(&fail_always, sticky);
    atomic_store(&fail_error, error_number);
    atomic_store(&fail_from, n);
}

unsigned long file_calls(void)
{
    return atomic_load(&call_count);
}

/* Sets errno when this call is to fail. */
static bool injected_failure(void)
{
    unsigned long now = atomic_fetch_add(&call_count, 1) + 1, from = atomic_load(&fail_from);
    if (from == 0 || now < from || (now > from && !atomic_load(&fail_always)))
        return false;
    errno = atomic_load(&fail_error);
    return true;
}

bool file_write_all(int descriptor, const char *bytes, size_t length)
{
    while (length > 0) {
        ssize_t written = injected_failure() ? -1 : write(descriptor, bytes, length);
        if (written < 0 && errno == EINTR)
            continue;
        if (written < 0)
            return false;
        if (written == 0) {
            errno = EIO;
            return false;
        }
        bytes += written;
        length -= (size_t)written;
    }
    return true;
}

bool file_sync(int descriptor)
{
    int result;
    do
        result = injected_failure() ? -1 : fsync(descriptor);
    while (result != 0 && errno == EINTR);
    return result == 0;
}

bool file_cut(int descriptor, size_t length)
{
    int result;
    do
        result = ftruncate(descriptor, (off_t)length);
    while (result != 0 && errno == EINTR);
    return result == 0;
}

static bool rename_seam(const char *from, const char *to)
{
    return !injected_failure() && rename(from, to) == 0;
}

static enum status io_problem(struct problem *problem, const char *path, const char *doing)
{
    int reason = errno;
    struct place place = { .path = path };
    return problem_set(problem, STATUS_IO, &place, "cannot %s: %s", doing, strerror(reason));
}

static enum status memory_problem(struct problem *problem, const char *path)
{
    struct place place = { .path = path };
    return problem_set(problem, STATUS_MEMORY, &place, "no memory left to write the file");
}

/* Folder part of path with its closing '/', or "./". */
static void add_folder(struct text *text, const char *path)
{
    const char *slash = strrchr(path, '/');
    if (slash)
        text_add_bytes(text, path, (size_t)(slash - path) + 1);
    else
        text_add(text, "./");
}

enum status file_sync_folder(const char *path, struct problem *problem)
{
    struct text folder = { 0 };
    add_folder(&folder, path);
    if (folder.failed) {
        text_release(&folder);
        return memory_problem(problem, path);
    }
    int descriptor = open(folder.bytes, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    text_release(&folder);
    if (descriptor < 0)
        return errno == EACCES ? STATUS_OK : io_problem(problem, path, "open its folder");
    bool good = file_sync(descriptor) || errno == EINVAL; /* some file systems cannot sync folders */
    enum status status = good ? STATUS_OK : io_problem(problem, path, "put its folder on disk");
    close(descriptor);
    return status;
}

/* Writes, syncs and closes; the descriptor is closed in every case. */
static enum status write_and_close(int descriptor, const char *path, const char *bytes, size_t length, struct problem *problem)
{
    enum status status = STATUS_OK;
    if (!file_write_all(descriptor, bytes, length))
        status = io_problem(problem, path, "write");
    else if (!file_sync(descriptor) && errno != EINVAL) /* pipes and terminals cannot be synced */
        status = io_problem(problem, path, "put on disk");
    if (close(descriptor) != 0 && status == STATUS_OK)
        status = io_problem(problem, path, "close");
    return status;
}

/* Devices and pipes have no old content to keep, and must not be renamed over. */
static enum status write_in_place(const char *path, const char *bytes, size_t length, struct problem *problem)
{
    int descriptor = open(path, O_WRONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
    if (descriptor < 0)
        return io_problem(problem, path, "open for writing");
    int flags = fcntl(descriptor, F_GETFL);
    if (flags < 0 || fcntl(descriptor, F_SETFL, flags & ~O_NONBLOCK) != 0) {
        enum status status = io_problem(problem, path, "open for writing");
        close(descriptor);
        return status;
    }
    return write_and_close(descriptor, path, bytes, length, problem);
}

/* A new file beside path, with a name nobody has; -1 with errno when it cannot be. */
static int open_temporary(const char *path, struct text *name)
{
    for (unsigned attempt = 0; attempt < 100; attempt++) {
        text_clear(name);
        add_folder(name, path);
        text_addf(name, ".new-%ld-%u", (long)getpid(), attempt);
        if (name->failed) {
            errno = ENOMEM;
            return -1;
        }
        int descriptor = open(name->bytes, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0666);
        if (descriptor >= 0 || errno != EEXIST)
            return descriptor;
    }
    return -1;
}

static enum status replace_regular(const char *path, const struct stat *old, const char *bytes, size_t length, struct problem *problem)
{
    struct text temporary = { 0 };
    int descriptor = open_temporary(path, &temporary);
    if (descriptor < 0) {
        enum status status = errno == ENOMEM ? memory_problem(problem, path) : io_problem(problem, path, "write");
        text_release(&temporary);
        return status;
    }
    enum status status = STATUS_OK;
    if (old && fchmod(descriptor, old->st_mode & 07777) != 0)
        status = io_problem(problem, path, "keep the permissions");
    if (status != STATUS_OK)
        close(descriptor);
    else
        status = write_and_close(descriptor, path, bytes, length, problem);
    if (status == STATUS_OK && !rename_seam(temporary.bytes, path))
        status = io_problem(problem, path, "replace the old file");
    if (status != STATUS_OK)
        unlink(temporary.bytes);
    else
        status = file_sync_folder(path, problem);
    text_release(&temporary);
    return status;
}

enum status file_replace(const char *path, const char *bytes, size_t length, struct problem *problem)
{
    struct stat old;
    char target[PATH_MAX];
    struct stat link;
    if (memory_ran_out())
        return memory_problem(problem, path);
    /* Through a symbolic link the file behind it is replaced, not the link. */
    if (lstat(path, &link) == 0 && S_ISLNK(link.st_mode) && stat(path, &old) == 0 && S_ISREG(old.st_mode)) {
        if (!realpath(path, target))
            return io_problem(problem, path, "follow the link");
        path = target;
    }
    if (stat(path, &old) != 0)
        return replace_regular(path, NULL, bytes, length, problem);
    if (S_ISREG(old.st_mode))
        return replace_regular(path, &old, bytes, length, problem);
    if (S_ISDIR(old.st_mode)) {
        errno = EISDIR;
        return io_problem(problem, path, "write");
    }
    return write_in_place(path, bytes, length, problem);
}

static bool is_folder(const char *path)
{
    struct stat entry;
    return stat(path, &entry) == 0 && S_ISDIR(entry.st_mode);
}

enum status file_make_folder(const char *path, struct problem *problem)
{
    char *part = memory_text(path, strlen(path));
    if (!part)
        return memory_problem(problem, path);
    enum status status = STATUS_OK;
    for (char *at = part + (part[0] == '/'); status == STATUS_OK; at++) {
        char stood = *at;
        if (stood != '/' && stood != '\0')
            continue;
        *at = '\0';
        if (part[0] && mkdir(part, 0777) != 0 && !(errno == EEXIST && is_folder(part)))
            status = io_problem(problem, path, "make the folder");
        *at = stood;
        if (stood == '\0')
            break;
    }
    memory_free(part);
    return status;
}

bool file_same(const char *a, const char *b)
{
    struct stat entry_a, entry_b;
    return stat(a, &entry_a) == 0 && stat(b, &entry_b) == 0
        && entry_a.st_dev == entry_b.st_dev && entry_a.st_ino == entry_b.st_ino;
}
