#define _GNU_SOURCE
#include "fuzz.h"

#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

struct fuzz_file fuzz_file_open(const void *bytes, size_t size)
{
    struct fuzz_file file = {.descriptor = memfd_create("fuzz", MFD_CLOEXEC)};
    PROMISE(file.descriptor >= 0 && write(file.descriptor, bytes, size) == (ssize_t)size);
    snprintf(file.path, sizeof file.path, "/proc/self/fd/%d", file.descriptor);
    return file;
}

void fuzz_file_close(struct fuzz_file *file)
{
    close(file->descriptor);
}

char *fuzz_text(const void *bytes, size_t size)
{
    char *text = malloc(size + 1);
    PROMISE(text);
    memcpy(text, bytes, size);
    text[size] = '\0';
    return text;
}
