#ifndef OUTPUT_LOAD_H
#define OUTPUT_LOAD_H

#include "base/problem.h"
#include "base/text.h"

/* Adds a whole regular file to out. STATUS_IO with the reason in problem. */
enum status load_file(const char *path, struct text *out, struct problem *problem);

/* "folder/name" into out. STATUS_IO when it is too long. */
#define LOAD_PATH 4096
enum status load_path(const char *folder, const char *name, const char *extension, char out[LOAD_PATH], struct problem *problem);

#endif
