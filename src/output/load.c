#include "output/load.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>

enum status load_file(const char *path, struct text *out, struct problem *problem)
{
    const struct place place = { .path = path };
    char bytes[16384];
    size_t got;
    FILE *file = fopen(path, "rbe");
    if (!file)
        return problem_set(problem, STATUS_IO, &place, "cannot be read: %s", strerror(errno));
    while ((got = fread(bytes, 1, sizeof bytes, file)) > 0)
        text_add_bytes(out, bytes, got);
    bool good = !ferror(file);
    fclose(file);
    if (!good)
        return problem_set(problem, STATUS_IO, &place, "cannot be read: %s", strerror(errno));
    return out->failed ? problem_set(problem, STATUS_MEMORY, &place, "no memory left to hold it") : STATUS_OK;
}

enum status load_path(const char *folder, const char *name, const char *extension, char out[LOAD_PATH], struct problem *problem)
{
    int length = snprintf(out, LOAD_PATH, "%s/%s%s", folder, name, extension);
    if (length < 0 || length >= LOAD_PATH)
        return problem_set(problem, STATUS_IO, NULL, "the path of '%s%s' is longer than %d bytes", name, extension, LOAD_PATH - 1);
    return STATUS_OK;
}
