#ifndef TESTS_SUPPORT_TEMPORARY_H
#define TESTS_SUPPORT_TEMPORARY_H

#include "base/problem.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* A folder of its own for one test program. */
static char temporary_folder[] = "/tmp/check-XXXXXX";

static inline const char *temporary_path(const char *name)
{
    static char paths[64][320];
    static unsigned turn;
    char *path = paths[turn++ % 64];
    snprintf(path, sizeof paths[0], "%s/%s", temporary_folder, name);
    return path;
}

/* Writes length bytes; returns the path. */
static inline const char *temporary_bytes(const char *name, const char *bytes, size_t length)
{
    const char *path = temporary_path(name);
    FILE *file = fopen(path, "wb");
    if (!file || fwrite(bytes, 1, length, file) != length || fclose(file) != 0)
        abort();
    return path;
}

static inline const char *temporary_text(const char *name, const char *text)
{
    return temporary_bytes(name, text, strlen(text));
}

static inline void temporary_read(const char *path, char *out, size_t size)
{
    FILE *file = fopen(path, "rb");
    size_t n = file ? fread(out, 1, size - 1, file) : 0;
    out[n] = '\0';
    if (file)
        fclose(file);
}

static inline int temporary_start(void)
{
    return mkdtemp(temporary_folder) != NULL;
}

/* Removes the folder and the files in it. */
static inline void temporary_end(void)
{
    DIR *folder = opendir(temporary_folder);
    for (struct dirent *entry; folder && (entry = readdir(folder));)
        unlink(temporary_path(entry->d_name));
    if (folder)
        closedir(folder);
    rmdir(temporary_folder);
}

/* Whether some problem of this severity has all the words in its sentence. words: NULL-terminated. */
static inline int problems_say(const struct problem_list *list, enum severity severity, const char *const *words)
{
    for (size_t i = 0; i < list->n_items; i++) {
        char sentence[900];
        int all = list->items[i].severity == severity;
        problem_sentence(&list->items[i], sentence, sizeof sentence);
        for (size_t w = 0; all && words[w]; w++)
            all = strstr(sentence, words[w]) != NULL;
        if (all)
            return 1;
    }
    fprintf(stderr, "no problem says '%s'; there are %zu:\n", words[0], list->n_items);
    for (size_t i = 0; i < list->n_items; i++) {
        char sentence[900];
        problem_sentence(&list->items[i], sentence, sizeof sentence);
        fprintf(stderr, "  %d %s\n", list->items[i].severity, sentence);
    }
    return 0;
}

#define SAYS(list, severity, ...) CU_ASSERT(problems_say(list, severity, (const char *const[]){ __VA_ARGS__, NULL }))

#endif
