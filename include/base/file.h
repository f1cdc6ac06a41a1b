#ifndef BASE_FILE_H
#define BASE_FILE_H

#include "base/problem.h"

#include <stdbool.h>
#include <stddef.h>

/* The one writing seam: loops on short writes and EINTR. False on failure, errno set. */
bool file_write_all(int descriptor, const char *bytes, size_t length);
bool file_sync(int descriptor);
bool file_cut(int descriptor, size_t length); /* what lies behind length bytes is gone */

/*
 * Puts the folder that holds path on the disk: a new or renamed file lasts
 * through a power cut only when its folder does. STATUS_IO, STATUS_MEMORY.
 */
enum status file_sync_folder(const char *path, struct problem *problem);

/*
 * Replaces path by these bytes: temporary in the same folder, write, fsync,
 * rename, fsync of the folder. On failure the old file is untouched and no
 * temporary stays. STATUS_IO with the reason in problem. STATUS_MEMORY also
 * when memory ran out before: the bytes may lack a part.
 */
enum status file_replace(const char *path, const char *bytes, size_t length, struct problem *problem);

/* Makes a folder and its parents. An existing folder is fine; an existing file is STATUS_IO. */
enum status file_make_folder(const char *path, struct problem *problem);

/* Whether both paths name the same file (device and inode). */
bool file_same(const char *a, const char *b);

/* Tests: makes write/fsync/rename number n fail with error_number. 0 turns it off. */
void file_fail_at(unsigned long n, bool sticky, int error_number);
unsigned long file_calls(void);

#endif
