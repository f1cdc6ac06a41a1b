#ifndef FAULTS_FOLDER_H
#define FAULTS_FOLDER_H

#include <stdbool.h>
#include <stddef.h>
#include <sys/types.h>

/* A file, folder or link under a folder, with its bytes (of a link: where it leads). */
struct entry {
    char *path;
    mode_t mode;
    char *bytes;
    size_t length;
};

/* All that stood in a folder at one moment, sorted by path. */
struct folder {
    struct entry *items;
    size_t n_items, capacity;
};

/* Reads the folder that we are in. Sockets, pipes and devices are passed over. */
void folder_read(struct folder *folder);

/* Makes the folder that we are in hold this and nothing else. */
void folder_restore(const struct folder *folder);

const struct entry *folder_find(const struct folder *folder, const char *path);
bool entry_same(const struct entry *a, const struct entry *b);
bool folder_same(const struct folder *a, const struct folder *b);
void folder_release(struct folder *folder);

/* The whole of a file, NUL-terminated; "" when it is not there. */
char *file_bytes(const char *path, size_t *length);

/* Ends the run when the test itself cannot go on. */
void need(bool good, const char *what);

#endif
