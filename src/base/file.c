#define _GNU_SOURCE /* sync_file_range */

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

/* Pipes and terminals cannot be synced. */
static enum status sync_and_close(int descriptor, const char *path, struct problem *problem)
{
    enum status status = file_sync(descriptor) || errno == EINVAL ? STATUS_OK : io_problem(problem, path, "put on disk");
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
    if (file_write_all(descriptor, bytes, length))
        return sync_and_close(descriptor, path, problem);
    enum status status = io_problem(problem, path, "write");
    close(descriptor);
    return status;
}

/* A new file beside path, with a name nobody has, number `first` of this process or a later one; -1 with errno when it cannot be. */
static int open_temporary(const char *path, size_t first, struct text *name)
{
    for (size_t attempt = first; attempt < first + 100; attempt++) {
        text_clear(name);
        add_folder(name, path);
        text_addf(name, ".new-%ld-%zu", (long)getpid(), attempt);
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

/* ---- replacing files, several at once ---- */

/* A file that is written beside the one whose place it takes. */
struct file_pending {
    char *path;
    struct text temporary;
    int descriptor;            /* -1: closed */
};

static void pending_drop(struct file_pending *pending)
{
    if (pending->descriptor >= 0)
        close(pending->descriptor);
    if (pending->temporary.bytes)
        unlink(pending->temporary.bytes);
    text_release(&pending->temporary);
    memory_free(pending->path);
}

/* The system may begin to put it on the disk; that it is there is known only after an fsync. */
static void begin_to_sync(int descriptor)
{
#ifdef SYNC_FILE_RANGE_WRITE
    (void)sync_file_range(descriptor, 0, 0, SYNC_FILE_RANGE_WRITE);
#else
    (void)descriptor;
#endif
}

static enum status write_beside(struct file_pending *pending, size_t number, const struct stat *old, const char *bytes, size_t length,
                                struct problem *problem)
{
    const char *path = pending->path;
    pending->descriptor = open_temporary(path, number, &pending->temporary);
    if (pending->descriptor < 0) {
        enum status status = errno == ENOMEM ? memory_problem(problem, path) : io_problem(problem, path, "write");
        text_release(&pending->temporary); /* no such file was made */
        return status;
    }
    if (old && fchmod(pending->descriptor, old->st_mode & 07777) != 0)
        return io_problem(problem, path, "keep the permissions");
    if (!file_write_all(pending->descriptor, bytes, length))
        return io_problem(problem, path, "write");
    begin_to_sync(pending->descriptor);
    return STATUS_OK;
}

static enum status add_regular(struct file_batch *batch, const char *path, const struct stat *old, const char *bytes, size_t length,
                               struct problem *problem)
{
    void *items = batch->items;
    struct file_pending pending = { .path = memory_text(path, strlen(path)), .descriptor = -1 };
    bool kept = pending.path && memory_reserve(&items, &batch->capacity, batch->n_items + 1, sizeof *batch->items);
    batch->items = items;
    enum status status = kept ? write_beside(&pending, batch->n_items, old, bytes, length, problem) : memory_problem(problem, path);
    if (status == STATUS_OK)
        batch->items[batch->n_items++] = pending;
    else
        pending_drop(&pending);
    return status;
}

enum status file_batch_add(struct file_batch *batch, const char *path, const char *bytes, size_t length, struct problem *problem)
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
        return add_regular(batch, path, NULL, bytes, length, problem);
    if (S_ISREG(old.st_mode))
        return add_regular(batch, path, &old, bytes, length, problem);
    if (S_ISDIR(old.st_mode)) {
        errno = EISDIR;
        return io_problem(problem, path, "write");
    }
    return write_in_place(path, bytes, length, problem);
}

static bool same_folder(const char *a, const char *b)
{
    const char *end_a = strrchr(a, '/'), *end_b = strrchr(b, '/');
    size_t length_a = end_a ? (size_t)(end_a - a) + 1 : 0, length_b = end_b ? (size_t)(end_b - b) + 1 : 0;
    return length_a == length_b && memcmp(a, b, length_a) == 0;
}

/* To its place; afterwards there is no temporary. */
static enum status pending_rename(struct file_pending *pending, struct problem *problem)
{
    if (!rename_seam(pending->temporary.bytes, pending->path))
        return io_problem(problem, pending->path, "replace the old file");
    text_release(&pending->temporary);
    return STATUS_OK;
}

enum status file_batch_finish(struct file_batch *batch, struct problem *problem)
{
    enum status status = STATUS_OK;
    for (size_t i = 0; status == STATUS_OK && i < batch->n_items; i++) {
        int descriptor = batch->items[i].descriptor;
        batch->items[i].descriptor = -1;
        status = sync_and_close(descriptor, batch->items[i].path, problem);
    }
    for (size_t i = 0; status == STATUS_OK && i < batch->n_items; i++) {
        status = pending_rename(&batch->items[i], problem);
        bool last = i + 1 == batch->n_items || !same_folder(batch->items[i].path, batch->items[i + 1].path);
        if (status == STATUS_OK && last)
            status = file_sync_folder(batch->items[i].path, problem);
    }
    file_batch_drop(batch);
    return status;
}

void file_batch_drop(struct file_batch *batch)
{
    for (size_t i = 0; i < batch->n_items; i++)
        pending_drop(&batch->items[i]);
    memory_free(batch->items);
    *batch = (struct file_batch){ 0 };
}

enum status file_replace(const char *path, const char *bytes, size_t length, struct problem *problem)
{
    struct file_batch batch = { 0 };
    enum status status = file_batch_add(&batch, path, bytes, length, problem);
    if (status == STATUS_OK)
        return file_batch_finish(&batch, problem);
    file_batch_drop(&batch);
    return status;
}

enum status file_write_passing(const char *path, const char *bytes, size_t length, struct problem *problem)
{
    int descriptor = open(path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC | O_NOFOLLOW, 0666);
    if (descriptor < 0)
        return io_problem(problem, path, "write");
    enum status status = file_write_all(descriptor, bytes, length) ? STATUS_OK : io_problem(problem, path, "write");
    if (close(descriptor) != 0 && status == STATUS_OK)
        status = io_problem(problem, path, "close");
    return status;
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
