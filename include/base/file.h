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

/*
 * Files that are replaced together, so that the disk is waited for once: each
 * is written to its temporary when it is added, and file_batch_finish() syncs
 * all of them, renames them in the order of adding, then syncs their folders.
 * What is no regular file (a device, a pipe) is written when it is added.
 */
struct file_batch { struct file_pending *items; size_t n_items, capacity; };

/* Fails as file_replace() does; what was added before stays in the batch. */
enum status file_batch_add(struct file_batch *batch, const char *path, const char *bytes, size_t length, struct problem *problem);

/*
 * Empties the batch, whatever happens. On failure every file is the old or the
 * new one, whole, the old ones of all when a sync failed, and no temporary stays.
 */
enum status file_batch_finish(struct file_batch *batch, struct problem *problem);

/* Empties the batch and leaves the old files. */
void file_batch_drop(struct file_batch *batch);

/* Writes a file that nobody needs after this run: what holds of file_replace() does not hold of it. STATUS_IO. */
enum status file_write_passing(const char *path, const char *bytes, size_t length, struct problem *problem);

/* Makes a folder and its parents. An existing folder is fine; an existing file is STATUS_IO. */
enum status file_make_folder(const char *path, struct problem *problem);

/* Whether both paths name the same file (device and inode). */
bool file_same(const char *a, const char *b);

/* Tests: makes write/fsync/rename number n fail with error_number. 0 turns it off. */
void file_fail_at(unsigned long n, bool sticky, int error_number);
unsigned long file_calls(void);

#endif
