#ifndef TESTS_UNIT_OUTPUT_FOLDER_H
#define TESTS_UNIT_OUTPUT_FOLDER_H

#include "output/load.h"
#include "support/check.h"

#include <dirent.h>
#include <stdlib.h>
#include <unistd.h>

/* A folder of its own for a test. */
struct folder { char path[64]; };

static inline struct folder folder_open(void)
{
    struct folder folder = { "/tmp/plumestone-test-XXXXXX" };
    CU_ASSERT_PTR_NOT_NULL_FATAL(mkdtemp(folder.path));
    return folder;
}

/* Calls visit for each name inside. */
static inline size_t folder_each(const char *path, void (*visit)(const char *path))
{
    size_t n = 0;
    DIR *directory = opendir(path);
    for (struct dirent *entry; directory && (entry = readdir(directory)) != NULL;) {
        char inside[512];
        if (strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0)
            continue;
        n++;
        snprintf(inside, sizeof inside, "%.240s/%.255s", path, entry->d_name);
        if (visit)
            visit(inside);
    }
    if (directory)
        closedir(directory);
    return n;
}

static inline size_t folder_count(const struct folder *folder)
{
    return folder_each(folder->path, NULL);
}

static inline void folder_remove(const char *path)
{
    if (unlink(path) != 0) {
        folder_each(path, folder_remove);
        rmdir(path);
    }
}

static inline void folder_close(const struct folder *folder)
{
    folder_remove(folder->path);
    CU_ASSERT(access(folder->path, F_OK) != 0);
}

static inline bool folder_has(const struct folder *folder, const char *name)
{
    char path[512];
    snprintf(path, sizeof path, "%s/%s", folder->path, name);
    return access(path, F_OK) == 0;
}

/* The bytes of a file inside; release with text_release(). */
static inline struct text folder_load(const struct folder *folder, const char *name)
{
    char path[512];
    struct text text = { 0 };
    struct problem problem = { 0 };
    snprintf(path, sizeof path, "%s/%s", folder->path, name);
    CU_ASSERT(load_file(path, &text, &problem) == STATUS_OK);
    if (!text.bytes)
        text_add(&text, "");
    return text;
}

#endif
