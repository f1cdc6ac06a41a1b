#ifndef TESTS_UNIT_INGEST_JOURNAL_FILES_H
#define TESTS_UNIT_INGEST_JOURNAL_FILES_H

#include "base/file.h"
#include "ingest/journal.h"
#include "support/check.h"

#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

/* A journal in a folder of its own, and what its file holds. */
struct shelf {
    char folder[64], path[96], torn[112];
    char content[65536], torn_content[65536];
    size_t size;
};

static inline void shelf_open(struct shelf *shelf)
{
    snprintf(shelf->folder, sizeof shelf->folder, "/tmp/journal-test-XXXXXX");
    if (!mkdtemp(shelf->folder))
        abort();
    snprintf(shelf->path, sizeof shelf->path, "%s/journal.csv", shelf->folder);
    snprintf(shelf->torn, sizeof shelf->torn, "%s.torn", shelf->path);
}

static inline void shelf_close(struct shelf *shelf)
{
    unlink(shelf->path);
    unlink(shelf->torn);
    CU_ASSERT_EQUAL(rmdir(shelf->folder), 0); /* nothing else was left behind */
}

static inline size_t shelf_load(const char *path, char *content, size_t capacity)
{
    FILE *file = fopen(path, "rb");
    size_t size = file ? fread(content, 1, capacity - 1, file) : 0;
    content[size] = '\0';
    if (file)
        fclose(file);
    return size;
}

static inline void shelf_read(struct shelf *shelf)
{
    shelf->size = shelf_load(shelf->path, shelf->content, sizeof shelf->content);
    shelf_load(shelf->torn, shelf->torn_content, sizeof shelf->torn_content);
}

static inline void shelf_write(const char *path, const char *bytes, size_t size)
{
    FILE *file = fopen(path, "wb");
    if (!file || fwrite(bytes, 1, size, file) != size || fclose(file) != 0)
        abort();
}

static inline bool exists(const char *path)
{
    struct stat entry;
    return lstat(path, &entry) == 0;
}

/* Times that needle stands in text. */
static inline size_t times(const char *text, const char *needle)
{
    size_t n = 0;
    for (; (text = strstr(text, needle)); text += strlen(needle))
        n++;
    return n;
}

#define TEST_HEADING "specimen,shape,length_mm,mass_g"

static inline struct journal_request request_of(const char *path, const char *const *rows, size_t n_rows)
{
    return (struct journal_request){ .path = path, .heading = TEST_HEADING, .rows = rows, .n_rows = n_rows };
}

static inline enum status append_rows(struct shelf *shelf, const char *const *rows, size_t n_rows,
                                      struct journal_result *result, struct problem *problem)
{
    struct journal_request request = request_of(shelf->path, rows, n_rows);
    return journal_append(&request, result, problem);
}

static inline enum status append_one(struct shelf *shelf, const char *row, struct journal_result *result,
                                     struct problem *problem)
{
    return append_rows(shelf, &row, 1, result, problem);
}

#endif
