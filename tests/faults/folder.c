#define _GNU_SOURCE
#include "folder.h"

#include <fcntl.h>
#include <ftw.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { OPEN_FOLDERS = 32 };

static struct folder *reading; /* nftw hands nothing through */

void need(bool good, const char *what)
{
    if (good)
        return;
    perror(what);
    exit(99);
}

char *file_bytes(const char *path, size_t *length)
{
    struct stat facts;
    int descriptor = open(path, O_RDONLY | O_CLOEXEC);
    size_t size = descriptor >= 0 && fstat(descriptor, &facts) == 0 ? (size_t)facts.st_size : 0, got = 0;
    char *bytes = malloc(size + 1);
    need(bytes != NULL, "memory");
    for (ssize_t n = 1; got < size && n > 0; got += n > 0 ? (size_t)n : 0)
        n = read(descriptor, bytes + got, size - got);
    bytes[got] = '\0';
    if (descriptor >= 0)
        close(descriptor);
    *length = got;
    return bytes;
}

static int take(const char *path, const struct stat *facts, int kind, struct FTW *where)
{
    struct entry entry = {.mode = facts->st_mode};
    if (where->level == 0 || !(S_ISREG(facts->st_mode) || S_ISDIR(facts->st_mode) || S_ISLNK(facts->st_mode)))
        return 0;
    (void)kind;
    if (S_ISREG(facts->st_mode)) {
        entry.bytes = file_bytes(path, &entry.length);
    } else if (S_ISLNK(facts->st_mode)) {
        entry.length = (size_t)facts->st_size;
        entry.bytes = calloc(entry.length + 1, 1);
        need(entry.bytes && readlink(path, entry.bytes, entry.length) == (ssize_t)entry.length, path);
    }
    if (reading->n_items == reading->capacity) {
        reading->capacity = 2 * reading->capacity + 16;
        reading->items = realloc(reading->items, reading->capacity * sizeof *reading->items);
        need(reading->items != NULL, "memory");
    }
    entry.path = strdup(path);
    need(entry.path != NULL, "memory");
    reading->items[reading->n_items++] = entry;
    return 0;
}

static int by_path(const void *a, const void *b)
{
    return strcmp(((const struct entry *)a)->path, ((const struct entry *)b)->path);
}

void folder_read(struct folder *folder)
{
    *folder = (struct folder){0};
    reading = folder;
    need(nftw(".", take, OPEN_FOLDERS, FTW_PHYS) == 0, "read folder");
    if (folder->n_items)
        qsort(folder->items, folder->n_items, sizeof *folder->items, by_path);
}

static int drop(const char *path, const struct stat *facts, int kind, struct FTW *where)
{
    (void)kind;
    if (where->level == 0)
        return 0;
    return S_ISDIR(facts->st_mode) ? rmdir(path) : unlink(path);
}

static int open_up(const char *path, const struct stat *facts, int kind, struct FTW *where)
{
    (void)kind;
    (void)where;
    if (S_ISDIR(facts->st_mode))
        chmod(path, 0700);
    return 0;
}

/* Folders come before what is in them, because the paths are sorted; their modes last, because one may be read-only. */
void folder_restore(const struct folder *folder)
{
    nftw(".", open_up, OPEN_FOLDERS, FTW_PHYS);
    need(nftw(".", drop, OPEN_FOLDERS, FTW_PHYS | FTW_DEPTH) == 0, "empty folder");
    for (size_t i = 0; i < folder->n_items; i++) {
        const struct entry *entry = &folder->items[i];
        if (S_ISDIR(entry->mode)) {
            need(mkdir(entry->path, 0700) == 0, entry->path);
        } else if (S_ISLNK(entry->mode)) {
            need(symlink(entry->bytes, entry->path) == 0, entry->path);
        } else {
            int descriptor = open(entry->path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
            need(descriptor >= 0 && write(descriptor, entry->bytes, entry->length) == (ssize_t)entry->length, entry->path);
            need(fchmod(descriptor, entry->mode & 07777) == 0, entry->path);
            close(descriptor);
        }
    }
    for (size_t i = folder->n_items; i-- > 0;)
        if (S_ISDIR(folder->items[i].mode))
            chmod(folder->items[i].path, folder->items[i].mode & 07777);
}

const struct entry *folder_find(const struct folder *folder, const char *path)
{
    struct entry wanted = {.path = (char *)path};
    return folder->n_items ? bsearch(&wanted, folder->items, folder->n_items, sizeof wanted, by_path) : NULL;
}

bool entry_same(const struct entry *a, const struct entry *b)
{
    return a && b && a->mode == b->mode && a->length == b->length && (a->length == 0 || memcmp(a->bytes, b->bytes, a->length) == 0);
}

bool folder_same(const struct folder *a, const struct folder *b)
{
    bool same = a->n_items == b->n_items;
    for (size_t i = 0; same && i < a->n_items; i++)
        same = strcmp(a->items[i].path, b->items[i].path) == 0 && entry_same(&a->items[i], &b->items[i]);
    return same;
}

void folder_release(struct folder *folder)
{
    for (size_t i = 0; i < folder->n_items; i++) {
        free(folder->items[i].path);
        free(folder->items[i].bytes);
    }
    free(folder->items);
    *folder = (struct folder){0};
}
